"""The command line: one module a family of commands, each thin over the rooms below."""

import click

from assistant.commands.lead.demo import demo
from assistant.commands.lead.practice import practice_command
from assistant.commands.lead.serve import serve
from assistant.commands.lead.session import resume, start
from assistant.commands.machine.setup import setup
from assistant.commands.procedures.procedures import draw_command, inspect, procedures
from assistant.commands.procedures.prove import prove_command, schema_command
from assistant.commands.records.checks import replay, verify
from assistant.commands.records.export import export
from assistant.commands.records.forget import forget
from assistant.commands.records.handover import handover
from assistant.commands.records.history import history, rebuild
from assistant.commands.records.records import search, sessions, show
from assistant.commands.records.report import report
from assistant.commands.speech.understanding import hear, judge_command, understand

FAMILIES: tuple[click.Command, ...] = (
    demo,
    start,
    resume,
    serve,
    setup,
    procedures,
    inspect,
    draw_command,
    prove_command,
    practice_command,
    schema_command,
    sessions,
    show,
    search,
    report,
    verify,
    replay,
    history,
    rebuild,
    forget,
    handover,
    export,
    understand,
    hear,
    judge_command,
)
"""Every command, in the order in which a new user meets them."""
