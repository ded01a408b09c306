"""Journals as a stranger makes them: cut, mixed up, or changed and sealed again; and files that are no journals.

Nothing here uses the product's encoder: lines are made with ``json`` and sealed with ``hashlib``, so that a forgery
holds what the product would never write.
"""

from __future__ import annotations

import hashlib
import json
import os
import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

SAMPLES = sorted((Path(__file__).parent.parent / "data" / "records").glob("format-*.jsonl"))
PROCEDURE = Path(__file__).parent.parent.parent / "dialogs" / "trailer-abs-light-on.toml"
GOOD = "20260131-142305-gud"
"""Identity of the whole record that must not suffer."""
GOOD_UNIT = "7788"

_DEEP = "[" * 20_000 + "]" * 20_000
TOKENS = (
    "-1", "0", "1e308", "-1e308", "1e-300", "1" + "0" * 400, "9" * 30, "123456789012345678901", "1e999999", "NaN",
    "Infinity", "-Infinity", '"NaN"', '"-Infinity"', '"sNaN"', '"1E+999999999"', '"1E-999999999"', '"0E+999999"',
    '"' + "9" * 5000 + '"', '"0.' + "1" * 5000 + '"', '"-0"', '"1_000"', '"12 ohm"', "null", "true", "[]", "{}",
    '[""]', "[null]", '{"decimal":"x"}', '{"decimal":"1E+999999999"}', '{"decimals":["1","x"]}', '{"decimals":7}',
    '{"decimal":[]}', '[{"a":[1]}]', _DEEP, '{"a":' * 5000 + "1" + "}" * 5000, '""', '"' + "x" * 300_000 + '"',
    '"\\ud800"', '"\\u0000"', '"\\u001b[2J\\u001b]0;owned\\u0007"', '"\\u009b31m"', '"\\u202egnp.exe"', '"a\\nb\\rc"',
    '"9999-12-31T23:59:59.999999-14:00"', '"0001-01-01T00:00:00+14:00"', '"2026-13-45"', '"../../../etc/passwd"',
    '"check:"', '"check:::::"', '"fix:\\u0000:"', '"heard"', '"entry"', '"header"', '"attempt"', '"observed"',
    '"{0.__class__}"', '"%s%n"', '"{}"', '"=cmd|\' /C calc\'!A0"', '"<script>alert(1)</script>"', "7", "1.5", '"7"',
)  # fmt: skip
"""What is put where something else stood, as JSON text."""
_MARK = "\x01here\x01"


def seal(core: str) -> bytes:
    """A line's text before its hash, with the hash that belongs to it."""
    raw = core[:-1].encode("utf-8", "surrogatepass")
    return raw + b',"hash":"' + hashlib.sha256(raw).hexdigest().encode() + b'"}\n'


def chain(lines: list[dict[str, Any]], marks: dict[int, str] | None = None) -> bytes:
    """Lines to a journal whose every hash fits; ``marks``: line to the JSON text that stands at its mark."""
    made, prev = [], ""
    for number, line in enumerate(lines):
        plain = {name: value for name, value in line.items() if name != "hash"}
        if plain.get("prev") != _MARK:
            plain["prev"] = prev
        text = json.dumps(plain, ensure_ascii=False, separators=(",", ":"))
        token = (marks or {}).get(number)
        if token is not None:
            text = text.replace(json.dumps(_MARK), token)
        raw = seal(text)
        prev = raw[-67:-3].decode()
        made.append(raw)
    return b"".join(made)


def lines_of(path: Path) -> list[dict[str, Any]]:
    """The lines of a sample that are JSON."""
    found = []
    for raw in path.read_bytes().split(b"\n"):
        try:
            line = json.loads(raw)
        except ValueError:
            continue
        if isinstance(line, dict) and "body" in line:
            found.append(line)
    return found


def named(lines: list[dict[str, Any]], name: str, unit: str = "") -> list[dict[str, Any]]:
    """The same record under another identity, of another unit."""
    made: list[dict[str, Any]] = json.loads(json.dumps(lines))
    made[0]["body"] |= {"session_id": name, "unit": unit or made[0]["body"].get("unit", ""), "invented": False}
    return made


def of_today(lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The same record with a procedure of today, so that a replay and a resume get as far as they can."""
    text = PROCEDURE.read_text(encoding="utf-8")
    digest = hashlib.sha256(text.encode()).hexdigest()
    lines[0]["body"] |= {"procedure": PROCEDURE.stem, "procedure_toml": text, "procedure_sha256": digest}
    return lines


def _paths(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if path:
        yield path
    if isinstance(value, dict):
        for name, held in value.items():
            yield from _paths(held, (*path, name))
    elif isinstance(value, list):
        for number, held in enumerate(value):
            yield from _paths(held, (*path, number))


def forge(random: Random, name: str) -> bytes:
    """One to three values of a record changed to absurd ones, and every hash made anew."""
    lines = named(lines_of(random.choice(SAMPLES)), name, random.choice(["", GOOD_UNIT, "0419"]))
    if random.random() < 0.6:
        lines = of_today(lines)
    marks: dict[int, str] = {}
    for _ in range(random.choice([1, 1, 1, 2, 3])):
        number = random.randrange(len(lines))
        if number in marks:
            continue
        path = random.choice(list(_paths(lines[number])))
        held: Any = lines[number]
        for step in path[:-1]:
            held = held[step]
        held[path[-1]] = _MARK
        marks[number] = random.choice(TOKENS)
    if random.random() < 0.1:
        random.shuffle(lines)
        marks = {}
        lines = [line for line in lines if _MARK not in json.dumps(line).encode().decode("unicode_escape")]
    if random.random() < 0.05:
        lines[0]["body"]["format"] = random.choice([4, 99, 10**6])
    return chain(lines, marks)


def mutate(random: Random, name: str) -> bytes:
    """A whole record with its bytes hit: flipped, cut, doubled, moved, filled with what does not belong there."""
    data = bytearray(chain(named(lines_of(random.choice(SAMPLES)), name, GOOD_UNIT)))
    for _ in range(random.choice([1, 1, 2, 5, 20])):
        at = random.randrange(len(data) + 1)
        end = min(len(data), at + random.choice([1, 3, 80, 2000]))
        kind = random.randrange(9)
        if kind == 0:
            data[at:end] = b""
        elif kind == 1:
            data[at:at] = bytes(random.randrange(256) for _ in range(end - at))
        elif kind == 2:
            data[at:at] = data[at:end]
        elif kind == 3:
            data[at:end] = b"\0" * (end - at)
        elif kind == 4:
            del data[at:]
        elif kind == 5:
            data[at:at] = random.choice([b"\n", b"\r\n", b'{"seq":', b'"', b"}", b"\n\n\n", b"\xff\xfe"])
        elif kind == 6 and at < len(data):
            data[at] ^= 1 << random.randrange(8)
        elif kind == 7:
            pieces = bytes(data).split(b"\n")
            random.shuffle(pieces)
            data = bytearray(b"\n".join(pieces))
        elif kind == 8:
            del data[:at]
        if not data:
            break
    return bytes(data)


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _socket(path: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)  # the name of a socket may not be long
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(path.name)
    finally:
        os.chdir(here)


def _text(content: bytes) -> Callable[[Path], None]:
    def make(path: Path) -> None:
        path.write_bytes(content)

    return make


def _link(target: str) -> Callable[[Path], None]:
    return lambda path: path.symlink_to(target)


def strays() -> list[tuple[bytes, Callable[[Path], None]]]:
    """Names and what makes them: what sync tools, file managers, editors, people and attackers leave in a folder."""
    one = GOOD.encode()
    whole = chain(named(lines_of(SAMPLES[-1]), GOOD, GOOD_UNIT))
    ident = b"20260201-0900%02d-str"
    copies = [
        one + b" (conflicted copy 2026-02-01).jsonl", one + b" (Shop's conflicted copy).jsonl",
        one + b".sync-conflict-20260201-090000-ABCDEF.jsonl", b"._" + one + b".jsonl", one + b" - Copy.jsonl",
        b"Copy of " + one + b".jsonl", one + b"(1).jsonl", one + b" 2.jsonl", one + b"~.jsonl", one + b".jsonl~",
        one + b".jsonl.bak", one + b".jsonl.orig", one + b".jsonl.part", one + b".jsonl.tmp", one + b".JSONL",
        b".#" + one + b".jsonl", b"#" + one + b".jsonl#", b".~lock." + one + b".jsonl#", b"." + one + b".jsonl.swp",
        one + b"-copy.jsonl", one + b"_1.jsonl", one + b"-old.jsonl", one + b"-2026.jsonl", b"backup.jsonl",
        b"latest.jsonl", b"x.jsonl", b"-.jsonl", b"_.jsonl", b"a" * 90 + b".jsonl", b".jsonl", b"..jsonl",
        b"last.jsonl", b"--help.jsonl", b"\xff\xfe.jsonl", one + b"\xe9.jsonl", b"\x1b[31mred.jsonl",
        b"a\nb.jsonl", b"a\rb.jsonl", b" .jsonl", b"\xe2\x80\xaelnosj.jsonl", "журнал.jsonl".encode(),
        "日本.jsonl".encode(), b"$(reboot).jsonl", b"%s%n.jsonl", b"*.jsonl", b"con.jsonl",
    ]  # fmt: skip
    made = [(name, _text(whole)) for name in copies]
    special: list[Callable[[Path], None]] = [
        _pipe, _socket, Path.mkdir, _link("/dev/zero"), _link("/dev/stdin"), _link("nowhere"), _link("/etc/passwd"),
        _link(f"{GOOD}.jsonl"), _link("."), _text(b""), _text(b"\n"), _text(b"\0" * 5000), _text(b"\n" * 300_000),
        _text(b"not json"), _text(b"{}\n"), _text(b"[" * 100_000), _text(whole.replace(b"\n", b"\r\n")),
        _text(b"\xef\xbb\xbf" + whole), _text(whole[::-1]), _text(b'{"seq":' * 20_000),
    ]  # fmt: skip
    made += [(ident % number + b".jsonl", make) for number, make in enumerate(special)]
    return [
        *made,
        (b"20260202-090000-lck.lock", _pipe),
        (b"private", _text(b"no folder")),
        (b".DS_Store", _text(b"x")),
    ]
