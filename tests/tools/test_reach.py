"""The check for names that only tests reach, on a small program in which the answer is known."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tools.reach import ROOT, entries_of, exceptions, unreached

FILES = {
    "__init__.py": "",
    "__main__.py": """
        from small import table
        from small.work import Worker, used

        def main():
            worker = Worker()
            worker.go()
            used()
            getattr(worker, f"on_{input()}")()
            table.run("lazy:late")

        def only_tested():
            return helper()

        def helper():
            return 1

        if __name__ == "__main__":
            main()
        """,
    "table.py": """
        import importlib

        def run(code):
            module, _, name = code.partition(":")
            getattr(importlib.import_module(f"small.{module}"), name)()
        """,
    "lazy.py": "def late(): pass",
    "nobody.py": "def lonely(): pass",
    "work.py": """
        import threading
        from dataclasses import dataclass
        from typing import Protocol

        LIMIT = 3
        SPARE = 4

        class Goes(Protocol):
            def pace(self) -> int: ...

        class Runner:
            def pace(self) -> int:
                return LIMIT

            def rest(self) -> int:
                return 0

        @dataclass
        class Sleeper:
            name: str

            def rest(self) -> int:
                return 1

        class Thread(threading.Thread):
            def run(self):
                pass

            def walk(self):
                pass

        class Worker:
            def __init__(self) -> None:
                self._thread = Thread()
                self._sleeper = Sleeper("one")

            def go(self) -> None:
                self._sleeper.rest()
                pace(Runner())

            def on_start(self) -> None:
                pass

            def dead(self) -> None:
                self.dead()

        def pace(one: Goes) -> int:
            return one.pace()

        def used():
            def inner():
                pass
            return inner()

        def dead():
            pass
        """,
}


@pytest.fixture
def small(tmp_path: Path) -> Path:
    (tmp_path / "small").mkdir()
    for name, text in FILES.items():
        lines = text.splitlines()
        (tmp_path / "small" / name).write_text("\n".join(line.removeprefix(" " * 8) for line in lines))
    (tmp_path / "pyproject.toml").write_text('[project.scripts]\nsmall = "small.__main__:main"\n')
    tests = tmp_path / "tests"
    tests.mkdir()
    (tests / "test_small.py").write_text("from small.__main__ import only_tested\nassert only_tested() == 1\n")
    return tmp_path


def names(root: Path) -> set[str]:
    return {node.name for node in unreached(root, "small", entries_of(root))}


def test_it_finds_what_is_dead_and_what_only_tests_reach(small: Path) -> None:
    assert names(small) == {
        "small.nobody",
        "small.__main__:only_tested",
        "small.__main__:helper",
        "small.work:SPARE",
        "small.work:Runner.rest",
        "small.work:Thread.walk",
        "small.work:Worker.dead",
        "small.work:dead",
    }


@pytest.mark.parametrize(
    ("call", "name"),
    [
        ("only_tested()", "small.__main__:only_tested"),
        ("import small.nobody", "small.nobody"),
        ("worker.dead()", "small.work:Worker.dead"),
        ("print('work:dead')", "small.work:dead"),
        ("open('small.nobody')", "small.nobody"),
    ],
)
def test_a_line_of_the_product_reaches_it(small: Path, call: str, name: str) -> None:
    assert name in names(small)
    main = small / "small" / "__main__.py"
    main.write_text(main.read_text().replace("    used()", f"    used()\n    {call}"))
    assert name not in names(small)


def test_a_template_reaches_what_it_asks_for(small: Path) -> None:
    (small / "small" / "page.html").write_text(
        "worker.dead is no code, {% if runner.rest() %}{{ one.walk }}{% endif %}"
    )
    assert {"small.work:Runner.rest", "small.work:Thread.walk"} & names(small) == set()
    assert "small.work:Worker.dead" in names(small)


def test_every_exception_has_its_reason() -> None:
    assert exceptions("# a remark\n\na.b:C.d  the library calls it\n") == {"a.b:C.d": "the library calls it"}
    with pytest.raises(ValueError, match=r"a\.b:C\.d: say why"):
        exceptions("a.b:C.d")


def test_the_product_has_entries() -> None:
    assert "assistant.__main__:main" in entries_of(ROOT)
