"""The picture of the dialogue in the room's README is the one that the table gives.

``LEADSMAN_REFRESH=1`` draws it anew; look at it before committing.
"""

from __future__ import annotations

import os

from assistant.session.dispatch import TABLE
from tests.tools.drawing.draw_dialogue import README, drawn, own, refreshed


def test_the_picture_is_drawn_from_the_table() -> None:
    text = README.read_text(encoding="utf-8")
    if os.environ.get("LEADSMAN_REFRESH") == "1":
        text = refreshed(text)
        README.write_text(text, encoding="utf-8")
    assert drawn() in text, "the table was changed: draw its picture with LEADSMAN_REFRESH=1"


def test_every_handler_and_mode_stands_in_the_picture() -> None:
    text = drawn()
    for mode, rows in TABLE.items():
        assert f"| {mode.replace('_', ' ')} |" in text or not own(mode)
        assert all(f".{row.handler.__name__}`" in text for row in rows.values())
