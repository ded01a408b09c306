"""Random mutants of the rooms that decide: how many of them the tests catch, and which ones live.

Run as ``python -m tests.tools.mutants ROOM ... [--count 60] [--seed 1]``, such as ``python -m tests.tools.mutants
verdict``. Nothing on disk is changed: each mutant is compiled from memory in a process of its own, forked once the
libraries are loaded, and is caught when one of its room's tests fails or when it takes far longer than they do.

One that lives and cannot be told from the original by any caller stands in ``mutants_that_live.txt`` with the reason.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from random import Random
from types import CodeType, ModuleType

import pytest

ROOT = Path(__file__).parent.parent.parent
LISTED = Path(__file__).parent / "mutants_that_live.txt"
"""One a line: file, function, what was changed into what, and why nobody can tell, divided by tabs."""
PATIENCE = 60.0
"""Seconds of wall time, beside ten times those that the tests take without a mutant, after which one hangs."""


@dataclass(frozen=True)
class Room:
    """What is mutated, and the tests that should notice."""

    files: tuple[str, ...]
    """Patterns below ``assistant``."""
    tests: tuple[str, ...]
    """Below ``tests``, the quickest to fail first."""


ROOMS = {
    "verdict": Room(("verdict/*.py",), ("verdict",)),
    "numerals": Room(
        ("numerals/*.py",),
        ("numerals", "understanding/values/test_typed_return.py", "understanding/test_spoken_tables.py"),
    ),
    "posterior": Room(
        ("diagnosis/posterior.py", "diagnosis/evidence.py"),
        ("diagnosis/test_posterior.py", "diagnosis/test_evidence.py", "diagnosis/test_outside_network.py"),
    ),
    "fold": Room(
        ("session/fold.py", "session/ledger.py", "session/results/*.py"),
        ("session/test_results.py", "session/test_fold.py"),
    ),
    "middleware": Room(
        ("web/access/middleware.py",), ("web/access/test_middleware_alone.py", "web/access/test_middleware.py")
    ),
}

_COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
_COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One change of one file."""

    file: str
    """Relative to the root of the project."""
    number: int
    """Which of the file's changes it is."""
    line: int
    function: str
    """Where it stands, '' at the top of the module."""
    change: str
    """What was changed into what."""

    @property
    def key(self) -> tuple[str, str, str]:
        """By what it is known again when lines move."""
        return self.file, self.function, self.change


@dataclass(frozen=True)
class _Site:
    """One place where a tree can be changed."""

    node: ast.expr | ast.stmt
    around: ast.expr | ast.stmt
    """By what it is told: the node, around a constant what it stands in."""
    function: str
    which: int
    """Which of the node's changes it is."""

    def change(self) -> None:
        """Change the tree."""
        list(_changes(self.node))[self.which]()

    def told(self) -> str:
        """What the change makes of what."""
        where = next(index for index, one in enumerate(ast.walk(self.around)) if one is self.node)
        other = copy.deepcopy(self.around)
        node = list(ast.walk(other))[where]
        assert isinstance(node, ast.expr | ast.stmt)
        list(_changes(node))[self.which]()
        return f"{_text(self.around)} -> {_text(other)}"


def sites(tree: ast.Module) -> list[_Site]:
    """Every place of a tree that can be changed, in the order of its text."""
    return list(_below(tree, "", None))


def _below(node: ast.AST, function: str, around: ast.expr | ast.stmt | None) -> Iterator[_Site]:
    for child in _running_parts(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield from _below(child, f"{function}.{child.name}".lstrip("."), None)
            continue
        told = around
        if isinstance(child, ast.expr | ast.stmt):
            told = child if around is None or not isinstance(child, ast.Constant | ast.UnaryOp) else around
            for which in range(len(list(_changes(child)))):
                yield _Site(child, told, function, which)
        yield from _below(child, function, told)


def _running_parts(node: ast.AST) -> Iterator[ast.AST]:
    """What of a node runs and may matter: no annotation, decorator, docstring or message of an error."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_params"):
            continue
        for one in value if isinstance(value, list) else [value]:
            if isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant):
                continue
            if isinstance(one, ast.AST):
                yield one


def _changes(node: ast.expr | ast.stmt) -> Iterator[Callable[[], None]]:
    match node:
        case ast.Compare():
            for index, op in enumerate(node.ops):
                if type(op) in _COMPARED:
                    yield partial(node.ops.__setitem__, index, _COMPARED[type(op)]())
        case ast.BinOp() | ast.AugAssign() if type(node.op) in _COUNTED:
            yield partial(setattr, node, "op", _COUNTED[type(node.op)]())
        case ast.BoolOp():
            yield partial(setattr, node, "op", ast.Or() if isinstance(node.op, ast.And) else ast.And())
        case ast.Constant():
            yield from _of_constant(node)
        case ast.Return(value=ast.expr() as value) if not _is_none(value):
            yield partial(setattr, node, "value", ast.Constant(None))
        case ast.Call(func=ast.Name(id="Decimal")):
            yield from _of_decimal(node)
        case ast.If() | ast.IfExp() | ast.While():
            yield partial(setattr, node, "test", ast.UnaryOp(ast.Not(), node.test))
        case ast.ListComp() | ast.SetComp() | ast.DictComp() | ast.GeneratorExp():
            yield from _of_filters(node.generators)


def _of_constant(node: ast.Constant) -> Iterator[Callable[[], None]]:
    if isinstance(node.value, bool):
        yield partial(setattr, node, "value", not node.value)
    elif isinstance(node.value, int | float):
        yield partial(setattr, node, "value", node.value + 1)


def _of_decimal(node: ast.Call) -> Iterator[Callable[[], None]]:
    """A number written as text is a number."""
    for one in node.args:
        if isinstance(one, ast.Constant) and isinstance(one.value, str) and one.value.replace(".", "").isdigit():
            yield partial(setattr, one, "value", f"1{one.value}")


def _of_filters(parts: list[ast.comprehension]) -> Iterator[Callable[[], None]]:
    for part in parts:
        for index, test in enumerate(part.ifs):
            yield partial(part.ifs.__setitem__, index, ast.UnaryOp(ast.Not(), test))


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def mutants_of(source: str, file: str) -> list[Mutant]:
    """All mutants of one file, in the order of its text."""
    return [
        Mutant(file, number, site.node.lineno, site.function, site.told())
        for number, site in enumerate(sites(ast.parse(source)))
    ]


def _text(node: ast.expr | ast.stmt) -> str:
    """A node's text; of a statement with a body its condition alone."""
    return ast.unparse(node.test if isinstance(node, ast.If | ast.While) else node).replace("\n", " ")


def mutated(source: str, number: int) -> ast.Module:
    """The tree of a file with one of its changes made."""
    tree = ast.parse(source)
    sites(tree)[number].change()
    return ast.fix_missing_locations(tree)


class _InPlace(importlib.abc.MetaPathFinder):
    """Gives a module from another tree than its file's."""

    def __init__(self, name: str, path: Path, tree: ast.Module) -> None:
        self._name, self._path, self._tree = name, path, tree

    def find_spec(
        self, fullname: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The spec of that module alone."""
        if fullname != self._name:
            return None
        tree, where = self._tree, str(self._path)

        class Loader(importlib.machinery.SourceFileLoader):
            """Compiles what is given."""

            def get_code(self, fullname: str) -> CodeType:
                """The code of the changed tree."""
                return compile(tree, where, "exec", dont_inherit=True)

        return importlib.util.spec_from_file_location(fullname, where, loader=Loader(fullname, where))


def _load_libraries() -> None:
    """Load once what every child needs, and nothing of the project."""
    importlib.import_module("tests.conftest")
    importlib.import_module("hypothesis.strategies")
    for name in [name for name in sys.modules if name.split(".")[0] in ("assistant", "tests") and name != __name__]:
        del sys.modules[name]


def run(room: Room, mutant: Mutant | None, seconds: float, patience: float) -> tuple[str, float]:
    """How a room's tests end with a mutant ('passed', 'failed', 'hung'), and the seconds of processor they took."""
    assert sys.platform != "win32", "nothing is forked on Windows"
    child = os.fork()
    if not child:
        _child(room, mutant, seconds)
    end = time.monotonic() + patience
    while True:
        pid, status, usage = os.wait4(child, os.WNOHANG)
        if pid:
            break
        if time.monotonic() > end:
            os.kill(child, signal.SIGKILL)
            _, status, usage = os.wait4(child, 0)
            break
        time.sleep(0.05)
    used = usage.ru_utime + usage.ru_stime
    if os.WIFSIGNALED(status):
        return "hung", used
    return ("passed" if os.WEXITSTATUS(status) == 0 else "failed"), used


def _child(room: Room, mutant: Mutant | None, seconds: float) -> None:
    assert sys.platform != "win32"
    import resource

    code = 99
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds) + 5))
        quiet = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(quiet, stream)
        if mutant is not None:
            path = ROOT / mutant.file
            name = ".".join(Path(mutant.file).with_suffix("").parts).removesuffix(".__init__")
            sys.meta_path.insert(0, _InPlace(name, path, mutated(path.read_text(encoding="utf-8"), mutant.number)))
        tests = [str(ROOT / "tests" / one) for one in room.tests]
        options = "-x -q --assert=plain -p no:cacheprovider -p no:randomly -p no:xdist --hypothesis-seed=0"
        code = int(pytest.main([*options.split(), *tests]))
    finally:
        os._exit(code)


def listed() -> dict[tuple[str, str, str], str]:
    """The mutants that nobody can tell from the original, and why."""
    rows = (line.split("\t") for line in LISTED.read_text(encoding="utf-8").splitlines() if line[:1] not in ("", "#"))
    return {(file, function, change): why for file, function, change, why in rows}


def all_of(room: Room) -> list[Mutant]:
    """Every mutant of a room."""
    paths = sorted(path for pattern in room.files for path in (ROOT / "assistant").glob(pattern))
    return [
        mutant
        for path in paths
        for mutant in mutants_of(path.read_text(encoding="utf-8"), str(path.relative_to(ROOT)))
    ]


def main(arguments: Sequence[str] | None = None) -> int:
    """Try random mutants of the named rooms and say which ones live; 1 when some do that are not listed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("rooms", nargs="*", choices=sorted(ROOMS), metavar="ROOM", default=sorted(ROOMS))
    parser.add_argument("--count", type=int, default=60, help="mutants a room")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="only mutants whose file, function or change holds these words")
    wanted = parser.parse_args(arguments)
    os.chdir(ROOT)
    _load_libraries()
    known, strange, tried_all, caught_all = listed(), 0, 0, 0
    for name in wanted.rooms:
        room = ROOMS[name]
        every = [one for one in all_of(room) if wanted.only in " ".join(one.key)]
        chosen = Random(wanted.seed).sample(every, min(wanted.count, len(every)))
        began = time.monotonic()
        ended, used = run(room, None, 600, 3600)
        patience = PATIENCE + 10 * (time.monotonic() - began)
        if ended != "passed":
            print(f"{name}: its tests fail without a mutant", flush=True)
            return 2
        limit = 10 + 4 * used
        caught = told = 0
        for number, mutant in enumerate(chosen, 1):
            ended, _ = run(room, mutant, limit, patience)
            caught += ended != "passed"
            told += ended == "passed" and mutant.key in known
            mark = {"passed": "LIVES ", "failed": "caught", "hung": "caught (it hangs)"}[ended]
            why = f"  [{known[mutant.key]}]" if ended == "passed" and mutant.key in known else ""
            where = f"{mutant.file}:{mutant.line} {mutant.function}"
            print(f"{name} {number}/{len(chosen)} {mark} {where}: {mutant.change}{why}", flush=True)
        print(
            f"{name}: {caught} of {len(chosen)} caught ({100 * caught / max(1, len(chosen)):.0f} %), "
            f"{len(every)} possible; {told} of those that live are listed as equivalent",
            flush=True,
        )
        tried_all, caught_all = tried_all + len(chosen), caught_all + caught
        strange += len(chosen) - caught - told
    print(f"All: {caught_all} of {tried_all} caught ({100 * caught_all / max(1, tried_all):.0f} %)")
    return 1 if strange else 0


if __name__ == "__main__":
    with contextlib.suppress(KeyboardInterrupt):
        sys.exit(main())
