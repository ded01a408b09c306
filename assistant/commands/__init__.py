"""The command line: one module a family of commands, each thin over the rooms below."""

import click

from assistant.commands.demo import demo
from assistant.commands.export import export
from assistant.commands.forget import forget
from assistant.commands.handover import handover
from assistant.commands.history import history, rebuild
from assistant.commands.machine import setup
from assistant.commands.practicing import practice_command
from assistant.commands.procedures import draw_command, inspect, procedures
from assistant.commands.proving import prove_command, schema_command
from assistant.commands.record_checks import replay, verify
from assistant.commands.records import search, sessions, show
from assistant.commands.report import report
from assistant.commands.serve import serve
from assistant.commands.session import resume, start
from assistant.commands.understanding import hear, judge_command, understand

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
