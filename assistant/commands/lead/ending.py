"""What a terminal shows when a session is over."""

from __future__ import annotations

from assistant import catalog
from assistant.records.journal.lines import Header
from assistant.records.summary.labels import titles_of
from assistant.records.summary.positions import positions_text, table_of
from assistant.session.fold import State


def survey_end(header: Header, state: State) -> str:
    """A survey's table with the readings taken so far, followed by an empty line; '' for any other session."""
    titles = titles_of(header)
    table = table_of(state.observations, titles, catalog.load_vocabulary()) if titles.survey else None
    return positions_text(table) + "\n" if table is not None else ""
