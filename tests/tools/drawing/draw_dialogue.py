"""Developer's tool: draws the dialogue from the table of transitions into the session room's README.

Usage: python -m tests.tools.drawing.draw_dialogue

Three state diagrams (Mermaid) and the whole table, each row once. Rows that every prompt has in common are drawn
once, from 'any prompt'; a row that stays where it is has no arrow.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from assistant.session.dialog_state import Mode
from assistant.session.dispatch import FOLLOWING, NUMBERED, TABLE
from assistant.session.events import Event
from assistant.session.transition import Modes, Relative, Row

README = Path(__file__).parents[3] / "assistant" / "session" / "README.md"
BEGIN, END = "<!-- drawn from dispatch.TABLE: begin -->", "<!-- drawn from dispatch.TABLE: end -->"
PROMPTS = (
    Mode.READY, Mode.CAUTION, Mode.FACT, Mode.ACCESS, Mode.CHECK, Mode.FIX, Mode.PROOF, Mode.PUT_BACK,
)  # fmt: skip
"""Main modes that wait for a person."""
OVER = (Mode.CONFIRM, Mode.CHOOSE, Mode.SPREAD, Mode.REASON, Mode.NOTE, Mode.STOP, Mode.HELD)
"""What can lie over a prompt."""
ANY, NEXT, SENT = "any prompt", "what the record asks for", "the mode that the sending row names"
NAMES = {
    Relative.STAY: "stay",
    Relative.BELOW: "what lies below",
    Relative.PROMPT: "the prompt",
    Relative.WAITING: SENT,
}

Rows = Mapping[Event, Row]
Arrows = dict[tuple[str, str], list[str]]


def common() -> Rows:
    """Rows that all prompts share."""
    first, *others = (TABLE[mode] for mode in PROMPTS)
    return {event: row for event, row in first.items() if all(rows.get(event) == row for rows in others)}


def own(mode: Mode) -> Rows:
    """Rows of a mode that are not those of every prompt."""
    shared = common()
    return {event: row for event, row in TABLE[mode].items() if shared.get(event) != row}


def named(modes: Modes) -> list[str]:
    """Where a row may lead, in words: the modes that the record can ask for as one, then the others in order."""
    whole = modes >= FOLLOWING
    rest = modes - FOLLOWING if whole else modes
    found = [NEXT] if whole else []
    found += [_plain(mode) for mode in Mode if mode in rest]
    return found + [NAMES[one] for one in Relative if one in rest]


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _arrows(start: str, rows: Rows, ends: Mapping[str, str]) -> Arrows:
    """Arrows of some rows to the states in ``ends`` (words of ``named`` to a state's name)."""
    found: Arrows = {}
    for event, row in rows.items():
        modes = row.at_once | row.recorded
        for end in named(modes - {Mode.LOOK_UP} if modes >= NUMBERED else modes):
            if end in ends and ends[end] != start:
                found.setdefault((start, ends[end]), []).append(_plain(event))
    return found


def _diagram(arrows: Iterable[Arrows], first: str = "") -> str:
    together: Arrows = {}
    for some in arrows:
        for pair, events in some.items():
            together.setdefault(pair, []).extend(events)
    states = list(dict.fromkeys(state for pair in together for state in pair))
    marks = {state: f"s{number}" for number, state in enumerate(states)}
    lines = ["```mermaid", "stateDiagram-v2"]
    lines += [f'    state "{state}" as {mark}' for state, mark in marks.items()]
    lines += [f"    [*] --> {marks[first]}"] if first else []
    for (start, end), events in together.items():
        said = ", ".join(dict.fromkeys(events))
        lines.append(f"    {marks[start]} --> {marks[end]}{f': {said}' if said else ''}")
    return "\n".join([*lines, "```"])


def main_modes() -> str:
    """How the main modes follow each other."""
    ends = {_plain(mode): _plain(mode) for mode in (*PROMPTS, Mode.LOOK_UP, Mode.ENDED)} | {NEXT: NEXT}
    arrows = [_arrows(_plain(mode), own(mode), ends) for mode in (Mode.NEW, *PROMPTS, Mode.LOOK_UP)]
    asked: Arrows = {(NEXT, _plain(mode)): [] for mode in Mode if mode in NUMBERED}
    return _diagram([*arrows, asked], "new")


def overlays() -> str:
    """What is laid over a prompt, and how it is taken away again."""
    ends = {_plain(mode): _plain(mode) for mode in OVER}
    back = ends | {NAMES[Relative.BELOW]: ANY, NAMES[Relative.PROMPT]: ANY, NEXT: NEXT, "ended": "ended"}
    opened = [_arrows(ANY, common(), ends)]
    opened += [_arrows(ANY, own(mode), ends) for mode in PROMPTS]
    return _diagram([*opened, *(_arrows(_plain(mode), own(mode), back) for mode in OVER)])


def records() -> str:
    """What happens while a record is written, and where the input may end."""
    sends: Arrows = {("any row that records", "recording"): ["its record"]}
    ends = {_plain(mode): _plain(mode) for mode in (Mode.NEW, Mode.RECORDING, Mode.UNWRITTEN)} | {SENT: SENT}
    left = _arrows("any mode that listens", common(), {"new": "new"})
    return _diagram(
        [sends, *(_arrows(_plain(mode), TABLE[mode], ends) for mode in (Mode.RECORDING, Mode.UNWRITTEN)), left]
    )


def table() -> str:
    """Every row once."""
    lines = ["| mode | events | handler | at once | once recorded |", "| --- | --- | --- | --- | --- |"]
    lines += _lines("every prompt", common())
    for mode in Mode:
        lines += _lines(_plain(mode), own(mode) if mode in (*PROMPTS, *OVER) else TABLE[mode])
    return "\n".join(lines)


def _lines(mode: str, rows: Rows) -> list[str]:
    grouped: dict[Row, list[str]] = {}
    for event, row in rows.items():
        grouped.setdefault(row, []).append(_plain(event))
    return [
        f"| {mode} | {', '.join(events)} | `{row.handler.__module__.rpartition('.')[2]}.{row.handler.__name__}` "
        f"| {', '.join(named(row.at_once))} | {', '.join(named(row.recorded))} |"
        for row, events in grouped.items()
    ]


def drawn() -> str:
    """The drawn part of the README."""
    return "\n\n".join(
        [
            BEGIN,
            "### Main modes",
            main_modes(),
            "### Questions laid over a prompt, and the hold",
            overlays(),
            "### The record",
            records(),
            "### The table",
            table(),
            END,
        ]
    )


def refreshed(text: str) -> str:
    """The README with its drawn part drawn anew."""
    before, _, rest = text.partition(BEGIN)
    return before + drawn() + rest.partition(END)[2]


if __name__ == "__main__":
    README.write_text(refreshed(README.read_text(encoding="utf-8")), encoding="utf-8")
