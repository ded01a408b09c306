"""``leadsman verify`` and ``replay``: is a record whole, and would today's engine decide the same?"""

from __future__ import annotations

import click

from assistant.commands.completion import complete_sessions
from assistant.commands.records.places import store_options
from assistant.commands.shared import fields_of, json_option, write_json
from assistant.commands.terminal import echo
from assistant.composition import context_from, grammar_hashes
from assistant.phrasing.wording import clock
from assistant.records.journal.replay import replay as run_again
from assistant.records.journal.verify import holds_seal
from assistant.records.journal.verify import verify as check
from assistant.records.store.ports import Store, find


@click.command(epilog="Example: leadsman verify 20260131-142305-k3f --json")
@click.argument("session_id", metavar="ID", shell_complete=complete_sessions)
@click.option("--seal", help="A seal kept elsewhere, as a report prints it: it must still stand in the record.")
@store_options
@json_option
def verify(shop: Store, session_id: str, seal: str | None, as_json: bool) -> None:
    """Check that a record is whole; names the first broken line. Exit code 1 when it is damaged."""
    session = find(shop, session_id)
    result = check(session)
    cut = seal is not None and not holds_seal(session, seal)
    if as_json:
        write_json(
            {
                "id": result.session_id,
                "whole": result.whole and not cut,
                "entries": result.entries,
                "seal": result.last_hash,
                "findings": [fields_of(one, "line", "where", "text") for one in result.findings],
                "seal_found": None if seal is None else not cut,
            }
        )
    else:
        if cut:
            echo("The seal that was given is not in it: lines were cut off or made anew, or it is another record.")
        echo("\n".join(result.sentences()))
    if cut or not result.whole:
        raise SystemExit(1)


@click.command(epilog="Example: leadsman replay 20260131-142305-k3f")
@click.argument("session_id", metavar="ID", shell_complete=complete_sessions)
@store_options
@json_option
def replay(shop: Store, session_id: str, as_json: bool) -> None:
    """Run a record through today's engine; shows the first difference. Exit code 1 when there is one."""
    session = find(shop, session_id)
    result = run_again(session, context_from(session.header))
    found = result.difference
    changed = sorted(
        name for name, digest in session.header.grammars.items() if grammar_hashes().get(name) not in (None, digest)
    )
    if as_json:
        write_json(
            {
                "id": result.session_id,
                **fields_of(result, "same", "compared", "entries", "stopped"),
                "grammars_changed": changed,
                "difference": {"entry": found.seq, **fields_of(found, "at", "heard", "recorded", "today")}
                if found
                else None,
            }
        )
    else:
        if changed:
            echo(f"(The grammars have changed since: {', '.join(changed)}.)", err=True)
        echo(f"Session {result.session_id}: {result.compared} of {result.entries} entries decide the same today.")
        if found is not None:
            echo(f'First difference: entry {found.seq} at {clock(found.at)}, "{found.heard}"')
            echo(f"  recorded: {found.recorded}")
            echo(f"  today:    {found.today}")
        if result.stopped:
            echo(f"Stopped: {result.stopped}")
    if not result.same:
        raise SystemExit(1)
