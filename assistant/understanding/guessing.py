"""What was said beside answers, by the classifier of intents: where no rule knows it, or one seems to mistake it.

What is harmless is taken at once where one intent stands well before all others. What goes into the record, or back
to an earlier question, is taken only where hardly anything else is possible, and is asked by its name in one short
question otherwise. What answers, skips, takes back or ends is always asked so: in the tables of talk most sentences
that were nearly certain to be one of these, and that no rule knew, were none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.intents.features import PARTS, SMALL, words_in
from assistant.intents.sayings import Beside
from assistant.messages import (
    About,
    Ask,
    Clarification,
    Command,
    Expectation,
    Expects,
    Outcome,
    Overlaid,
    PromptKind,
    Report,
    Understanding,
)
from assistant.numerals.tokenizer import NUMBER_KINDS, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications, half_heard
from assistant.understanding.choosing.choices import normal
from assistant.understanding.clauses.clause import Role
from assistant.understanding.clauses.parts import SHOWN, parts_of
from assistant.understanding.patterns import words_of
from assistant.understanding.place_names import place_in, place_spans
from assistant.understanding.respelling import respelled
from assistant.understanding.talk import side_named
from assistant.understanding.values.readings import understand_reading

GUESS, UNTOLD = "guess", "untold"
"""Reasons of what was guessed: to be asked about, or that nobody can tell."""
ACTS = 0.4
"""Share by which an intent must stand before all others to be taken: with a writer left out, 97 of 100 are right."""
OVERRULES = 0.6
"""The same where a form of a rule fits: one word may be the whole of it."""
COUNTED = 0.85
"""The same where a rule knows another command."""
SURE = 0.9
"""The same for what goes into the record: 99 of 100 are right."""
AFFIRMED = 0.75
"""The same for a yes at 'is that right?': 99 of 100 are right."""
DANGER = 0.2
"""Share at which a danger is answered whatever else it may have been."""
DOUBTED = 0.15
"""What it takes from it that the words seem to be said to somebody else, or to begin a reading."""
_NONE = frozenset({Beside.CHAT.value, Beside.READING.value, Beside.LOOK.value})
_ALIKE = (
    frozenset({Beside.LATER.value, Command.SKIP.value}), frozenset({About.LIMIT.value, About.USUAL.value}),
    frozenset({About.LEFT.value, About.TIME_LEFT.value, Command.WHATS_LEFT.value}),
    frozenset({About.SUSPECTS.value, Command.WHATS_LEFT.value}),
    frozenset({About.LEADS.value, About.RED.value, About.BLACK.value, About.PIN.value}),
    frozenset({Report.OUT_OF_REACH.value, Report.STUCK.value}),
    frozenset({About.LAST.value, About.AT_PLACE.value}), frozenset({Command.HOLD.value, Report.WORKING.value}),
    frozenset({Beside.DONE_SO_FAR.value, Command.WHERE.value}), _NONE,
    frozenset({Command.STOP.value, Report.HANDOVER.value}),
)  # fmt: skip
"""Intents that are served alike, or nearly: one takes nothing from the other."""
_COMMANDS = frozenset({*(one.value for one in Command), Beside.NOT_DONE.value, Beside.LATER.value})
_DONE = frozenset({Beside.DONE.value, Command.YES.value, Command.NEXT.value})
_NOT = frozenset({Beside.NOT_DONE.value, Command.NO.value, Report.WORKING.value})
_HARMLESS = frozenset({
    Command.SAY_AGAIN, Command.HOLD, Command.RESUME, Command.HELP, Command.WHY, Command.WHATS_LEFT, Command.WHERE,
    Command.SAY_LESS, Command.SAY_MORE, Command.SAY_USUAL,
})  # fmt: skip
"""Commands that record no answer."""
_TOLD = frozenset({
    Report.DANGER, Report.HANDOVER, Report.START_OVER, Report.FOUND, Report.OUT_OF_REACH, Report.NO_TOOL,
    Report.STUCK, Report.WORKING, Report.ALREADY,
})  # fmt: skip
"""Reports that change nothing before a yes."""
_WORK = (PromptKind.FIX, PromptKind.PROOF, PromptKind.CLOSE, PromptKind.STOP)
"""Prompts at which a yes spends a part, moves the unit or ends something."""


def opinion_on(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """What words were meant for that the rules do not know, or seem to mistake; None where the rules stand.

    Args:
        text: what was said.
        found: what the rules made of it.
        expectation: what the prompt waits for.
        vocabulary: the compiled grammars.
    """
    opinion = vocabulary.second_opinion
    known, least = _known(found, expectation)
    if opinion is None or least is None or expectation.expects is Expects.NOTE or not text.strip():
        return None
    if known is None and expectation.expects is Expects.READING and len(words_in(text)) == 1:
        return None  # a word alone may be anything that was misheard
    if known is not None and any(normal(text) in forms for forms in vocabulary.commands.values()):
        return None
    shares = opinion.shares(respelled(text, expectation, vocabulary) or text)
    if shares[Report.DANGER.value] >= DANGER and least < COUNTED:
        return _report(text, Report.DANGER, expectation)
    ahead = margin_of(shares, expectation) - half_heard.less_sure(text)
    best = next(iter(shares))
    if ahead < least or (known is not None and known in _served_alike(best, expectation)):
        return None
    if least == COUNTED and best not in _COMMANDS:
        return None
    if best not in _NONE:
        return _taken(text, best, ahead, expectation, vocabulary)
    if known is None:
        return None
    again = clarifications.AGAIN
    return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=expectation.unit, reason="leftover", ask=again)


def is_chat(text: str, vocabulary: Vocabulary) -> bool:
    """Whether words are most like talk to somebody else."""
    opinion = vocabulary.second_opinion
    if opinion is None:
        return False
    best, share = next(iter(opinion.shares(text).items()))
    return best == Beside.CHAT and share >= ACTS


def _known(found: Understanding, expectation: Expectation) -> tuple[str | None, float | None]:
    """The intent that the rules know, and how far another one must stand ahead of the next; None where none may."""
    if found.outcome is Outcome.NOT_UNDERSTOOD and found.reason != "silence":
        return None, ACTS + (DOUBTED if found.reason == Role.TALK.value else 0)
    if found.outcome in (Outcome.INCOMPLETE, Outcome.CHOOSE) and found.reason in _HARDLY:
        return None, ACTS + DOUBTED
    if found.outcome is Outcome.QUESTION and found.about is not None:
        return _NAMES.get(found.about, found.about.value), OVERRULES
    if found.outcome is Outcome.REPORT and found.report not in _WITHOUT_SAYINGS:
        return str(found.report), OVERRULES
    if found.outcome is Outcome.COMMAND and found.command not in _WITHOUT_SAYINGS:
        if found.confirm and found.reason == "slip":
            return None, ACTS
        if found.ask == Clarification(Ask.ALL_DONE) or found.command is None:
            return None, None
        plain = expectation.prompt.overlaid is None
        return found.command.value, OVERRULES if found.command in _HARMLESS else COUNTED if plain else None
    return None, None


_WITHOUT_SAYINGS = frozenset({None, Report.DANGER, Report.DETAIL, Report.NOT_NOW, Command.SAY_USUAL})
"""What the sayings do not speak of, or may not speak against."""
_HARDLY = frozenset({"lone_one", "scale", "incomplete"})
"""Reasons of readings of which hardly anything was said."""
_NAMES = {About.NEXT: Beside.WHAT_NEXT.value, About.DONE: Beside.DONE_SO_FAR.value}


def _taken(
    text: str, best: str, ahead: float, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """What the likeliest intent comes to, at once or with a question; None where it may answer or is denied."""
    meant = _meant(text, best, ahead, expectation, vocabulary)
    if meant is None or (expectation.prompt.kind is PromptKind.HELD and meant.command is not Command.RESUME):
        return None
    if meant.outcome is Outcome.READING:
        return meant if ahead >= OVERRULES else None
    if meant.outcome is Outcome.QUESTION:
        return meant
    said = words_in(text)
    sure = ahead >= SURE - DOUBTED and meant.report is not None
    untold = ahead >= SURE - DOUBTED and meant.reason == UNTOLD
    if (
        not untold
        and (not sure or expectation.expects is Expects.CHOICE)
        and _may_answer(text, said, expectation, vocabulary)
    ):
        return None
    if meant.command in (Command.CORRECTION, Command.WITHDRAW) and PARTS & set(said) and not _ANSWER & set(said):
        return None  # 'change the battery' is work
    if meant.report in _LOOKS and expectation.expects is Expects.CHOICE:
        return None
    if meant.report is Report.REPLACED and said[0] in _TO_DO:
        return None
    if meant.command in _COURSE and (_denied(said) or (said[0] in _ASKING and said[1:2] and said[1] in _WHOM)):
        return None
    if (
        meant.command in _HARMLESS
        or meant.report in _TOLD
        or meant.outcome is Outcome.NOT_UNDERSTOOD
        or meant.confirm
    ):
        return meant
    asks = "?" in text
    if meant.command is Command.NO and expectation.prompt.overlaid is Overlaid.CONFIRM:
        return None if asks else meant
    if meant.command is Command.NEXT and expectation.expects is not Expects.COMMAND:
        return meant
    noted = meant.report is not None and expectation.prompt.kind not in _WORK and ahead >= OVERRULES
    free = noted or (meant.command in _BACK and ahead >= SURE)
    return meant if free and not asks else _asked(meant, best)


def _denied(said: Sequence[str]) -> bool:
    """'Don't skip it', but not 'don't think so' and 'never mind this one'."""
    denied = (said[0] == "never" and said[1:2] != ["mind"]) or tuple(said[:2]) == ("do", "not")
    return denied and not {"think", "want", "need", "bother"} & set(said)


_ANSWER = frozenset({"reading", "answer", "number", "value", "last", "said", "told", "gave", "that", "it"})
_LOOKS = frozenset({Report.STUCK, Report.LIGHT_ON, Report.LIGHT_OUT, Report.REPLACED})
"""Reports that may be what something looks like: 'won't turn', 'it's lit'."""
_TO_DO = frozenset({"replace", "change", "swap", "install", "put"})
"""Words that begin what is to be done, not what was: 'replace the battery'."""
_BACK = frozenset({Command.GO_BACK, Command.CORRECTION, Command.NOTE})
_COURSE = _BACK | {Command.SKIP, Command.STOP, Command.NEXT, Command.YES, Command.NO, Command.WITHDRAW}
_ASKING = frozenset({"is", "are", "was", "were", "did", "do", "does", "has", "have", "should", "must", "am", "if"})
_WHOM = frozenset({"i", "we", "you", "it", "he", "she", "they", "that", "this", "the", "there", "any", "anybody"})
"""Words that begin a question about a command, which is none: 'did you stop', 'should I skip this'."""
_MINUTES = frozenset({"minute", "minutes", "min", "mins", "moment"})


def _may_answer(text: str, said: Sequence[str], expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether a reading or a choice stands in it at a prompt for one: its rules found none, and that stays."""
    if expectation.expects is Expects.CHOICE and expectation.prompt.overlaid is None:
        named = {word for one in expectation.choices for form in (one.name, *one.also) for word in words_in(form)}
        return bool(named & set(said) - SMALL)
    if expectation.expects is not Expects.READING:
        return False
    if _holds_a_number(text, vocabulary):
        return not _MINUTES & set(said)
    return any(part.role in SHOWN for part in parts_of(text, scan(text.lower(), vocabulary), vocabulary))


def margin_of(shares: dict[str, float], expectation: Expectation) -> float:
    """How far the likeliest intent stands before the next one that would be served in another way."""
    alike = _served_alike(next(iter(shares)), expectation)
    together = sum(shares.get(one, 0.0) for one in alike)
    return together - next((share for one, share in shares.items() if one not in alike), 0.0)


def _served_alike(intent: str, expectation: Expectation) -> frozenset[str]:
    groups = (*_ALIKE, _DONE, _NOT) if expectation.expects is Expects.COMMAND else _ALIKE
    return frozenset({intent}).union(*(group for group in groups if intent in group))


def _meant(
    text: str, intent: str, ahead: float, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """What an intent comes to at this prompt."""
    if intent in _AS_ASKED:
        return _question(text, _AS_ASKED[intent], expectation)
    if intent in _AS_COMMAND:
        return _command(text, _AS_COMMAND[intent], expectation)
    if intent in (Beside.DONE, Command.YES, Command.NO, Command.NEXT):
        return _answer(text, intent, ahead, expectation)
    if intent == Beside.UNSURE and expectation.expects is not Expects.IDENTIFIER:
        return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=expectation.unit, reason=UNTOLD)
    if intent == Beside.NOT_DONE:
        return _report(text, Report.WORKING, expectation) if expectation.prompt.overlaid is None else None
    if intent == About.GOOD:
        return _would_be_good(text, expectation, vocabulary)
    if intent in set(Command):
        meant = _command(text, Command(intent), expectation)
        return replace(meant, note=text.strip()) if intent == Command.NOTE else meant
    return _told(text, intent, expectation) if intent in set(Report) | set(About) else None


def _told(text: str, intent: str, expectation: Expectation) -> Understanding | None:
    """A question or a report, with the place that it names."""
    place, _ = place_in(words_of(text), expectation.places)
    if intent == Report.ORDER and place in (None, expectation.prompt.place):
        # 'save this one, do the right rear before the left rear': the other one
        others = {name for name, _, _ in place_spans(text, expectation.places)} - {expectation.prompt.place}
        place = others.pop() if len(others) == 1 else None
    if intent in (Report.ORDER, About.AT_PLACE):
        place = place or side_named(text)
        if place is None:
            return None
    if intent in set(Report):
        return _report(text, Report(intent), expectation, place if intent == Report.ORDER else None)
    return _question(text, About.AT_PLACE if place and intent == About.LAST else About(intent), expectation, place)


_AS_ASKED = {Beside.WHAT_NEXT.value: About.NEXT}
_AS_COMMAND = {
    Beside.DONE_SO_FAR.value: Command.WHERE, Beside.LATER.value: Command.SKIP, About.WHY.value: Command.WHY,
}  # fmt: skip
"""Intents that are served by a question, or a command, of another name."""


def _answer(text: str, intent: str, ahead: float, expectation: Expectation) -> Understanding | None:
    """A yes, a no or a 'done' where one is waited for; None where it answers nothing."""
    over = expectation.prompt.overlaid
    if over is Overlaid.CONFIRM or expectation.expects is not Expects.COMMAND:
        among = any(word in (one.name, *one.also) for one in expectation.choices for word in ("yes", "no"))
        if intent not in (Command.YES, Command.NO) or not (over is Overlaid.CONFIRM or among):
            return _command(text, Command.NEXT, expectation) if intent == Command.NEXT and over is None else None
        if over is Overlaid.CONFIRM and (
            intent == Command.NO or (ahead >= AFFIRMED and _only_said(text, expectation))
        ):
            return _command(text, Command(intent), expectation)
        return Understanding(
            Outcome.NOT_UNDERSTOOD, text, unit=expectation.unit, reason=GUESS, ask=clarifications.YES_OR_NO
        )
    if intent == Command.NO:
        return _command(text, Command.NO, expectation)
    if expectation.told and expectation.hint.startswith("yes"):  # a caution
        if intent == Command.NEXT:
            return None
        ask = Clarification(Ask.ALL_DONE)
        return Understanding(
            Outcome.COMMAND, text, unit=expectation.unit, command=Command.YES, confirm=True, ask=ask, reason=GUESS
        )
    onward = intent == Command.NEXT or (intent == Beside.DONE and not expectation.hint.startswith("yes"))
    return _command(text, Command.NEXT if onward else Command.YES, expectation)


def _only_said(text: str, expectation: Expectation) -> bool:
    """Whether words at 'is that right?' hold nothing but talk: no question, no denial, and it spends no part."""
    said = words_in(text)
    return "?" not in text and "not" not in said and "no" not in said and expectation.prompt.kind not in _WORK


def _asked(meant: Understanding, intent: str) -> Understanding:
    """The same, to be asked about by its name."""
    name = Command.SKIP.value if intent == Beside.LATER else intent
    return replace(meant, confirm=True, reason=GUESS, ask=Clarification(Ask.GUESSED, names=(name,)))


def _would_be_good(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """Whether something is good; a value that is named is told how it would be judged, and counts after a yes."""
    if not _holds_a_number(text, vocabulary):
        return _question(text, About.GOOD, expectation)
    unit = vocabulary.unit(expectation.unit)
    if expectation.expects is not Expects.READING or unit is None:
        return None
    items = scan(text, vocabulary, unit.dimension)
    held = [at for at, item in enumerate(items) if item.kind in NUMBER_KINDS and item.kind not in "XA"]
    last = held[-1] + 1 if held and held[-1] + 1 < len(items) and items[held[-1] + 1].kind == Kind.UNIT else held[-1]
    between = items[held[0] : last + 1]
    if any(item.kind not in NUMBER_KINDS and item.kind != Kind.UNIT for item in between):
        return None
    meant = understand_reading(text[between[0].start : between[-1].end], expectation, vocabulary)
    if meant.outcome is not Outcome.READING or meant.value is None:
        return None
    ask = clarifications.right(meant.value, expectation.unit)
    return Understanding(
        Outcome.READING, text, value=meant.value, values=meant.values, unit=expectation.unit, about=About.GOOD,
        confirm=True, reason=Role.QUESTION.value, ask=ask,
    )  # fmt: skip


_NO_NUMBERS = frozenset({"one", "ones", "two", "a", "an", "first", "second", "half", "oh"})


def _holds_a_number(text: str, vocabulary: Vocabulary) -> bool:
    return any(
        item.kind in NUMBER_KINDS and item.kind not in "XASPhM" and item.text not in _NO_NUMBERS
        for item in scan(text.lower(), vocabulary)
    )


def _question(text: str, about: About, expectation: Expectation, place: str | None = None) -> Understanding:
    return Understanding(Outcome.QUESTION, text, unit=expectation.unit, about=about, place=place)


def _command(text: str, command: Command, expectation: Expectation) -> Understanding:
    return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=command)


def _report(text: str, report: Report, expectation: Expectation, place: str | None = None) -> Understanding:
    return Understanding(Outcome.REPORT, text, unit=expectation.unit, report=report, place=place)
