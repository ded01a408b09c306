"""``leadsman start`` before its first question: by a complaint, by recordings, with papers; what a shell offers."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import Self

import click
import pytest
from click.shell_completion import CompletionItem

from assistant.__main__ import cli
from assistant.clock import SystemClock
from assistant.commands.completion import offering
from assistant.composition import new_session
from assistant.errors import OperatorError
from assistant.messages import Heard, Source
from assistant.records.journal.reader import Session
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import find
from assistant.scenes import load_scene
from assistant.setup.model import ModelIdentity
from tests.commands.running import Run
from tests.fakes import FakeHears
from tests.procedure.small import SMALL

MODEL = ModelIdentity("invented", "0" * 64)


class Shop:
    """Records and procedures of the test's own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.records = FolderStore(folder / "records")
        self.answers = folder / "answers.txt"
        self.answers.write_text("next\n", encoding="utf-8")

    def only(self) -> Session:
        [name] = self.records.ids()
        return find(self.records, name)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """With an invented lamp to mend."""
    (tmp_path / "shop" / "dialogs").mkdir(parents=True)
    (tmp_path / "shop" / "dialogs" / "lamp.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))
    monkeypatch.setenv("LEADSMAN_RECORDS", str(tmp_path / "records"))
    return Shop(tmp_path)


def test_a_complaint_chooses_the_procedure_and_is_kept_as_it_was_said(run: Run, shop: Shop) -> None:
    said = "trailer ABS light stays on"
    ran = run("start", "--complaint", said, "--unit", "4471", "--answers", str(shop.answers))
    assert ran.code == 0
    assert "(trailer-abs-light-on).)" in " ".join(ran.err.split())
    session = shop.only()
    assert session.header.procedure == "trailer-abs-light-on"
    assert said in run("show", "last").out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("", "There is no procedure and no complaint. Name one (see leadsman procedures)"),
        ("the radio hums", "No procedure is about that. See them all: leadsman procedures"),
        ("ABS light stays on", "That may be one of several: "),
    ],
)
def test_a_complaint_that_calls_for_none_or_several_begins_nothing(
    run: Run, shop: Shop, words: str, told: str
) -> None:
    ran = run("start", "--complaint", words, "--unit", "4471", "--answers", str(shop.answers))
    assert ran.code == 2
    assert told in ran.err
    assert shop.records.ids() == []


def test_a_vin_that_was_misread_is_told_and_kept(run: Run, shop: Shop) -> None:
    """Seventeen ones have the check digit 1 (49 CFR 565.15(c)), so that a seven among them does not fit."""
    start = ("start", "lamp", "--unit", "4471", "--answers", str(shop.answers), "--vin")
    assert "does not fit" not in run(*start, "1" * 17).err
    ran = run(*start, "1" * 16 + "7")
    assert ran.code == 0
    assert "its ninth character does not fit the others. It is kept; read it off the plate again." in ran.err


class Hears(FakeHears):
    """A recognizer that is entered and left."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        pass


def test_recordings_are_the_answers_in_the_order_of_their_names(
    run: Run, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.asr.recognizer.Recognizer", lambda *_, **__: Hears())
    monkeypatch.setattr("assistant.setup.model.model_folder", Path)
    monkeypatch.setattr("assistant.setup.model.identity", lambda _: MODEL)
    folder = shop.folder / "said"
    folder.mkdir()
    for name in ("2_whole", "1_next", "10_stop"):
        (folder / f"{name}.flac").write_bytes(b"")
    ran = run("start", "lamp", "--unit", "4471", "--audio", str(folder))
    assert ran.code == 0, ran.err
    session = shop.only()
    facts = [one.fact for _, one in session.entries() if isinstance(one.fact, Heard)]
    assert [one.hypotheses[0].words for one in facts][:2] == ["next", "whole"]
    assert {one.source for one in facts} == {Source.RECORDING}
    assert (session.header.source, session.header.model) == ("recording", MODEL.name)


def test_a_record_that_was_damaged_says_so_when_it_is_taken_up(run: Run, shop: Shop) -> None:
    """A torn last line, as a crash leaves it: the session goes on, and the rest is there."""
    work = new_session("lamp", shop.records, SystemClock(), unit="4471")
    work.journal.close()
    path = shop.records.folder / f"{work.header.session_id}.jsonl"
    with path.open("ab") as file:
        file.write(b'{"torn')
    ran = run("resume", "--answers", str(shop.answers))
    assert ran.code == 0
    assert "(record: " in ran.err
    assert list(_heard(shop.only())) == ["next"]


def _heard(session: Session) -> Iterable[str]:
    return (one.fact.hypotheses[0].words for _, one in session.entries() if isinstance(one.fact, Heard))


def test_where_nothing_was_left_there_is_nothing_to_take_up(run: Run, shop: Shop) -> None:
    ran = run("resume", "--answers", str(shop.answers))
    assert ran.code == 2
    assert f"No session in {shop.records.folder} was left unfinished." in ran.err


def _offered(command: str, argument: str, typed: str) -> dict[str, str | None]:
    """What a shell is offered there."""
    known = cli.get_command(click.Context(cli), command)
    assert known is not None
    [parameter] = [one for one in known.params if one.name == argument]
    items: list[CompletionItem] = parameter.shell_complete(click.Context(known), typed)
    return {item.value: item.help for item in items}


def test_the_shell_is_offered_what_begins_as_it_was_typed(run: Run, shop: Shop) -> None:
    assert "lamp" in _offered("start", "procedure", "")
    assert set(_offered("start", "procedure", "trailer-abs")) == {
        "trailer-abs-light-on", "trailer-abs-light-never-lights",
    }  # fmt: skip
    assert list(_offered("start", "meter", "sh")) == ["shop"]
    scene = "two-faults-in-a-row"
    assert _offered("demo", "scene", "two") == {scene: load_scene(scene).scene.title}
    run("start", "lamp", "--unit", "4471", "--answers", str(shop.answers))
    [name] = shop.records.ids()
    sessions = _offered("show", "session_id", "")
    assert list(sessions) == ["last", name]
    assert "4471 lamp" in str(sessions[name])
    assert list(_offered("show", "session_id", "la")) == ["last"]


@pytest.mark.parametrize("error", [OperatorError("The table cannot be read."), PermissionError("no")])
def test_nothing_that_fails_gets_into_the_line_that_is_typed(
    error: Exception, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(_: click.Context) -> Iterable[tuple[str, str]]:
        raise error

    complete = offering(fails)
    assert complete(click.Context(cli), click.Argument(["name"]), "") == []
    assert capsys.readouterr() == ("", "")


def test_a_procedure_with_faults_is_listed_as_one(run: Run, shop: Shop) -> None:
    """It is not hidden, and the others are listed all the same."""
    (shop.folder / "shop" / "dialogs" / "broken.toml").write_text("format = 1\nname = 3\n", encoding="utf-8")
    out = run("procedures").out
    assert "\nlamp\n    Finds why a lamp is dark.\n" in f"\n{out}"
    assert "broken\n    has " in out
    assert "faults: see leadsman inspect broken" in out
    rows = run("procedures", "--json").out
    assert '"name": "broken"' in rows
    assert run("inspect", "broken").code != 0
