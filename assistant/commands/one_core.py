"""Linear algebra on one core, for commands that work through thousands of small problems.

Importing this before numpy is loaded is all there is to it: the threads that a step's small matrices would be shared
by cost more than they do, and processes share the work anyway (``--workers``).
"""

from __future__ import annotations

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
