"""Names that nothing in the product reaches: ``make check`` fails on them. Run as ``python -m tests.tools.reach``.

The program is read, not run. Every function, class, method and constant of a module is a node; what its lines name is
what it reaches. The walk begins at the commands of ``[project.scripts]`` and follows imports, names, attributes,
decorators, annotations and the few kinds of text that name code ('module:attribute', a module for ``python -m``,
``getattr`` with a prefix, a template). A method is reached once its class is reached and its name is asked of that
class, of one above or below it, of a protocol, or of something whose class cannot be told. Methods that replace
one of a library's class are called by the library. Tests do not count.
"""

from __future__ import annotations

import ast
import builtins
import importlib
import re
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path

from tests.tools.program import Function, Module, Node, Program

ROOT = Path(__file__).parent.parent.parent
EXCEPTIONS = Path(__file__).parent / "reached_by_libraries.txt"
"""One exception a line: the name, and why a library reaches it."""

_PLAIN = {"str", "int", "float", "bool", "bytes", "dict", "list", "tuple", "set", "frozenset", "None",
          "Decimal", "Path", "Fraction", "Random"}  # fmt: skip
"""Types of which no class of ours is one."""
_NAMED = re.compile(r"([A-Za-z_][\w.]*):([A-Za-z_]\w*)\Z")

Classes = frozenset[str] | None
"""Classes that an expression may have, by name; None when that cannot be told."""
NOTHING: frozenset[str] = frozenset()


class Walk:
    """What is reached from the entries of a program."""

    def __init__(self, program: Program, entries: Iterable[str]) -> None:
        self.program = program
        self.reached: set[str] = set()
        self.imported: set[str] = set()
        self._asked: set[str] = set()
        """Names asked of something whose class cannot be told."""
        self._asked_of: dict[str, set[str]] = {}
        """Names asked of a class, of those above it and of those below it."""
        self._waiting: list[Node] = []
        for name in program.templates:
            self.ask(name, None)
        for entry in entries:
            self.reach(entry)
        self._run()

    def _run(self) -> None:
        while self._waiting:
            while self._waiting:
                node = self._waiting.pop()
                for part in node.parts:
                    _Reader(self, node.module, node.owner, part).visit(part)
            for name in [name for name in self.reached if name in self.program.classes]:
                for method, node_name in self.program.classes[name].methods.items():
                    if node_name not in self.reached and self._is_asked(name, method):
                        self.reach(node_name)

    def _is_asked(self, name: str, method: str) -> bool:
        if method in self._asked or method in self._asked_of.get(name, ()):
            return True
        known = self.program.classes[name]
        called = method in known.registered or (method.startswith("__") and method.endswith("__"))
        return called or any(_has(outside, method) for outside in self.program.outside(name))

    def reach(self, name: str) -> None:
        """Note that a node, or a whole module, is reached."""
        if name.startswith("module:"):
            self.load(name.removeprefix("module:"))
        elif (node := self.program.nodes.get(name)) and name not in self.reached:
            self.reached.add(name)
            self._waiting.append(node)
            self.load(node.module.name)
            if node.owner:
                self.reach(node.owner)

    def load(self, name: str) -> None:
        """Note that a module is imported, with the packages around it."""
        module = self.program.modules.get(name)
        if module is None or name in self.imported:
            return
        self.imported.add(name)
        self.load(name.rpartition(".")[0])
        self._waiting.append(Node(name, module, 1, module.body))

    def ask(self, name: str, classes: Classes) -> None:
        """Note that a name is asked of an object of these classes."""
        if classes is None or any(self._is_protocol(one) for one in classes):
            self._asked.add(name)
            return
        for one in classes:
            for near in (*self.program.above(one), *self.program.classes[one].below):
                self._asked_of.setdefault(near, set()).add(name)

    def _is_protocol(self, name: str) -> bool:
        return any(outside.split(".")[-1] in ("Protocol", "ABC") for outside in self.program.outside(name))


def _has(dotted: str, name: str) -> bool:
    """Whether a library's class has an attribute of that name."""
    module, _, attribute = re.sub(r"\[.*", "", dotted).rpartition(".")
    try:
        return hasattr(getattr(importlib.import_module(module) if module else builtins, attribute), name)
    except (ImportError, AttributeError):
        return False


def _stored(function: Function) -> list[str]:
    """Every name that a function, or one inside it, binds: as often as it does."""
    found = [one.arg for one in (function.args.vararg, function.args.kwarg) if one]
    for inner in ast.walk(function):
        if isinstance(inner, ast.Name) and isinstance(inner.ctx, ast.Store):
            found.append(inner.id)
        elif isinstance(inner, Function) and inner is not function:
            found.append(inner.name)
        if isinstance(inner, Function | ast.Lambda) and inner is not function:
            found += [one.arg for one in (*inner.args.args, *inner.args.kwonlyargs)]
        elif isinstance(inner, ast.ExceptHandler) and inner.name:
            found.append(inner.name)
    return found


class _Reader(ast.NodeVisitor):
    """Reads one node: tells the walk what its lines name."""

    def __init__(self, walk: Walk, module: Module, owner: str, part: ast.AST) -> None:
        self._walk, self._module, self._owner, self._program = walk, module, owner, walk.program
        self._local: dict[str, Classes] = {}
        if isinstance(part, Function):
            self._learn(part)

    def _learn(self, function: Function) -> None:
        """Names that a function binds itself, with their classes where they can be told."""
        given = function.args
        for one in (*given.posonlyargs, *given.args, *given.kwonlyargs):
            self._local[one.arg] = self._named(one.annotation, self._module)
        if self._owner and given.args and given.args[0].annotation is None:
            self._local[given.args[0].arg] = frozenset({self._owner})
        elsewhere = {name for inner in ast.walk(function) if isinstance(inner, ast.Global) for name in inner.names}
        stored = [name for name in _stored(function) if name not in elsewhere]
        annotated = dict(self._local)
        self._local |= dict.fromkeys([name for name in stored if name not in annotated], None)
        for inner in ast.walk(function):
            if isinstance(inner, ast.AnnAssign) and isinstance(inner.target, ast.Name):
                self._local[inner.target.id] = self._named(inner.annotation, self._module)
            elif isinstance(inner, ast.Assign) and isinstance(inner.targets[0], ast.Name):
                name = inner.targets[0].id
                if stored.count(name) == 1 and name not in annotated:
                    self._local[name] = self._class_of(inner.value)

    def visit_Name(self, node: ast.Name) -> None:
        """A name of the module, unless the function binds it itself."""
        if node.id not in self._local:
            self._walk.reach(self._program.lookup(self._module, node))

    def visit_Attribute(self, node: ast.Attribute) -> None:
        """A name of another module, or one that is asked of an object."""
        found = "" if self._is_local(node) else self._program.lookup(self._module, node)
        if found:
            self._walk.reach(found)
        else:
            self._walk.ask(node.attr, self._class_of(node.value))
        self.visit(node.value)

    def visit_Constant(self, node: ast.Constant) -> None:
        """Text that names code: a module, or 'module:attribute' below any package of ours."""
        if not isinstance(node.value, str):
            return
        if node.value in self._program.modules:
            self._walk.load(node.value)
        elif found := _NAMED.match(node.value):
            for module in self._program.modules:
                if f".{module}".endswith(f".{found[1]}"):
                    self._walk.reach(self._program.resolve(f"{module}:{found[2]}"))

    def visit_Call(self, node: ast.Call) -> None:
        """``getattr`` asks for a name, or for every name with a prefix."""
        if isinstance(node.func, ast.Name) and node.func.id in ("getattr", "hasattr") and len(node.args) > 1:
            asked, classes = node.args[1], self._class_of(node.args[0])
            if isinstance(asked, ast.Constant) and isinstance(asked.value, str):
                self._walk.ask(asked.value, classes)
            elif isinstance(asked, ast.JoinedStr) and isinstance(asked.values[0], ast.Constant):
                prefix = str(asked.values[0].value)
                for known in self._program.classes.values():
                    for name in known.methods:
                        if name.startswith(prefix):
                            self._walk.ask(name, classes)
        self.generic_visit(node)

    def visit_Import(self, node: ast.Import) -> None:
        """What is imported runs."""
        for alias in node.names:
            self._walk.load(alias.name)

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        """What is imported runs."""
        self._walk.load(node.module or "")
        for alias in node.names:
            self._walk.load(f"{node.module}.{alias.name}")

    def _is_local(self, node: ast.expr) -> bool:
        while isinstance(node, ast.Attribute):
            node = node.value
        return isinstance(node, ast.Name) and node.id in self._local

    def _named(self, annotation: ast.expr | None, module: Module) -> Classes:
        """The classes that an annotation names."""
        if isinstance(annotation, ast.Constant) and isinstance(annotation.value, str):
            annotation = ast.parse(annotation.value, mode="eval").body
        if isinstance(annotation, ast.Constant) and annotation.value is None:
            return NOTHING
        if isinstance(annotation, ast.BinOp):
            first, second = self._named(annotation.left, module), self._named(annotation.right, module)
            return None if first is None or second is None else first | second
        if not isinstance(annotation, ast.Name | ast.Attribute | ast.Subscript):
            return None
        found = self._program.lookup(module, annotation)
        if found in self._program.classes:
            return frozenset({found})
        last = ast.unparse(annotation).partition("[")[0].split(".")[-1]
        return NOTHING if last in _PLAIN else None

    def _class_of(self, expression: ast.expr) -> Classes:
        """The classes that an expression may have."""
        if isinstance(expression, ast.Constant | ast.JoinedStr | ast.Dict | ast.List | ast.Set | ast.ListComp):
            return NOTHING
        if isinstance(expression, ast.Name) and expression.id in self._local:
            return self._local[expression.id]
        if isinstance(expression, ast.Name | ast.Attribute) and not self._is_local(expression):
            found = self._program.lookup(self._module, expression)
            if found in self._program.classes:
                return frozenset({found})  # the class itself
        if isinstance(expression, ast.Attribute):
            return self._of_field(expression)
        if isinstance(expression, ast.Call):
            return self._of_call(expression)
        return None

    def _of_field(self, expression: ast.Attribute) -> Classes:
        owners = self._class_of(expression.value)
        if not owners:
            return owners
        found: set[str] = set()
        for owner in owners:
            for above in self._program.above(owner):
                known, module = self._program.classes[above], self._program.nodes[above].module
                if expression.attr in known.fields:
                    written = known.fields[expression.attr]
                    reader = _Reader(self._walk, module, above, written)
                    classes = (
                        reader._of_call(written) if isinstance(written, ast.Call) else self._named(written, module)
                    )
                    break
                if expression.attr in known.methods:
                    classes = self._returned(known.methods[expression.attr])
                    break
            else:
                return None
            if classes is None:
                return None
            found |= classes
        return frozenset(found)

    def _of_call(self, call: ast.Call) -> Classes:
        if isinstance(call.func, ast.Name | ast.Attribute) and not self._is_local(call.func):
            found = self._program.lookup(self._module, call.func)
            if found in self._program.classes:
                return frozenset({found})
            if found in self._program.nodes:
                return self._returned(found)
        if isinstance(call.func, ast.Attribute):
            owners = self._class_of(call.func.value)
            if owners:
                methods = [
                    self._program.classes[above].methods.get(call.func.attr)
                    for owner in owners
                    for above in self._program.above(owner)
                ]
                returned = [self._returned(method) for method in methods if method]
                if returned and all(classes is not None for classes in returned):
                    return frozenset().union(*(classes or NOTHING for classes in returned))
        return None

    def _returned(self, name: str) -> Classes:
        node = self._program.nodes[name]
        function = node.parts[0]
        if not isinstance(function, Function) or any(
            "contextmanager" in ast.unparse(one) or "click" in ast.unparse(one) for one in function.decorator_list
        ):
            return None
        if isinstance(function.returns, ast.Name) and function.returns.id == "Self":
            return frozenset({node.owner})
        return self._named(function.returns, node.module)


def unreached(root: Path, package: str, entries: Iterable[str]) -> list[Node]:
    """Every name of a package that its entries do not reach; of what holds others only itself."""
    program = Program(root, package)
    walk = Walk(program, entries)
    found = [
        Node(module.name, module, 1, []) for module in program.modules.values() if module.name not in walk.imported
    ]
    for node in program.nodes.values():
        last = re.split(r"[:.]", node.name)[-1]
        held = node.module.name not in walk.imported or (node.owner and node.owner not in walk.reached)
        if node.name not in walk.reached and not held and not (last.startswith("__") and last.endswith("__")):
            found.append(node)
    return found


def entries_of(root: Path) -> list[str]:
    """The commands that the package installs, and what runs with ``python -m``."""
    scripts = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]["scripts"]
    return [*scripts.values(), *(f"module:{script.partition(':')[0]}" for script in scripts.values())]


def exceptions(text: str) -> dict[str, str]:
    """Name -> reason of each line.

    Raises:
        ValueError: a line has no reason.
    """
    found: dict[str, str] = {}
    for line in text.splitlines():
        name, _, reason = line.strip().partition(" ")
        if name and not name.startswith("#"):
            if not reason.strip():
                raise ValueError(f"{name}: say why a library reaches it.")
            found[name] = reason.strip()
    return found


def main() -> int:
    """Print what is not reached, and exceptions that are none any more; 1 when there is any."""
    allowed = exceptions(EXCEPTIONS.read_text(encoding="utf-8"))
    found = unreached(ROOT, "assistant", entries_of(ROOT))
    wrong = [node for node in found if node.name not in allowed]
    for node in wrong:
        print(f"{node.module.path.relative_to(ROOT)}:{node.line}: nothing in the product reaches {node.name}")
    spare = sorted(set(allowed) - {node.name for node in found})
    for name in spare:
        print(f"{EXCEPTIONS.relative_to(ROOT)}: {name} is reached, or is no more; take the line out")
    if wrong or spare:
        print(
            "Take out what only tests reach, with its tests; a library's callback goes into the list of exceptions."
        )
    return int(bool(wrong or spare))


if __name__ == "__main__":
    sys.exit(main())
