"""A page on a real browser, for what is seen of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.web.browser import Served, served


@pytest.fixture
def floor(browser: Browser, lamp_shop: Path, tmp_path: Path) -> Iterator[Served]:
    """A page; no screen may meet an error."""
    assert lamp_shop.is_dir()
    with served(browser, tmp_path / "records") as made:
        yield made
    assert made.troubles == []
