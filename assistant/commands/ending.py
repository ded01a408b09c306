"""What a terminal shows when a session is over."""

from __future__ import annotations

from assistant import library
from assistant.engine.state import State
from assistant.log.entries import Header
from assistant.log.positions import positions_text, table_of
from assistant.log.titles import titles_of


def survey_end(header: Header, state: State) -> str:
    """The table of a survey as far as it was read, with an empty line behind it; '' for any other session."""
    titles = titles_of(header)
    table = table_of(state.observations, titles, library.load_lexicon()) if titles.survey else None
    return positions_text(table) + "\n" if table is not None else ""
