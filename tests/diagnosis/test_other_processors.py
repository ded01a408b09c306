"""The same choices on every machine: NumPy's sums differ in their last bits with what the processor can do.

A share that is a bound's own figure (an outcome of one in a hundred, looked at twice from one in a hundred up) fell
on one side of it with AVX-512 and on the other without, and another check came first.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys

import numpy as np
import pytest

from tests.conftest import ROOT
from tests.diagnosis.recorded import digest
from tests.diagnosis.test_recorded import procedure_of, walks_of

NAME = "trailer-light-dead-or-faint"
SCRIPT = f"""
import json
from tests.diagnosis.recorded import digest
from tests.diagnosis.test_recorded import procedure_of, walks_of
print(json.dumps([digest(procedure_of({NAME!r}, seed), seed) for seed in walks_of({NAME!r})]))
"""


def test_a_processor_that_can_less_chooses_the_same() -> None:
    can: list[str] = np.show_config(mode="dicts")["SIMD Extensions"].get("found", [])
    if not can:
        pytest.skip("this processor has nothing that NumPy could leave unused")
    environment = {**os.environ, "NPY_DISABLE_CPU_FEATURES": " ".join(can), "PYTHONPATH": str(ROOT)}
    led = subprocess.run(
        [sys.executable, "-c", SCRIPT], cwd=ROOT, env=environment, capture_output=True, text=True, check=True
    )
    assert json.loads(led.stdout) == [digest(procedure_of(NAME, seed), seed) for seed in walks_of(NAME)]
