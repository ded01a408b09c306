"""Where the hands were, beside the evidence of a record: each picture once, one row at most."""

from __future__ import annotations

import tempfile
from contextlib import ExitStack
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from assistant.commands.lead.demo import run_scene
from assistant.display.terminal import Screen
from assistant.records.journal.reader import Session
from assistant.records.report.exhibits import MOST, exhibits_of
from assistant.records.report.page import Told, html_report, record_html
from assistant.records.summary.collect import summarize
from assistant.scenes import load_scene
from assistant.session.context import Context
from tests.records.samples import session_in


class Quiet(Screen):
    """Shows nothing."""

    def line(self, at: float, speaker: str, text: str, mark: str = "") -> None:
        """Leave it out."""


@cache
def played(scene: str) -> tuple[Session, Context]:
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        work, _ = run_scene(stack, load_scene(scene), folder, Quiet(), None)
        return session_in(folder, work.header.session_id), work.context


@pytest.mark.parametrize(
    ("scene", "said"),
    [
        ("sensor-open-behind-a-drum", "Red probe: one pin of the sensor's plug."),
        ("ground-that-passes-unloaded", "Red probe: ground wire of the power plug."),
        ("corroded-plug", "Where: "),
    ],
)
def test_what_a_repair_rests_on_is_shown_once(scene: str, said: str) -> None:
    session, context = played(scene)
    one = summarize(session)
    shown = exhibits_of(session, context, one)
    words = [each.words for exhibits in shown.values() for each in exhibits]
    assert any(said in each for each in words), words
    assert len(words) <= MOST
    assert len(set(words)) == len(words)
    told = Told(exhibits=shown)
    assert html_report(one, context.vocabulary, told).count('class="hands"') == len(words)
    page = record_html(one, context.vocabulary, told)
    assert page.count('class="hands"') == len(words)
    assert "<style" not in page, "the page links its style sheet"


def test_a_record_whose_procedure_is_lost_does_without() -> None:
    session, _ = played("sensor-open-behind-a-drum")
    assert exhibits_of(session, None, summarize(session)) == {}


def test_a_plan_that_is_all_there_is_to_see_stands_beside_the_table() -> None:
    """Below it a small picture took a fifth of the first page; a circuit needs the width."""
    session, context = played("backed-off-on-a-disc")
    one = summarize(session)
    ((number, (plan,)),) = exhibits_of(session, context, one).items()
    assert plan.kind == "plan"
    for shown, beside in (([plan], 1), ([replace(plan, kind="circuit")], 0), ([plan, plan], 0)):
        page = html_report(one, told=Told(exhibits={number: shown}))
        assert page.count('class="beside"') == beside
        assert page.count(f"{number}: {plan.words}") == len(shown)
