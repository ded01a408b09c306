"""Connections to the database that wait for it no longer than a person would: then the far end counts as gone.

A server that is frozen, or a network that swallows packets, answers nothing and refuses nothing. TCP's own timeouts
do not help there: a frozen server's system still acknowledges what it is sent.
"""

from __future__ import annotations

import time
from collections.abc import Generator
from typing import Any

import psycopg
from psycopg.abc import PQGen
from psycopg.waiting import Ready, Wait
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL

from assistant.records.index.schema import PATIENTLY

MOST = 80
"""Connections of one machine: each open session holds one, and PostgreSQL itself allows a hundred in all."""
SILENCE = 2.5
"""Seconds without a sign of the database after which it counts as gone."""
_CONNECT = 2
"""Seconds for connecting; the client library takes no fewer."""
_FRESH = 2.0
"""Seconds for which a database that just fell silent is not asked again."""
_OPTIONS = "-c statement_timeout=3000 -c synchronous_commit=on"
_PARAMETERS = {
    "connect_timeout": _CONNECT,
    "options": _OPTIONS,
    "keepalives_idle": 10,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 10_000,
    "prepare_threshold": None,  # a pooler may give the next transaction another server process
}


class ImpatientConnection(psycopg.Connection[Any]):
    """A connection that breaks when the far end says nothing for a while."""

    patient = False
    """True while something is asked for that may take long."""
    silent_at = -1e9
    """When a database last fell silent, of all connections; monotonic seconds."""

    def wait(self, gen: PQGen[Any], *arguments: Any, **named: Any) -> Any:
        """As psycopg waits, but not for ever."""
        return super().wait(self._limited(gen), *arguments, **named)

    def _limited(self, gen: PQGen[Any]) -> Generator[Wait, Ready | int, Any]:
        """The same steps; the client library takes one at least every tenth of a second, with nothing ready."""
        heard = time.monotonic()
        try:
            wanted = next(gen)
            while True:
                ready = yield wanted
                now = time.monotonic()
                if ready & Ready.R:
                    heard = now
                elif not self.patient and now - heard > SILENCE:
                    ImpatientConnection.silent_at = now
                    self.pgconn.finish()
                    raise psycopg.OperationalError(f"it has not answered for {SILENCE} seconds")
                wanted = gen.send(ready)
        except StopIteration as done:
            return done.value


def fell_silent() -> bool:
    """True when a database has just not answered in time: asking again at once would only take as long again."""
    return time.monotonic() - ImpatientConnection.silent_at < _FRESH


def impatient_engine(url: URL) -> Engine:
    """The database behind an address, through connections that do not wait for ever."""
    engine = create_engine(
        url, pool_pre_ping=True, max_overflow=MOST - 5, pool_timeout=SILENCE, connect_args=_PARAMETERS
    )
    event.listen(engine, "do_connect", _connect)
    event.listen(engine, "before_cursor_execute", _patient_from_here)
    for over in ("commit", "rollback"):
        event.listen(engine, over, _impatient_again)
    return engine


def _connect(_dialect: object, _record: object, arguments: list[Any], named: dict[str, Any]) -> ImpatientConnection:
    if fell_silent():
        raise psycopg.OperationalError(f"it has not answered for {SILENCE} seconds")
    try:
        return ImpatientConnection.connect(*arguments, **named)
    except psycopg.errors.ConnectionTimeout:
        ImpatientConnection.silent_at = time.monotonic()
        raise


def _patient_from_here(connection: Connection, _cursor: object, statement: str, *_: object) -> None:
    if statement == PATIENTLY:
        _set_patience(connection, patient=True)


def _impatient_again(connection: Connection) -> None:
    _set_patience(connection, patient=False)


def _set_patience(connection: Connection, *, patient: bool) -> None:
    if not connection.invalidated and not connection.closed:
        used = connection.connection.dbapi_connection
        if isinstance(used, ImpatientConnection):
            used.patient = patient
