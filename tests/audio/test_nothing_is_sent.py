"""The library that runs the networks must not report to its makers: nothing of this program leaves the machine.

What it would do stands in the file Privacy.md of the package onnxruntime: from 1.29 on it starts a sender, and keeps
a number of the device in the user's cache, unless ORT_DISABLE_TELEMETRY is set before it is loaded.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT

LISTEN = """
import os
import numpy as np
from assistant.audio.vad import has_voice
assert not has_voice(np.zeros(16000, dtype=np.int16))
print(len(os.listdir("/proc/self/task")))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="threads are counted in /proc")
def test_a_process_that_listens_has_no_sender_and_no_number_of_the_device(tmp_path: Path) -> None:
    quiet = ("CI", "ORT_DISABLE_TELEMETRY", "ORT_RUNNING_UNIT_TESTS", "XDG_CACHE_HOME")
    own = {name: text for name, text in os.environ.items() if name not in quiet}
    made = subprocess.run(
        [sys.executable, "-c", LISTEN], cwd=ROOT, capture_output=True, text=True, check=True,
        env={**own, "HOME": str(tmp_path), "OPENBLAS_NUM_THREADS": "1"},
    )  # fmt: skip
    assert made.stdout.strip() == "1", "a thread that nobody here started"
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
