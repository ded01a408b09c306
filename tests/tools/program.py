"""What a package's modules bind and what stands for what: the program as ``reach`` walks it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

Function = ast.FunctionDef | ast.AsyncFunctionDef

_REGISTERING = {"model_validator", "field_validator", "model_serializer", "field_serializer", "listens_for"}
"""Decorators by which a library takes a function in hand."""
_CODE = re.compile(r"\{[{%](.*?)[%}]\}", re.DOTALL)
_ATTRIBUTE = re.compile(r"\.([A-Za-z_]\w*)")


@dataclass
class Node:
    """One name of a module, or of a class."""

    name: str
    """``package.module:Class.method``."""
    module: Module
    line: int
    parts: list[ast.AST]
    """What is read once it is reached."""
    owner: str = ""
    """Its class, for a method."""


@dataclass
class Module:
    """One file."""

    name: str
    path: Path
    body: list[ast.AST] = field(default_factory=list)
    """Statements that run on import and bind no name."""
    bound: dict[str, str] = field(default_factory=dict)
    """Name -> node, ``module:`` and a module, or ``outside:`` and a dotted name."""


@dataclass
class Class:
    """What is known of a class beyond its node."""

    methods: dict[str, str] = field(default_factory=dict)
    fields: dict[str, ast.expr] = field(default_factory=dict)
    """Annotation of each field, or the call whose value a method binds on ``self``."""
    written: list[ast.expr] = field(default_factory=list)
    """Its bases as they are written."""
    bases: list[str] = field(default_factory=list)
    """As in ``Module.bound``."""
    below: set[str] = field(default_factory=set)
    """The classes of ours that are made from it."""
    registered: set[str] = field(default_factory=set)
    """Methods that a decorator gives to a library."""


class Program:
    """All modules of a package.

    Args:
        root: folder that holds the package.
        package: its name.
    """

    def __init__(self, root: Path, package: str) -> None:
        self.package = package
        self.modules: dict[str, Module] = {}
        self.nodes: dict[str, Node] = {}
        self.classes: dict[str, Class] = {}
        self.templates: set[str] = set()
        """Attributes that the package's templates ask for."""
        for template in (root / package).rglob("*.html"):
            code = " ".join(_CODE.findall(template.read_text(encoding="utf-8")))
            self.templates |= set(_ATTRIBUTE.findall(code))
        trees: list[tuple[Module, ast.Module]] = []
        for path in sorted((root / package).rglob("*.py")):
            name = ".".join(path.relative_to(root).with_suffix("").parts).removesuffix(".__init__")
            self.modules[name] = Module(name, path)
            trees.append((self.modules[name], ast.parse(path.read_text(encoding="utf-8"), str(path))))
        for module, tree in trees:
            for statement in tree.body:
                self._bind(module, statement)
        for module, tree in trees:
            for inner in ast.walk(tree):
                if isinstance(inner, ast.Import | ast.ImportFrom):
                    self._bind_import(module, inner)
        self._relate()

    def _bind(self, module: Module, statement: ast.stmt) -> None:
        if isinstance(statement, Function):
            self._add(module, statement.name, statement, [statement])
            if _registers(statement):
                module.body.append(statement)
        elif isinstance(statement, ast.ClassDef):
            self._bind_class(module, statement)
        elif isinstance(statement, ast.Assign | ast.AnnAssign) and (names := _targets(statement)):
            for name in names:
                self._add(module, name, statement, [statement])
        elif isinstance(statement, ast.If) and "TYPE_CHECKING" in ast.dump(statement.test):
            for inner in statement.body:
                self._bind(module, inner)
        else:
            module.body.append(statement)

    def _bind_class(self, module: Module, statement: ast.ClassDef) -> None:
        methods = [inner for inner in statement.body if isinstance(inner, Function)]
        rest: list[ast.AST] = [inner for inner in statement.body if inner not in methods]
        rest += [*statement.bases, *statement.decorator_list, *(keyword.value for keyword in statement.keywords)]
        owner = self._add(module, statement.name, statement, rest)
        known = self.classes[owner] = Class(written=statement.bases)
        for inner in statement.body:
            if isinstance(inner, ast.AnnAssign) and isinstance(inner.target, ast.Name):
                known.fields[inner.target.id] = inner.annotation
        for method in methods:
            name = f"{owner}.{method.name}"
            if name in self.nodes:
                self.nodes[name].parts.append(method)  # the setter of a property
            else:
                self.nodes[name] = Node(name, module, method.lineno, [method], owner)
            known.methods[method.name] = name
            if _registers(method):
                known.registered.add(method.name)
            known.fields |= dict(_bound_on_self(method))

    def _add(self, module: Module, name: str, statement: ast.stmt, parts: list[ast.AST]) -> str:
        key = f"{module.name}:{name}"
        if key in self.nodes:
            self.nodes[key].parts += parts
        else:
            self.nodes[key] = Node(key, module, statement.lineno, parts)
        module.bound[name] = key
        return key

    def _bind_import(self, module: Module, statement: ast.Import | ast.ImportFrom) -> None:
        for alias in statement.names:
            if isinstance(statement, ast.Import):
                top = alias.name if alias.asname else alias.name.partition(".")[0]
                module.bound.setdefault(alias.asname or top, self._target(top, ""))
            else:
                module.bound.setdefault(alias.asname or alias.name, self._target(statement.module or "", alias.name))

    def _target(self, module: str, name: str) -> str:
        whole = f"{module}.{name}" if name else module
        if whole in self.modules:
            return f"module:{whole}"
        return f"{module}:{name}" if module in self.modules else f"outside:{whole}"

    def resolve(self, key: str) -> str:
        """Where a name that another module imports is defined."""
        module, _, name = key.partition(":")
        if key in self.nodes or module in ("module", "outside") or module not in self.modules:
            return key
        found = self.modules[module].bound.get(name, "")
        return self.resolve(found) if found and found != key else ""

    def lookup(self, module: Module, expression: ast.AST) -> str:
        """What a name or a dotted name stands for in a module; empty when it is no name of a module."""
        if isinstance(expression, ast.Name):
            return self.resolve(module.bound.get(expression.id, ""))
        if isinstance(expression, ast.Attribute):
            kind, _, whole = self.lookup(module, expression.value).partition(":")
            if kind == "module":
                return self.resolve(self._target(whole, expression.attr))
            if kind == "outside":
                return f"outside:{whole}.{expression.attr}"
        if isinstance(expression, ast.Subscript):
            return self.lookup(module, expression.value)
        return ""

    def _relate(self) -> None:
        for name, known in self.classes.items():
            node = self.nodes[name]
            found = [self.lookup(node.module, base) or f"outside:{ast.unparse(base)}" for base in known.written]
            known.bases = [base for base in found if base in self.classes or base.startswith("outside:")]
        for name in self.classes:
            for above in self.above(name):
                self.classes[above].below.add(name)

    def above(self, name: str) -> Iterator[str]:
        """The classes of ours that one is made from, itself first."""
        yield name
        for base in self.classes[name].bases:
            if base in self.classes:
                yield from self.above(base)

    def outside(self, name: str) -> set[str]:
        """The classes of libraries that one is made from."""
        bases = {base for above in self.above(name) for base in self.classes[above].bases}
        return {base.partition(":")[2] for base in bases if base not in self.classes}


def _targets(statement: ast.Assign | ast.AnnAssign) -> list[str]:
    """The names that an assignment binds; none when it binds anything else too."""
    targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target]
    flat = [one for target in targets for one in (target.elts if isinstance(target, ast.Tuple) else [target])]
    names = [target.id for target in flat if isinstance(target, ast.Name)]
    return names if len(names) == len(flat) else []


def _registers(function: Function) -> bool:
    names = (one.func if isinstance(one, ast.Call) else one for one in function.decorator_list)
    return any(getattr(name, "attr", getattr(name, "id", "")) in _REGISTERING for name in names)


def _bound_on_self(method: Function) -> Iterator[tuple[str, ast.expr]]:
    """Fields that a method binds with a class that can be told: by an annotation, a parameter or a call."""
    parameters = {one.arg: one.annotation for one in [*method.args.args, *method.args.kwonlyargs] if one.annotation}
    for statement in ast.walk(method):
        if isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Attribute):
            yield statement.target.attr, statement.annotation
        if not isinstance(statement, ast.Assign):
            continue
        for target in statement.targets:
            pairs = [(target, statement.value)]
            if isinstance(target, ast.Tuple) and isinstance(statement.value, ast.Tuple):
                pairs = list(zip(target.elts, statement.value.elts, strict=False))
            for one, value in pairs:
                if isinstance(one, ast.Attribute) and isinstance(value, ast.Name) and value.id in parameters:
                    yield one.attr, parameters[value.id]
                elif isinstance(one, ast.Attribute):
                    yield one.attr, value if isinstance(value, ast.Call) else ast.Name("object")
