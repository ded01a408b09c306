#!/bin/sh
# Makes the Python environment that the Makefile uses. Usage: environment.sh FOLDER
set -eu
venv=${1:-.venv}
python=""
for name in python3.14 python3.13 python3.12 python3.11 python3 python; do
    if command -v "$name" >/dev/null 2>&1 &&
        "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
        python=$name
        # the version that the pins were tried with comes first when it is there
        [ "$name" = python3 ] && break
        command -v python3 >/dev/null 2>&1 && python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && python=python3
        break
    fi
done
if [ -z "$python" ]; then
    echo "Leadsman needs Python 3.11 or later and found none on this machine's path. Install it (Debian, Ubuntu: apt-get install python3 python3-venv), then run the same command again." >&2
    exit 2
fi
if ! "$python" -c 'import venv, ensurepip' >/dev/null 2>&1; then
    echo "$python lacks its venv module. Install it (Debian, Ubuntu: apt-get install python3-venv), then run the same command again." >&2
    exit 2
fi
if [ ! -x "$venv/bin/python" ]; then
    echo "Making the Python environment in $venv ..."
    "$python" -m venv "$venv"
fi
echo "Installing the pinned packages (a minute or two the first time) ..."
if ! "$venv/bin/python" -m pip install --quiet --disable-pip-version-check -c constraints.txt -e ".[dev]"; then
    echo "The packages could not be installed: see pip's message above. A package client with access to a Python package registry is needed; then run the same command again." >&2
    exit 2
fi
