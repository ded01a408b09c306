"""A private PostgreSQL in a temporary folder, started and stopped by the tests."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.conftest import missing


def server_programs() -> Path | None:
    """Folder of the newest server's programs, None when there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    if found:
        return found[-1].parent
    there = shutil.which("initdb")
    return Path(there).resolve().parent if there else None


class Cluster:
    """A server on a loopback port. It refuses to run as root, so root runs it as the user ``postgres``."""

    def __init__(self, programs: Path, folder: Path, *, fsync: bool = False) -> None:
        self._programs, self._folder = programs, folder / "cluster"
        self._fsync = "on" if fsync else "off"
        self._user = "postgres" if os.geteuid() == 0 else None
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self._folder.mkdir()
        if self._user is not None:
            entry = pwd.getpwnam(self._user)
            os.chown(self._folder, entry.pw_uid, entry.pw_gid)
        self._folder.chmod(0o700)
        self._run("initdb", "-D", self.data, "-U", "leadsman", "-A", "trust", "-E", "UTF8", "--no-sync", "--locale=C")
        self.start()

    @property
    def data(self) -> str:
        return str(self._folder / "data")

    @property
    def address(self) -> str:
        return f"postgresql://leadsman@127.0.0.1:{self.port}/postgres"

    def start(self, more: str = "") -> None:
        options = f"-p {self.port} -c listen_addresses=127.0.0.1 -c unix_socket_directories=''"
        options += f" -c fsync={self._fsync} {more}"
        log = str(self._folder / "log")
        self._run("pg_ctl", "-D", self.data, "-o", options, "-l", log, "-w", "-t", "60", "start")

    def stop(self, how: str = "fast") -> None:
        self._run("pg_ctl", "-D", self.data, "-m", how, "-w", "stop")

    @contextlib.contextmanager
    def encrypted(self, certificate: Path, key: Path) -> Iterator[None]:
        """Ask for TLS with this certificate of every connection while the block runs."""
        for name, path in (("server.crt", certificate), ("server.key", key)):
            made = Path(self.data, name)
            shutil.copyfile(path, made)
            if self._user is not None:
                entry = pwd.getpwnam(self._user)
                os.chown(made, entry.pw_uid, entry.pw_gid)
            made.chmod(0o600)
        access = Path(self.data, "pg_hba.conf")
        before = access.read_text(encoding="utf-8")
        access.write_text("hostssl all all 127.0.0.1/32 trust\n", encoding="utf-8")
        self.stop()
        self.start("-c ssl=on")
        try:
            yield
        finally:
            access.write_text(before, encoding="utf-8")
            self.stop()
            self.start()

    def freeze(self) -> None:
        """Stop every process of the server where it stands: it accepts, and answers nothing."""
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """Let them go on."""
        self._signal(signal.SIGCONT)

    def _signal(self, which: signal.Signals) -> None:
        for process in self._processes():
            with contextlib.suppress(ProcessLookupError):  # a connection's process may have ended since it was listed
                os.kill(process, which)

    def _processes(self) -> list[int]:
        """The server's own process first, then its children."""
        first = int(Path(self.data, "postmaster.pid").read_text(encoding="ascii").splitlines()[0])
        children = Path(f"/proc/{first}/task/{first}/children").read_text(encoding="ascii").split()
        return [first, *map(int, children)]

    def _run(self, program: str, *arguments: str) -> None:
        subprocess.run(
            [self._programs / program, *arguments], check=True, cwd="/", user=self._user, group=self._user,
            extra_groups=[] if self._user else None, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, timeout=120,
            env={**os.environ, "HOME": "/", "LC_ALL": "C"},
        )  # fmt: skip


def private_cluster() -> Iterator[Cluster]:
    """The body of a fixture: a server for as long as the tests need it."""
    programs = server_programs()
    if programs is None:
        missing("PostgreSQL is missing: apt-get install postgresql")
    # the server's user must reach it, and pytest's own folders are closed to others
    folder = Path(tempfile.mkdtemp(prefix="leadsman-test-"))
    folder.chmod(0o755)
    made = Cluster(programs, folder)
    yield made
    with contextlib.suppress(subprocess.CalledProcessError):  # a test may have stopped it
        made.stop("immediate")
    shutil.rmtree(folder, ignore_errors=True)
