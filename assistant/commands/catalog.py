"""Every command: its name, the module that holds it, its group in the help and its one-line summary.

Nothing of a command is imported before it is called, so that ``leadsman --help`` costs no more than this table.
"""

from __future__ import annotations

from typing import NamedTuple


class Entry(NamedTuple):
    """One command."""

    name: str
    """As it is typed."""
    code: str
    """``module:attribute`` below ``assistant.commands``."""
    line: str
    """What it does, in one line of the help."""


GROUPS: tuple[tuple[str, tuple[Entry, ...]], ...] = (
    (
        "Sessions",
        (
            Entry("demo", "lead.demo:demo", "Run a recorded demo session on an invented unit"),
            Entry("start", "lead.session:start", "Start a session with a procedure"),
            Entry("resume", "lead.session:resume", "Go on with a session that was left"),
            Entry("serve", "lead.serve:serve", "Serve the page to phones and desktops in the shop"),
            Entry("practice", "lead.practice:practice_command", "Practice on a simulated unit with a hidden fault"),
        ),
    ),
    (
        "Records",
        (
            Entry("sessions", "records.records:sessions", "List sessions, the newest first"),
            Entry("show", "records.records:show", "Print one session as a transcript"),
            Entry("report", "records.report:report", "Make a report of one session: HTML, PDF, CSV or JSON"),
            Entry("search", "records.records:search", "Find words in talk, notes and causes"),
            Entry("history", "records.history:history", "Show what was done on a unit before"),
            Entry("verify", "records.checks:verify", "Check that a record is whole"),
            Entry("replay", "records.checks:replay", "Run a record through this version and compare"),
            Entry("export", "records.export:export", "Export all records as Parquet tables"),
            Entry("handover", "records.handover:handover", "Hand local sessions over to the shop's database"),
            Entry("rebuild", "records.history:rebuild", "Make the index of all records again"),
            Entry("forget", "records.forget:forget", "Erase a session's kept sound and names"),
        ),
    ),
    (
        "Procedures",
        (
            Entry("procedures", "procedures.procedures:procedures", "List the procedures that can be started"),
            Entry("inspect", "procedures.procedures:inspect", "Say everything that is wrong with a procedure file"),
            Entry("draw", "procedures.procedures:draw_command", "Draw a procedure, or one check, as pages to print"),
            Entry("prove", "procedures.prove:prove_command", "Try a procedure on simulated units with every fault"),
            Entry("schema", "procedures.prove:schema_command", "Print the JSON Schema of procedure files"),
        ),
    ),
    (
        "Words and sound",
        (
            Entry("understand", "speech.understanding:understand", "Say what words mean at a prompt"),
            Entry("hear", "speech.understanding:hear", "Say what a recorded answer means at a prompt"),
            Entry("judge", "speech.understanding:judge_command", "Judge a value against limits"),
        ),
    ),
    (
        "This machine",
        (
            Entry("setup", "machine.setup:setup", "Fetch the speech model and say what else is missing"),
            Entry("config", "machine.config:config", "Show or set what a session begins with"),
            Entry("manual", "machine.manual:manual", "Write manual pages of all commands"),
        ),
    ),
)
"""The groups in the order in which a new user meets them."""

COMMANDS: dict[str, Entry] = {entry.name: entry for _, entries in GROUPS for entry in entries}
"""Every command by its name."""
