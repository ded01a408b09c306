"""Which worker runs which tests, and in what order: long files first, so that none is begun when all else is done.

Files stay whole, since fixtures (a browser, a speech model, a database) are costly, but for those in ``SPREAD``:
their tests share nothing and are long.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from xdist.scheduler import LoadScopeScheduling

if TYPE_CHECKING:
    from xdist.remote import Producer

LONG = (
    "tools/test_coverage_by_room.py",
    "web/screen/test_geometry.py",
    "understanding/test_roles_sweep.py",
    "dialogs/test_figures.py",
    "inputs/test_spoken_session.py",
    "web/test_browser.py",
    "records/store/test_spill.py",
    "simulator/test_prove.py",
    "web/test_home_screen.py",
    "demo_sessions/test_scenes.py",
    "records/store/test_postgresql.py",
    "diagnosis/test_recorded.py",
    "records/test_forged.py",
    "web/test_page_restart.py",
    "inputs/test_staying_in_touch.py",
    "records/index/test_export.py",
)
"""Files under ``tests/`` that take the longest; what is named in no list comes after them."""
SPREAD = frozenset({
    "dialogs/test_figures.py",
    "dialogs/test_finding.py",
    "records/test_forged.py",
    "records/test_one_fold.py",
    "tools/test_coverage_by_room.py",
    "understanding/values/test_verbalizations_return.py",
})  # fmt: skip
"""Files whose tests are handed out one by one."""


class ByFile(LoadScopeScheduling):  # type: ignore[misc]
    """Whole files in the order of collection, and the tests of some of them one by one."""

    def __init__(self, config: pytest.Config, log: Producer) -> None:
        super().__init__(config, log)
        config.option.loadscopereorder = False

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.split("::", 1)[0]
        return nodeid if file.removeprefix("tests/") in SPREAD else file


def long_first(items: list[pytest.Item]) -> None:
    """Sort what was collected; within a file its order stays."""
    rank = {f"tests/{name}": number for number, name in enumerate(LONG)}
    items.sort(key=lambda item: rank.get(item.nodeid.split("::", 1)[0], len(rank)))
