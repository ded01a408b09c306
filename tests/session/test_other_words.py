"""No sentence steers a session: with every phrase in other words it decides the same, also when the words change
between leaving and resuming."""

from __future__ import annotations

import codecs
import json
from collections.abc import Iterator
from contextlib import contextmanager
from random import Random
from string import Formatter
from typing import Any

import pytest

from assistant.messages import Reason, Resumed, Why
from assistant.messages.decisions import Decision, ObservationWithdrawn, ProofStepWithdrawn
from assistant.phrasing import lengths, sentences
from assistant.phrasing.reasons import reason_text
from assistant.records.journal.decisions import read_decision
from assistant.records.journal.differences import describe
from assistant.records.journal.format import encode_body
from assistant.records.journal.lines import Entry
from assistant.session.fold import fold
from tests.session.agenda.test_survey import BEGIN, SURVEY, survey
from tests.session.conversation import Conversation, context
from tests.session.test_property import WORDS, forward
from tests.session.test_session import OHMS

TABLES: list[dict[Any, str]] = [
    one for room in (sentences, lengths) for one in vars(room).values() if isinstance(one, dict)
]
TABLES = list({id(one): one for one in TABLES if all(isinstance(text, str) for text in one.values())}.values())
LINES = 60


def other_words(template: str) -> str:
    """The same slots among other words that take as long to say: each letter is another one."""
    parts = []
    for literal, name, spec, _ in Formatter().parse(template):
        parts.append(codecs.encode(literal, "rot13"))
        if name is not None:
            parts.append(f"{{{name}:{spec}}}" if spec else f"{{{name}}}")
    return "".join(parts)


@contextmanager
def reworded() -> Iterator[None]:
    """Every phrase, reason, hint and remark in other words."""
    before = [dict(table) for table in TABLES]
    try:
        for table in TABLES:
            table.update({key: other_words(text) for key, text in table.items() if isinstance(text, str)})
        yield
    finally:
        for table, kept in zip(TABLES, before, strict=True):
            table.update(kept)


def lead(talk: Conversation, seed: int, lines: int = LINES) -> Conversation:
    """Hear as many lines, three of four of which take the session on."""
    rng = Random(seed)
    for _ in range(lines):
        if talk.finished:
            break
        talk.hear(forward(talk) if rng.random() < 0.75 else rng.choice(WORDS))
    return talk


def as_format_2(plain: dict[str, Any], decision: Decision) -> dict[str, Any]:
    """A decision as format 2 wrote it: with the sentence of its reason, in the words of that day."""
    if isinstance(decision, ProofStepWithdrawn):
        return {"kind": "fact_withdrawn", "fact": f"proof:{decision.step}"}
    said: dict[str, str] = {
        name: reason_text(getattr(decision, name)) for name in ("because", "what") if name in plain
    }
    if "reason" in plain and not plain["reason"]:
        said["reason"] = "no reason given"
    return {**plain, **said}


def taken_up(talk: Conversation, *, earlier: bool = False) -> Conversation:
    """The session left, its journal read, and taken up again; ``earlier`` as a journal of format 2."""
    decisions: list[Decision] = []
    for record in talk.records:
        plain = encode_body(Entry(record.fact, record.decisions, record.replies))
        if earlier:
            pairs = zip(plain["decisions"], record.decisions, strict=True)
            plain["decisions"] = [as_format_2(one, decision) for one, decision in pairs]
        decisions += [read_decision(json.dumps(one).encode()) for one in plain["decisions"]]
    if earlier:
        assert describe(decisions, talk.decisions) is None
    else:
        assert decisions == talk.decisions
    later = Conversation(talk.context, fold(talk.context, decisions), decisions=decisions, clock=talk.clock)
    later.feed(Resumed(talk.clock))
    return later


def test_every_phrase_is_reworded() -> None:
    """The other words are other words: a test that changes nothing would show nothing."""
    plain = reason_text(Reason(Why.TOO_CLOSE))
    with reworded():
        assert reason_text(Reason(Why.TOO_CLOSE)) != plain
        assert sentences.PHRASES["ready"] == "Ernql?"
        assert sentences.PHRASES["reading_limits"].count("{") == 3
    assert reason_text(Reason(Why.TOO_CLOSE)) == plain


@pytest.mark.parametrize("seed", range(24))
def test_a_session_in_other_words_decides_the_same(seed: int) -> None:
    plain = lead(Conversation().begin(), seed)
    with reworded():
        assert lead(Conversation().begin(), seed).decisions == plain.decisions


@pytest.mark.parametrize("seed", range(24))
def test_a_session_left_in_one_wording_and_resumed_in_another_decides_the_same(seed: int) -> None:
    whole = int(lead(Conversation().begin(), seed).clock)
    left = lead(Conversation().begin(), seed, Random(seed).randrange(1, whole))
    assert not left.finished
    plain = lead(taken_up(left), seed + 1000)
    with reworded():
        other = lead(taken_up(left), seed + 1000)
    assert other.decisions == plain.decisions


@pytest.mark.parametrize("seed", range(24))
def test_a_session_left_by_an_earlier_version_goes_on_as_one_of_today(seed: int) -> None:
    """A journal of format 2 holds sentences where today's holds reasons; what is decided after it is the same."""
    whole = int(lead(Conversation().begin(), seed).clock)
    left = lead(Conversation().begin(), seed, Random(seed).randrange(1, whole))
    before = len(left.decisions)
    today = lead(taken_up(left), seed + 2000)
    earlier = lead(taken_up(left, earlier=True), seed + 2000)
    assert earlier.decisions[before:] == today.decisions[before:]


def test_a_reading_once_more_replaces_the_first_although_the_words_changed_between() -> None:
    left = Conversation(context(meter=coarse_meter())).begin().dialog(OHMS)
    left.hear("720")
    if left.prompt.startswith("confirm:"):
        left.hear("yes")
    first = left.now.observations[-1]
    with reworded():
        later = taken_up(left)
        assert later.prompt == "check:sensor ohms:left"
        later.hear("725")
        if later.prompt.startswith("confirm:"):
            later.hear("yes")
    gone = [one for one in later.decisions if isinstance(one, ObservationWithdrawn)]
    assert [(one.number, one.because.why) for one in gone] == [(first.number, Why.READ_ONCE_MORE)]
    standing = [seen for seen in later.now.observations if seen.check == "sensor ohms"]
    assert [str(seen.value) for seen in standing] == ["725"]


def test_a_place_read_again_replaces_its_reading_although_the_words_changed_between() -> None:
    begun = Conversation(survey(checks=SURVEY["checks"][:1])).begin()
    left = begun.dialog([*BEGIN, "yes", "next", "1.2 inches", "left front next"])
    first = left.now.observations[-1]
    with reworded():
        later = taken_up(left)
        later.hear("1.3 inches")
    gone = [one for one in later.decisions if isinstance(one, ObservationWithdrawn)]
    assert [(one.number, one.because.why) for one in gone] == [(first.number, Why.READ_AGAIN)]
    assert [str(seen.value) for seen in later.now.observations] == ["1.3"]


def coarse_meter() -> Any:
    """A meter that cannot tell 720 ohms from the limit of 700."""
    from assistant.verdict.uncertainty import Meter

    row = {"unit": "ohm", "top": 20000, "resolution": 10, "accuracy": "1%+5"}
    return Meter.from_table({"name": "bench", "range": [row]})
