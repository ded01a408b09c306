"""The shop's database behind a pooler and over TLS, set up as ``assistant/records/README.md`` says."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import psycopg
import pytest

from assistant.errors import OperatorError
from assistant.records.journal.verify import verify
from assistant.records.store import spill
from assistant.records.store.ports import find
from assistant.records.store.postgresql import DatabaseStore, open_database
from assistant.records.store.postgresql_connection import ImpatientConnection
from assistant.web.access.certificate import own_certificate
from tests import machine
from tests.conftest import missing
from tests.records.cluster import Cluster
from tests.records.samples import SCENE, Clock, header

pytestmark = pytest.mark.postgresql
ID = header().session_id


def go_through(store: DatabaseStore) -> None:
    """A session from its first line to its last, and taken up again."""
    journal = store.create(header(), Clock())
    for record, said, at in SCENE:
        journal.append(record, said, at)
    assert journal.moved() == ""
    journal.close()
    again = store.open(ID, Clock())
    again.close()
    store.index().refresh(store)
    assert verify(find(store, ID)).whole


@contextlib.contextmanager
def pooler(cluster: Cluster) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """PgBouncer before the cluster, with the settings of the README; its address and process."""
    program = machine.pooler()
    if program is None:
        missing("PgBouncer is missing: apt-get install pgbouncer")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    # the pooler's user must reach it, and pytest's own folders are closed to others
    place = Path(tempfile.mkdtemp(prefix="leadsman-pooler-"))
    place.chmod(0o755)
    (place / "users").write_text('"leadsman" ""\n', encoding="utf-8")
    (place / "ini").write_text(
        f"[databases]\npostgres = host=127.0.0.1 port={cluster.port}\n[pgbouncer]\nlisten_addr = 127.0.0.1\n"
        f"listen_port = {port}\nauth_type = trust\nauth_file = {place}/users\nunix_socket_dir =\n"
        f"pool_mode = session\nignore_startup_parameters = options\nlogfile = {place}/log\n",
        encoding="utf-8",
    )
    user = "postgres" if os.geteuid() == 0 else None
    if user is not None:
        for path in (place, *place.iterdir()):
            os.chown(path, pwd.getpwnam(user).pw_uid, pwd.getpwnam(user).pw_gid)
    process = subprocess.Popen([program, "-q", str(place / "ini")], user=user, cwd="/", stderr=subprocess.DEVNULL)
    try:
        ends = time.monotonic() + 10
        while True:
            try:
                psycopg.connect(f"postgresql://leadsman@127.0.0.1:{port}/postgres").close()
                break
            except psycopg.OperationalError:
                assert time.monotonic() < ends, (place / "log").read_text(encoding="utf-8")
                time.sleep(0.05)
        yield f"postgresql://leadsman@127.0.0.1:{port}/postgres", process
    finally:
        process.terminate()
        process.wait(10)
        shutil.rmtree(place, ignore_errors=True)


def test_a_session_through_a_pooler(
    store: DatabaseStore, cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A second machine is still kept away; a pooler that ends costs a word, and what came since is kept here."""
    monkeypatch.setattr(spill, "RETRY", 0.1)
    with pooler(cluster) as (address, process):
        monkeypatch.setenv("LEADSMAN_DATABASE", address)
        behind = open_database(tmp_path / "behind")
        go_through(behind)
        journal = behind.open(ID, Clock())
        third = open_database(tmp_path / "third")
        with pytest.raises(OperatorError, match="being written by another machine"):
            third.open(ID, Clock())
        third.engine.dispose()
        process.terminate()
        process.wait(10)
        number = journal.append(*SCENE[3])
        assert journal.moved() == "here"
        journal.close()
        behind.engine.dispose()
    assert (tmp_path / "behind" / f"{ID}.jsonl").read_bytes().startswith(store.data(ID))
    assert number == len(list(find(store, ID).lines)) + 1


def test_a_session_over_tls_and_a_server_that_is_another(
    store: DatabaseStore, cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """``verify-full`` with the server's certificate leads a session; with another's it is refused in a sentence."""
    for name in ("server", "other"):
        own_certificate(tmp_path / name, ("127.0.0.1",), datetime.now(UTC))
    ImpatientConnection.silent_at = -1e9
    with cluster.encrypted(tmp_path / "server" / "page-certificate.pem", tmp_path / "server" / "page-key.pem"):
        for trusted in ("server", "other"):
            root = tmp_path / trusted / "page-certificate.pem"
            monkeypatch.setenv("LEADSMAN_DATABASE", f"{cluster.address}?sslmode=verify-full&sslrootcert={root}")
            if trusted == "other":
                with pytest.raises(OperatorError, match="certificate verify failed"):
                    open_database(tmp_path / "local")
                continue
            secured = open_database(tmp_path / "local")
            go_through(secured)
            with secured.engine.connect() as connection:
                ours = "SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid()"
                assert connection.exec_driver_sql(ours).scalar()
            secured.engine.dispose()
