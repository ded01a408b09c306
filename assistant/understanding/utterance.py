"""What one text means at one prompt: an answer, a command, a question, a report; weighing several is `interpret`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from assistant.messages import (
    About,
    Command,
    Expectation,
    Expects,
    Outcome,
    Overlaid,
    Report,
    Understanding,
)
from assistant.numerals.tokenizer import NUMBER_KINDS, Item, scan
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.choosing.choices import in_another_form, normal, understand_choice
from assistant.understanding.clauses.clause import Role
from assistant.understanding.clauses.parts import NUMBER, UNIT, parts_of
from assistant.understanding.clauses.spoken import spoken
from assistant.understanding.commanding.cautions import caution_answered
from assistant.understanding.commanding.statements import (
    asked_alone,
    no_with_more,
    only_aside,
    statement_of,
    yes_among,
    yes_with_more,
)
from assistant.understanding.commanding.ways import told_in_a_way
from assistant.understanding.commanding.wishes import spotted_wish, wish_of
from assistant.understanding.commands import command_of
from assistant.understanding.follow_up import pick
from assistant.understanding.talk import (
    answer_and_question,
    danger_of,
    question_by_form,
    question_in_a_piece,
    question_of,
    report_of,
)
from assistant.understanding.values.details import detail_of
from assistant.understanding.values.identifiers import understand_identifier
from assistant.understanding.values.number_spans import tidy
from assistant.understanding.values.readings import BY_COST, understand_reading

COUNTING = frozenset({Command.YES, Command.NO, Command.NEXT, Command.SKIP, Command.STOP, Command.WITHDRAW})
"""Commands that record or change something."""


def understand(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """What one text means at this prompt."""
    picked = pick(text, expectation, vocabulary)
    if picked:
        return picked
    if expectation.expects is not Expects.NOTE:
        detail = detail_of(text, vocabulary)
        if detail is not None:
            return detail
    caution = caution_answered(text, expectation, vocabulary)
    if caution is not None:
        return caution
    found = answer_of(text, expectation, vocabulary)
    if expectation.expects is Expects.NOTE or not text.strip():
        return found
    if found.outcome is Outcome.NOT_UNDERSTOOD:
        return _beside_answers(text, found, expectation, vocabulary)
    other = _other_than_said(text, found, expectation, vocabulary)
    if other is not None:
        return other
    if _may_ask(found, text, vocabulary):
        asked = question_of(text, expectation, vocabulary)
        if asked is not None:
            return _as_command(asked)
    return _told_beside(text, found, expectation, vocabulary) or found


def _told_beside(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """What is told where a command seems to be: work goes on, somebody else takes over; None for neither."""
    if (
        found.command in (Command.NO, Command.YES, Command.NEXT)
        and expectation.told
        and not is_short_form(text, vocabulary)
    ):
        told = report_of(text, expectation, vocabulary)
        if told is not None and told.report in (Report.WORKING, Report.STUCK):
            return told
    if found.command is Command.STOP and normal(text) not in vocabulary.wishes.get(Command.STOP, ()):
        told = report_of(text, expectation, vocabulary)
        if told is not None and told.report is Report.HANDOVER:
            return told  # 'that's it, I'm done for the night': it is handed over
    return None


def _beside_answers(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding:
    """What is asked or told in words that answer nothing as a whole; ``found`` where it is neither."""
    done = _done_and_next(text, expectation, vocabulary)
    if done is not None:
        return done
    asked = question_of(text, expectation, vocabulary)
    if asked is not None:
        return _as_command(asked)
    for words, beside in answer_and_question(text, expectation, vocabulary):
        answer = answer_of(words, expectation, vocabulary)
        if answer.outcome in _WITH_A_QUESTION:
            return replace(answer, about=beside.about, place=beside.place)
    asked_about = _would_be_good(text, found, expectation, vocabulary)
    told = asked_about or report_of(text, expectation, vocabulary)
    if told is None and found.reason == "leftover":
        told = in_another_form(text, expectation.choices)
    if told is None and not _numbers(text, vocabulary):
        told = spotted_wish(text, expectation, vocabulary)
    if told is None and found.reason != Role.TALK.value and expectation.expects is not Expects.CHOICE:
        piece = question_in_a_piece(text, expectation, vocabulary)
        told = _as_command(piece) if piece is not None else None
    return told or found


def _other_than_said(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """What words that look like an answer or a command are all the same: a danger, a question; None for neither."""
    if found.outcome is Outcome.CHOOSE or (found.confirm and found.outcome is Outcome.CHOICE):
        told = report_of(text, expectation, vocabulary)
        if told is not None and told.report is Report.NOT_NOW:
            return told
    if found.confirm or found.outcome in _OFTEN_SAID:
        told = danger_of(text, expectation, vocabulary)
        if told is not None:
            return told  # 'I just sliced my hand open': no 'open' of a meter
    if found.outcome in _OFTEN_SAID and found.confirm:
        told = report_of(text, expectation, vocabulary, shown=False)
        if told is not None and told.report in (Report.LIGHT_OUT, Report.LIGHT_ON):
            return told  # 'the light went off on its own': no display with a one on its own
    if found.command is Command.SAY_AGAIN and not is_short_form(text, vocabulary):
        whole = question_by_form(text, expectation, vocabulary)
        if whole is not None and whole[1].startswith("="):
            return _as_command(whole[0])  # 'then what': the 'what' in it wants nothing again
    return _asked_beside(text, found, expectation, vocabulary)


def _asked_beside(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """The same reading with what is asked beside it, where the words of the question alone made it doubtful.

    'Twelve fifty, and what is the limit': the limit is asked for, and says nothing of the reading.
    """
    if not found.confirm or found.reason in BY_COST or found.outcome not in READ:
        small = found.outcome is Outcome.CHOOSE and found.reason in ("lone_one", "scale")
        return report_of(text, expectation, vocabulary) if small else None
    for words, beside in answer_and_question(text, expectation, vocabulary):
        answer = answer_of(words, expectation, vocabulary)
        alike = answer.outcome is found.outcome and answer.value == found.value
        if alike and (not answer.confirm or answer.reason in BY_COST):
            return replace(answer, about=beside.about, place=beside.place)
    return None


def _done_and_next(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """'All right, that's done, what's next': a yes where one is waited for; the next prompt answers the question."""
    if expectation.expects is not Expects.COMMAND:
        return None
    for words, asked in answer_and_question(text, expectation, vocabulary):
        answer = answer_of(words, expectation, vocabulary)
        only_begins = normal(words) in _BEGINNINGS
        if answer.command in (Command.YES, Command.NEXT) and asked.about is About.NEXT and not only_begins:
            return replace(answer, about=asked.about, place=asked.place)
    return None


_BEGINNINGS = frozenset({"okay", "ok", "alright", "all right", "right", "good", "fine"})
"""Words that only begin what is said: 'alright, what do I do next'."""


def _would_be_good(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """'Is eleven fifty all right?': the value that is asked about, told how it is judged; a yes makes it count."""
    unit = vocabulary.unit(expectation.unit)
    if expectation.expects is not Expects.READING or found.reason != Role.QUESTION.value or unit is None:
        return None
    parts = parts_of(text, scan(text, vocabulary, unit.dimension), vocabulary)
    said = [at for at, part in enumerate(parts) if part.role == NUMBER and part.kind not in "XA"]
    if not said or not any("asking_tail" in part.roles for part in parts):
        return None
    last = said[-1] + 1 if said[-1] + 1 < len(parts) and parts[said[-1] + 1].role == UNIT else said[-1]
    between = parts[said[0] : last + 1]
    if any(part.role not in (NUMBER, UNIT) for part in between):
        return None
    meant = understand_reading(text[between[0].start : between[-1].end], expectation, vocabulary)
    if meant.outcome is not Outcome.READING or meant.value is None:
        return None
    ask = clarifications.right(meant.value, expectation.unit)
    return replace(
        meant, heard=text, about=About.GOOD, confirm=True, reason=Role.QUESTION.value, ask=ask, said_at=None
    )


READ = frozenset({Outcome.READING, Outcome.OVER_RANGE})
_OFTEN_SAID = frozenset({Outcome.OVER_RANGE, Outcome.NOTHING, Outcome.UNSTEADY})
"""Outcomes whose words are said of much else too."""
_WITH_A_QUESTION = frozenset({
    Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.CHOICE, Outcome.CHOOSE, Outcome.IDENTIFIER,
})  # fmt: skip
"""What an answer beside a question can be."""
_ASKING_COMMANDS = frozenset({
    Command.WHATS_LEFT, Command.HELP, Command.WHY, Command.WHERE,
})  # fmt: skip
AS_COMMAND = {About.WHY: Command.WHY, About.DONE: Command.WHERE}
"""Questions that a command answers."""


def _may_ask(found: Understanding, text: str, vocabulary: Vocabulary) -> bool:
    """Whether what is taken for a command in free talk may be a question of its own."""
    asks = found.command in _ASKING_COMMANDS or (found.confirm and found.reason == "slip")
    return found.outcome is Outcome.COMMAND and asks and not is_short_form(text, vocabulary)


def is_short_form(text: str, vocabulary: Vocabulary) -> bool:
    """Whether it is the short form of a command, said politely or not."""
    said = normal(text).removesuffix(" please")
    return any(said in forms for forms in vocabulary.commands.values())


def _as_command(asked: Understanding) -> Understanding:
    command = AS_COMMAND.get(asked.about) if asked.about is not None else None
    if command is None:
        return asked
    return Understanding(Outcome.COMMAND, asked.heard, unit=asked.unit, command=command)


def answer_of(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """What one text means as an answer or a command; what is asked or told beside them is not understood."""
    found = _confirming(text, expectation, vocabulary) or _understood(text, expectation, vocabulary)
    if found.outcome is not Outcome.NOT_UNDERSTOOD and not (found.confirm and found.reason == "slip"):
        return found
    return wish_of(text, expectation, vocabulary) or statement_of(text, expectation, vocabulary) or found


def _confirming(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """A yes or a no at 'is that right?', also with something said beside it."""
    told = expectation.expects is Expects.COMMAND and not is_short_form(text, vocabulary)
    if told and normal(text) in vocabulary.wishes.get(Command.YES, ()):
        return wish_of(text, expectation, vocabulary)  # 'that's what I got': the 'what' in it asks nothing
    if not asked_alone(expectation) or expectation.expects is Expects.CHOICE:
        return None
    over = expectation.prompt.overlaid is Overlaid.CONFIRM
    wish = wish_of(text, expectation, vocabulary)
    if wish is not None and (not over or wish.command in (Command.YES, Command.NO, Command.NEXT)):
        return wish
    rest = yes_with_more(text, expectation)
    told_so = rest and normal(_I_MEAN.sub("", rest)) in vocabulary.wishes.get(Command.YES, ())
    if told_so:
        return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=Command.YES)
    if _numbers(_THE_ONE.sub(" ", text), vocabulary) or (not over and _commands(text, expectation, vocabulary)):
        return None
    if no_with_more(text, stopped=not over):
        return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=Command.NO)
    if not over and not _only_yes(text, rest or "", expectation, vocabulary):
        return None
    if (rest and only_aside(rest)) or (rest is None and yes_among(text, expectation, vocabulary)):
        more = _understood(rest or text, expectation, vocabulary)
        if more.outcome is Outcome.NOT_UNDERSTOOD and more.reason in ("leftover", ""):
            return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=Command.YES)
    return None


def _only_yes(text: str, rest: str, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether it is a yes without a prompt that asks: by its own word, a stop behind it, and nothing else wished.

    'That's it, I'm hanging it up' ends something.
    """
    if "?" in text or not _PLAIN_YES.match(text) or not yes_with_more(text, expectation, stopped=True):
        return False
    others = (spotted_wish, report_of, question_of)
    return all(other(rest, expectation, vocabulary) is None for other in others) and not _ENDING.search(rest)


_PLAIN_YES = re.compile(r"\W*(?:\w+\W+)?(?:yes|yep|yup|yeah|sí|si|affirmative)\b", re.IGNORECASE)
_ENDING = re.compile(
    r"\b(?:done|stop|quit|home|tomorrow|later|shut|skip|next|back|wrap\w*|hang\w*|pack\w*|leav\w*|enough|finish\w*)\b",
    re.IGNORECASE,
)
_I_MEAN = re.compile(r"^(?:i mean|like i said|i said|man)\W+", re.IGNORECASE)
_THE_ONE = re.compile(r"\b(?:the|that|this)(?:'s)?\s+one\b", re.IGNORECASE)
"""'That's the one': no number."""


def _commands(text: str, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether a command stands among the words: 'no, hold on a second'."""
    if _understood(text, expectation, vocabulary).outcome is not Outcome.NOT_UNDERSTOOD:
        return True
    return spotted_wish(text, expectation, vocabulary) is not None


def _numbers(text: str, vocabulary: Vocabulary) -> bool:
    return any(item.kind in NUMBER_KINDS for item in scan(text.lower(), vocabulary))


def _understood(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    if expectation.expects is Expects.READING:
        return understand_reading(text, expectation, vocabulary)
    if expectation.expects is Expects.CHOICE:
        wish = wish_of(text, expectation, vocabulary) if _yes_or_no_among(expectation) else None
        return wish or understand_choice(text, expectation, vocabulary)
    if expectation.expects is Expects.IDENTIFIER:
        return understand_identifier(text, expectation, vocabulary)
    items = scan(text.lower(), vocabulary)
    command = command_of(text, tidy(items), vocabulary)
    if command and command.command in COUNTING and asks(text, items, vocabulary):
        command = None
    if expectation.expects is Expects.NOTE:
        if command and not command.confirm and command.note is None:
            return command
        return Understanding(Outcome.NOTE, text, note=text.strip())
    asked = command is None and expectation.prompt.overlaid is None and expectation.choices
    if asked and told_in_a_way(text, expectation, vocabulary):  # done, and how it was done
        return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=Command.YES)
    return command or Understanding(Outcome.NOT_UNDERSTOOD, text, reason="leftover", ask=clarifications.AGAIN)


def asks(text: str, items: Sequence[Item], vocabulary: Vocabulary) -> bool:
    """Whether something is asked by more words than the form of a command has."""
    said = normal(text)
    if any(said in forms for forms in vocabulary.commands.values()):
        return False
    return any(clause.role is Role.QUESTION for clause in spoken(text, items, vocabulary).clauses)


def _yes_or_no_among(expectation: Expectation) -> bool:
    return {"yes", "no"} <= {form for choice in expectation.choices for form in (choice.name, *choice.also)}
