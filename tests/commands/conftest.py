"""What the tests of commands share."""

from __future__ import annotations

import pytest

from assistant.__main__ import main
from tests.commands.running import Ran, Run


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in this process."""

    def go(*arguments: str) -> Ran:
        with pytest.raises(SystemExit) as left:
            main(list(arguments))
        captured = capsys.readouterr()
        code = left.value.code
        return Ran(code if isinstance(code, int) else 0, captured.out, captured.err)

    return go
