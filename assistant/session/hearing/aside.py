"""What words tell that seem to answer: of a unit that rolls, of another part than is asked, work told as done.

Readers as in ``hearing.reader``: each gives the turn with what was told and its event, or None.
"""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.messages import Command, Expectation, Expects, Heard, Outcome, Report, Understanding
from assistant.session.dialog_state import Mode
from assistant.session.events import Event
from assistant.session.handlers.repairing import way_told
from assistant.session.handlers.reporting import read_before
from assistant.session.hearing.reader import Told
from assistant.session.turn import Turn
from assistant.session.unprompted.codes import code_read
from assistant.session.unprompted.sightings import sighted
from assistant.understanding import clarifications
from assistant.understanding.choosing.asserted import denied, told_undenied
from assistant.understanding.choosing.choices import forms_of, normal, stems_of
from assistant.understanding.choosing.rolling import at_rest, names_rolling, went_out_rolling
from assistant.understanding.commanding.done_reports import told_done
from assistant.understanding.hazards import asks
from assistant.understanding.interpret import by_rules
from assistant.understanding.patterns import words_of
from assistant.understanding.talk import report_of

STILL = "still"
"""How the wheels stand where a light is looked at before it rolls."""
_PARTS = frozenset({
    "battery", "batterie", "alternator", "belt", "cable", "starter", "solenoid", "sensor", "wire", "plug", "bracket",
    "hub", "bearing", "drum", "tire", "module", "valve", "bulb", "socket", "cord", "fuse", "chamber", "ring", "clamp",
})  # fmt: skip
"""Parts of a unit, without the s of several."""


def while_rolling(turn: Turn, mode: Mode, words: str) -> Told | None:
    """What the light does once it rolls is no answer where it is looked at with the wheels still.

    'Stays on till the wheels turn' stays on; 'goes out when you drive' tells nothing of it; 'I rolled it and it went
    out' tells that it is not there now.
    """
    if (
        went_out_rolling(words, turn.context.vocabulary)
        and mode is not Mode.PROOF
        and turn.meant.outcome is not Outcome.QUESTION
    ):
        gone = Understanding(Outcome.REPORT, words, report=Report.NOT_NOW)
        return replace(turn, understood=gone), Event.REPORT
    if mode is not Mode.CHECK or turn.meant.outcome not in (Outcome.CHOICE, Outcome.CHOOSE, Outcome.NOT_UNDERSTOOD):
        return None
    check, wanted = turn.context.check(turn.asked.name), turn.expectation
    if wanted is None or not names_rolling(words, turn.context.vocabulary) or not isinstance(turn.fact, Heard):
        return None
    if check.conditions.get("wheels") != STILL and "wheels still" not in check.ask.lower():
        return None
    rest = at_rest(words, turn.context.vocabulary)
    if rest:
        said = (replace(turn.fact.hypotheses[0], words=rest),)
        meant = by_rules(said, wanted, turn.context.vocabulary, snr_db=turn.fact.snr_db)
        if meant.outcome is Outcome.CHOICE:
            return replace(turn, understood=replace(meant, heard=words, said_at=None)), Event.CHOICE
    ask = clarifications.one_of(wanted.choices)
    none = Understanding(Outcome.NOT_UNDERSTOOD, words, ask=ask, reason="leftover")
    return replace(turn, understood=none), Event.NOT_UNDERSTOOD


def of_another_part(turn: Turn, mode: Mode, words: str) -> Told | None:
    """'The batteries are dead' where it is asked how it cranks: a finding of its own, and no answer without a yes."""
    meant, wanted = turn.meant, turn.expectation
    if mode is not Mode.CHECK or wanted is None or not names_another_part(turn, words):
        return None
    concluded = _concluded(words, meant, wanted)
    if concluded is not None:
        return replace(turn, understood=concluded), Event.CHOICE
    check = turn.context.check(turn.asked.name)
    finding = sighted(turn.context, turn.state, words, wanted.places)
    if finding is not None and finding.check != check.name:
        return replace(turn, sighting=finding), Event.SEEN
    if meant.outcome is Outcome.CHOICE and not meant.confirm and meant.choice is not None:
        asked = clarifications.which_name(meant.choice)
        return replace(turn, understood=replace(meant, confirm=True, ask=asked, reason="leftover")), Event.CHOICE
    none = Understanding(Outcome.NOT_UNDERSTOOD, words, ask=clarifications.one_of(wanted.choices), reason="leftover")
    return replace(turn, understood=none), Event.NOT_UNDERSTOOD


_SO = re.compile(r"[\s,.;!-]+(?:so|which means|that means|meaning|must be|guess)\b", re.IGNORECASE)
"""Before what somebody concludes."""


def _concluded(words: str, meant: Understanding, wanted: Expectation) -> Understanding | None:
    """'Dark, so it ain't the bulb' where dark is a choice of what is asked: that one; None where it is none."""
    so = _SO.search(words)
    if so is None or meant.outcome not in (Outcome.CHOICE, Outcome.CHOOSE):
        return None
    named = [one for one in wanted.choices if normal(words[: so.start()]) in forms_of(one)]
    others = [one for one in wanted.choices if one not in named]
    if len(named) != 1 or any(told_undenied(words[so.end() :], one) for one in others):
        return None
    return Understanding(Outcome.CHOICE, words, choice=named[0].name)


def names_another_part(turn: Turn, words: str) -> bool:
    """Whether a choice was taken from words of a part that neither the check nor any of its choices names."""
    wanted, meant = turn.expectation, turn.meant
    if turn.asked.mode is not Mode.CHECK or wanted is None or wanted.expects is not Expects.CHOICE:
        return False
    if meant.outcome not in (Outcome.CHOICE, Outcome.CHOOSE) or turn.state.dialog.overlay is not None:
        return False
    check = turn.context.check(turn.asked.name)
    if check.kind != "choice":
        return False
    forms = " ".join(form for one in wanted.choices for form in (one.name, *one.also))
    own = {word.rstrip("s") for word in words_of(f"{check.name} {check.title} {check.ask} {forms}")}
    named = {word.rstrip("s") for word in words_of(words)} & _PARTS
    return bool(named) and named.isdisjoint(own)


_ALREADY = re.compile(
    r"\b(?:did|done|measured|checked|read|took|tested|gave|told)\b(?: \w+){0,3}? already\b"
    r"|\balready (?:did|done|measured|checked|read|took|tested|gave|told|got)\b",
    re.IGNORECASE,
)
_ANEW = re.compile(r"\b(?:again|once more|twice|over|second|re\w*checked|remeasured|now)\b", re.IGNORECASE)
"""What tells a measure of its own."""


_OR_UNREAD = (Outcome.READING, Outcome.CHOICE, Outcome.OVER_RANGE, Outcome.CHOOSE, Outcome.NOT_UNDERSTOOD)


def measured_before(turn: Turn, _: Mode, words: str) -> Told | None:
    """'I did that one already, point oh three' where it is asked once more: no second measure."""
    told = _ALREADY.search(words) is not None and _ANEW.search(words) is None
    if not told or turn.state.dialog.overlay is not None or not read_before(turn):
        return None
    if turn.meant.outcome not in _OR_UNREAD:
        return None
    return replace(turn, understood=Understanding(Outcome.REPORT, words, report=Report.ALREADY)), Event.REPORT


def note_told(turn: Turn, _: Mode, words: str) -> Told | None:
    """'Wait, write up that I used one splice kit', 'yes, and write down that I rolled it': all of it is the note."""
    found = _NOTE.match(words)
    if found is None or turn.meant.note is not None or turn.meant.outcome is Outcome.QUESTION:
        return None
    text = words[found.end() :].strip(" ,.:")
    if len(text.split()) < _SHORTEST_NOTE:
        return None
    meant = Understanding(Outcome.COMMAND, words, command=Command.NOTE, note=text)
    return replace(turn, understood=meant), Event.NOTE


_NOTE = re.compile(
    r"(?:(?:wait|hey|oh|ok|okay|yes|yeah|yep|yup|and|also|so|hold on|now|please|well)[,.\s]+)*"
    r"(?:write (?:up|down)|jot down|note down|make a note|put (?:down|in the notes?|in the record))"
    r"(?: that)?\b[,:\s]*",
    re.IGNORECASE,
)
_SHORTEST_NOTE = 3


def no_tool_told(turn: Turn, mode: Mode, words: str) -> Told | None:
    """'I don't have a load tester' is none of the answers, 'got all of it but the tester' no question."""
    meant, wanted = turn.meant, turn.expectation
    if wanted is None or turn.state.dialog.overlay is not None:
        return None
    none = Understanding(Outcome.REPORT, words, report=Report.NO_TOOL)
    if _ALL_BUT.search(words) is not None and mode is not Mode.CHECK:
        return replace(turn, understood=none), Event.REPORT
    if (
        mode is not Mode.CHECK
        or wanted.expects is not Expects.CHOICE
        or _HAVE_NO.search(words) is None
        or asks(words, turn.context.vocabulary)
    ):
        return None
    sure = meant.outcome is Outcome.CHOICE and not meant.confirm
    told = None if sure else report_of(words, wanted, turn.context.vocabulary, shown=False)
    return (replace(turn, understood=none), Event.REPORT) if told and told.report is Report.NO_TOOL else None


_ALL_BUT = re.compile(
    r"\b(?:everything|all of it|all that)\b[^.?!]{0,20}\b(?:but|except)(?: for)? (?:the|a|an|my) [a-z ]*"
    r"(?:tester|meter|reader|load|charger|jack|stands?|gauge|clamp|tool|lamp|lead|indicator|goggles|post brush)\b",
    re.IGNORECASE,
)
_HAVE_NO = re.compile(r"\b(?:don't have|do not have|ain't got|haven't got|have no|got no|without)\b", re.IGNORECASE)


def without_denied(turn: Turn, words: str) -> Turn:
    """The turn without a choice that is only named to be denied: 'the meter isn't dead'."""
    meant, wanted = turn.meant, turn.expectation
    asked = meant.ask.names if meant.ask is not None and meant.outcome is Outcome.CHOOSE else ()
    name = asked[0] if len(asked) == 1 else meant.choice if meant.confirm else None
    choice = next((one for one in wanted.choices if one.name == name), None) if wanted is not None else None
    forms = () if choice is None else (choice.name, *choice.also)
    if (
        wanted is None
        or choice is None
        or any(_DENIES.search(form) and normal(form) in normal(words) for form in forms)
    ):
        return turn
    said = normal(_NO_FIRST.sub("", words)).split()
    own = {stem for word in words_of(choice.name) for stem in stems_of(word)}
    if not any(denied(said, at) for at, word in enumerate(said) if not stems_of(word).isdisjoint(own)):
        return turn
    ask = clarifications.one_of(wanted.choices)
    return replace(turn, understood=Understanding(Outcome.NOT_UNDERSTOOD, words, ask=ask, reason="leftover"))


_NO_FIRST = re.compile(r"^\W*(?:no|nope|nah)\b[,.]\s*", re.IGNORECASE)
_DENIES = re.compile(r"\b(?:no|not|none|never|nothing|without|zero)\b|n't\b", re.IGNORECASE)


def yes_and_more(turn: Turn, _: Mode, words: str) -> Told | None:
    """'Yep, ready to roll', 'ready. driver says it's been a week': a yes, and no words that take it back."""
    if (
        turn.meant.outcome is not Outcome.NOT_UNDERSTOOD
        or turn.state.dialog.overlay is not None
        or asks(words, turn.context.vocabulary)
    ):
        return None
    if _SAYS_YES.match(words) is None or _TAKES_BACK.search(words) is not None:
        return None
    return replace(turn, understood=Understanding(Outcome.COMMAND, words, command=Command.YES)), Event.YES


_SAYS_YES = re.compile(
    r"(?:(?:ok|okay|oh|well|alright|all right)[,.\s]+)*"
    r"(?:yes|yep|yup|yeah|yessir|sure|ready|all set|let's go|good to go)\b"
    r"(?:[,.!;]|\s+(?:and|to|i'm|we're|it's|let's)\b|\.)",
    re.IGNORECASE,
)
_TAKES_BACK = re.compile(
    r"\b(?:not|no|but|except|wait|almost|nearly|until|till|after|when|once|unless|if|will|gonna|going to|i'll|soon|"
    r"minute|second|sec|half|only|still|haven't|isn't|ain't|aren't|don't|didn't|can't|won't|before|first|hold|later|"
    r"later|should|would|could|think|guess|maybe|stop|skip|running|lit|hot|loose|leak\w*|smok\w*)\b",
    re.IGNORECASE,
)


def no_codes_told(turn: Turn, _: Mode, words: str) -> Told | None:
    """'No codes now', 'none, I already cleared it' where codes are read before they are cleared: none."""
    wanted = turn.expectation
    if (
        wanted is None
        or "codes" not in wanted.told.lower()
        or turn.state.dialog.overlay is not None
        or asks(words, turn.context.vocabulary)
    ):
        return None
    free = turn.meant.outcome is Outcome.NOT_UNDERSTOOD or turn.meant.command in (Command.NO, Command.YES)
    if not free or _NO_CODES.match(words.strip()) is None:
        return None
    told = code_read(turn.context, turn.state, _NONE)
    if told is None:
        return None
    none = Understanding(turn.meant.outcome, words)
    return replace(turn, understood=none, code_read=told), Event.SEVERAL


_NONE = "no codes"


_NO_CODES = re.compile(
    r"(?:(?:ok|okay|nope|no|well|yeah)[,.\s]+)*(?:there's |there are |there is |got |it's got |i got |says )?"
    r"(?:none|no codes?|zero codes?|nothing (?:stored|active|in there|there|came up)|no (?:stored|active) codes?)\b"
    r"(?!.*\b(?:but|except|until|yet|can't|couldn't|won't|reader)\b)",
    re.IGNORECASE,
)


def work_done(turn: Turn, mode: Mode, words: str) -> Told | None:
    """Work told as done in own words: it is, where all of the step is told, and asked about otherwise."""
    wanted = turn.expectation
    doubted = turn.meant.outcome is Outcome.NOT_UNDERSTOOD or turn.meant.report is Report.REPLACED
    if mode is Mode.FIX and way_told(turn.context.fix(turn.asked.name), words, turn.context.vocabulary) is not None:
        return None  # it is done, and how
    if wanted is None or not wanted.told or turn.state.dialog.overlay is not None or not doubted:
        return None
    done = told_done(words, wanted.told, turn.context.vocabulary)
    if done is None:
        return None
    if done and mode is Mode.ACCESS:
        return replace(turn, understood=Understanding(Outcome.COMMAND, words, command=Command.NEXT)), Event.NEXT
    asked = clarifications.is_it_done()
    meant = Understanding(Outcome.COMMAND, words, command=Command.NEXT, confirm=True, ask=asked, reason="guess")
    return replace(turn, understood=meant), Event.SLIP
