"""Try the two set-up commands on bare Debian systems: ``python -m tests.tools.bare_machine bookworm trixie``.

Each system is made by Debian's ``mmdebstrap`` with Python, make and nothing else of what the program can use. In it
a copy of this checkout, in a folder with a space in its name, runs ``make demo`` and ``make test`` as root and as a
plain user, in ``LANG=C`` and another time zone, and ``make test`` once more without a network. A wheel is installed
outside the checkout and lists its procedures. Needs root. ``--keep FOLDER`` leaves the systems there for another run,
``--only WORDS`` tries some of the steps.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("python3", "python3-venv", "make", "ca-certificates")
USER, PLACE = "tech", "/home/tech/lead man"
CLIENT_FILES = ("etc/pip.conf", "etc/resolv.conf", "etc/hosts", "etc/ssl/certs/ca-certificates.crt")
"""How this machine's package clients reach their registries; copied as they are."""
CLIENT_FOLDERS = ("usr/local/share/ca-certificates", "opt/wheels")
CERTIFICATES = "/etc/ssl/certs/ca-certificates.crt"
ENVIRONMENT = {
    "PATH": "/usr/local/bin:/usr/bin:/bin",
    "LANG": "C",
    "TZ": "Pacific/Chatham",
    "PIP_CERT": CERTIFICATES,
    "SSL_CERT_FILE": CERTIFICATES,
    "REQUESTS_CA_BUNDLE": CERTIFICATES,
    "PIP_DEFAULT_TIMEOUT": "180",
}
WHEEL = (
    'outside=$(mktemp -d) && make wheel && python3 -m venv "$outside"'
    ' && "$outside/bin/python" -m pip install -q dist/*.whl -c constraints.txt'
    ' && cd / && "$outside/bin/leadsman" procedures'
)


@dataclass(frozen=True)
class Step:
    """One thing tried."""

    name: str
    """What is told of it."""
    command: str
    """What the shell runs in the checkout."""
    user: str = USER
    """Who runs it."""
    network: bool = True
    """Whether the network is there."""


STEPS = (
    Step("make demo as a plain user", "make demo"),
    Step("make test as a plain user", "make test"),
    Step("make test without a network", "make test", network=False),
    Step("a wheel installed outside the checkout", WHEEL),
    Step("make test as root", "make clean && make test", user="root"),
)


SET_UP = Step("what is set up while there is a network", "make setup")


def main() -> int:
    """Make each system, run each step, and print how it went; 1 when a step failed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("suites", nargs="+", help="Debian releases by name, such as bookworm")
    parser.add_argument("--keep", type=Path, help="leave the systems in this folder")
    parser.add_argument("--only", default="", help="only the steps whose name holds these words")
    arguments = parser.parse_args()
    if os.geteuid() != 0:
        print("This makes systems and enters them: run it as root.", file=sys.stderr)
        return 2
    for program, package in (("mmdebstrap", "mmdebstrap"), ("ip", "iproute2")):
        if shutil.which(program) is None:
            print(f"{program} is missing. Run: apt-get install {package}", file=sys.stderr)
            return 2
    folder = arguments.keep or Path(tempfile.mkdtemp(prefix="leadsman-bare-"))
    folder.mkdir(parents=True, exist_ok=True)
    failed = 0
    for suite in arguments.suites:
        system = _made(suite, folder / suite)
        for step in (one for one in STEPS if arguments.only in one.name):
            began = time.monotonic()
            log = folder / f"{suite}.log"
            done = (step.network or _run(system, SET_UP, log)) and _run(system, step, log)
            minutes = (time.monotonic() - began) / 60
            print(f"{suite}: {step.name}: {'green' if done else 'FAILED'} in {minutes:.1f} min", flush=True)
            failed += not done
    if arguments.keep is None and not failed:
        shutil.rmtree(folder)
    else:
        print(f"What was printed is in {folder}")
    return 1 if failed else 0


def _made(suite: str, system: Path) -> Path:
    """A bare system with a copy of what git holds of this checkout."""
    if not (system / "usr").is_dir():
        print(f"{suite}: making the system ...", flush=True)
        included = ",".join(PACKAGES)
        subprocess.run(
            ["mmdebstrap", "--quiet", "--variant=minbase", f"--include={included}", suite, system], check=True
        )
    for name in CLIENT_FILES:
        if Path("/", name).is_file():
            (system / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(Path("/", name), system / name)
    for name in CLIENT_FOLDERS:
        if Path("/", name).is_dir():
            shutil.copytree(Path("/", name), system / name, dirs_exist_ok=True)
    _enter(
        system,
        ["sh", "-c", f"update-ca-certificates >/dev/null 2>&1; id {USER} >/dev/null 2>&1 || useradd -m {USER}"],
    )
    place = system / PLACE.lstrip("/")
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir(parents=True)
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True).stdout
    for name in filter(None, listed.decode().split("\0")):
        if (ROOT / name).is_file():
            (place / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, place / name)
    _enter(system, ["chown", "-R", f"{USER}:{USER}", f"/home/{USER}"])
    return system


def _run(system: Path, step: Step, log: Path) -> bool:
    _enter(system, ["chown", "-R", step.user, PLACE])
    with log.open("a", encoding="utf-8") as out:
        out.write(f"\n== {step.name}\n")
        out.flush()
        home = "/root" if step.user == "root" else f"/home/{step.user}"
        variables = [f"{name}={value}" for name, value in {**ENVIRONMENT, "HOME": home}.items()]
        inside = f'cd "{PLACE}" && {step.command}'
        words = ["chroot", f"--userspec={step.user}", str(system), "env", "-i", *variables, "sh", "-c", inside]
        # namespaces of its own: what it mounts and starts ends with it
        spaces = ["unshare", "--mount", "--pid", "--fork", *([] if step.network else ["--net"])]
        mounts = 'mount -t proc proc "$0/proc" && mount --rbind /dev "$0/dev" && exec "$@"'
        if not step.network:  # without a network a machine still reaches itself
            mounts = f"ip link set lo up && {mounts}"
        spaces += ["sh", "-c", mounts, str(system)]
        made = subprocess.run([*spaces, *words], stdout=out, stderr=subprocess.STDOUT, check=False)
    return made.returncode == 0


def _enter(system: Path, words: list[str]) -> None:
    subprocess.run(["chroot", system, *words], check=True)


if __name__ == "__main__":
    sys.exit(main())
