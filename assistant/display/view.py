"""A session's state as plain data for the screens: what is asked, how to answer, the last reading, the suspects.

Numbers go out twice where they are drawn: as the text that is shown, and as a float that only places a mark.
"""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

from assistant.display.hands import pictures
from assistant.messages import Choice, Expectation, Expects, Prompt, PromptKind, Say
from assistant.messages.decisions import FixChosen, Observed, Phase
from assistant.numerals.readback import show_value
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.lengths import KNOWN
from assistant.phrasing.phrase import phrase
from assistant.phrasing.reasons import what_was_found
from assistant.phrasing.sentences import CAUTION
from assistant.phrasing.verdicts import remark_of
from assistant.phrasing.wording import at_place, first_up, limits, limits_of, read
from assistant.session.agenda.next_action import whats_left
from assistant.session.agenda.prompts import END, mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.fold import State
from assistant.session.ledger import NOT_SURE
from assistant.session.results.signs import Checks, checks_of
from assistant.session.saying.announcements import ended
from assistant.session.saying.questions import question

PHASES: tuple[tuple[Phase, str], ...] = (
    (Phase.CAUTIONS, "cautions"),
    (Phase.FACTS, "facts"),
    (Phase.FINDING, "finding"),
    (Phase.REPAIRING, "repair"),
    (Phase.PROVING, "verify"),
    (Phase.CLOSING, "closing"),
)
"""The parts of a session in order, as the screen names them."""
SURVEY_PHASES: tuple[tuple[Phase, str], ...] = (
    (Phase.CAUTIONS, "cautions"),
    (Phase.FACTS, "facts"),
    (Phase.SURVEYING, "survey"),
    (Phase.CLOSING, "closing"),
)
"""The same for a survey."""
_ANSWERS: dict[Mode, tuple[str, ...]] = {
    Mode.READY: ("ready",),
    Mode.CAUTION: ("yes",),
    Mode.ACCESS: ("next",),
    Mode.FIX: ("next", "no"),
    Mode.OFFER: ("yes", "no"),
    Mode.PUT_BACK: ("yes", "no"),
    Mode.CONFIRM: ("yes", "no"),
    Mode.STOP: ("yes", "no"),
    Mode.HELD: ("resume",),
    Mode.UNWRITTEN: ("next",),
}
_SPECIAL = ("over range", "unsteady", "nothing on the display")
_METERED = frozenset({"voltage", "current", "resistance", "frequency"})
_WORD = re.compile(r"[a-z0-9']+")
_SENTENCE = re.compile(r"(?<=[.?!])\s+")
_STEM, _SHORT = 4, 3
"""Letters in which two forms of a word agree, and of the shortest word that says anything."""
_SUSPECTS = 5
_LISTED = ("put_back_first", "put_back_more", "put_back_last")
"""What goes back, item by item."""
ON_HOLD = "On hold"
_LABELS = {
    "next": "Done, next",
    NOT_SURE: "Don't know",
    "over range": "Over range (O\N{NO-BREAK SPACE}L)",
    "nothing on the display": "Blank display",
}


def summary(context: Context, state: State) -> str:
    """What a screen shows of a session that is over, line by line, '' for one that goes on: what it came to is seen
    there also where the voice had said it already."""
    if state.ended is None:
        return ""
    _, *says = ended(context, state, state.ended)  # how it ended stands above them
    told = [replace(say, slots={name: value for name, value in say.slots.items() if name != KNOWN}) for say in says]
    return "\n".join(filter(None, (phrase(say, context.vocabulary).shown for say in told)))


def standing(context: Context, state: State, expectation: Expectation) -> dict[str, Any]:
    """Everything that a screen shows of a session that waits for an answer."""
    mode = mode_of(context, state)
    ask = asked(context, state)
    return {
        "prompt": str(expectation.prompt),
        "mode": str(mode),
        "expects": str(expectation.expects),
        "place": expectation.prompt.place or "",
        "act": act(context, expectation),
        "ask": ask,
        "found": found(state),
        "hint": expectation.hint,
        "unit": _unit_name(expectation.unit, context.vocabulary),
        "keys": keys(expectation),
        "limits": limits(expectation.low, expectation.high, expectation.unit, context.vocabulary),
        "answers": answers(mode, expectation, context.vocabulary, ask["text"]),
        "typing": typing_for(expectation),
        "phase": phase_of(state, survey=context.procedure.kind == "survey"),
        "held": state.held,
        "last": last_reading(context, state),
        "suspects": suspects(context, state),
        "photos": photos(context, state),
        "pictures": pictures(context, state, expectation),
        "unit_number": state.facts.get("unit number", context.unit_number),
    }


def photos(context: Context, state: State) -> list[dict[str, Any]]:
    """Photos of the session that are still there, the newest first: name and what each shows."""
    kept = [one.decision.photo for one in state.ledger.photos.values()]
    return [
        {"name": one.name, "of": at_place(_named(context, one.prompt) or "this session", one.prompt.place)}
        for one in reversed(kept)
        if one.name not in state.ledger.erased
    ]


def asked(context: Context, state: State) -> dict[str, Any]:
    """The question, and separately what comes before it.

    ``before`` is about the work: leads, conditions, reasons. ``parts`` are what the answer is a yes to, each to be
    seen by itself: cautions that are asked together, or what goes back. ``said`` is all of it as it is said.
    """
    says = [(say, phrase(say, context.vocabulary).shown) for say in question(context, state, full=True)]
    told = [text for _, text in says if text]
    if not told:
        return {"before": [], "head": "", "parts": [], "text": "", "caution": False, "said": []}
    before, parts, head = list[str](), list[str](), ""
    *first, (last, text) = says
    for say, shown in first:
        if say.key in _LISTED:
            head = head or shown.partition(":")[0]
            parts += [first_up(str(item)) for item in _items(say)]
        elif say.key == "caution_told":
            parts.append(shown.removeprefix(f"{CAUTION} "))
            head = CAUTION.rstrip(".")
        elif shown and not (say.key == "because" and found(state)):  # that stands beside the reading
            before.append(shown)
    caution = last.key in ("caution", "caution_told")
    if caution:
        text = text.removeprefix(f"{CAUTION} ")
    return {
        "before": before,
        "head": head,
        "parts": parts,
        "text": first_up(text),
        "caution": caution,
        "said": told,
    }


def _items(say: Say) -> tuple[object, ...]:
    items = say.slots.get("items", ())
    return items if isinstance(items, tuple) else (items,)


def found(state: State) -> dict[str, str] | None:
    """What the readings point to, as soon as they do and until its repair is done; None before."""
    action = state.action
    if not isinstance(action, FixChosen) or not action.condemned or state.phase is not Phase.REPAIRING:
        return None
    return {"text": first_up(what_was_found(action.because))}


def act(context: Context, expectation: Expectation) -> str:
    """What is to be done now in as few words as can be read from the floor."""
    return _named(context, expectation.prompt)


def _named(context: Context, prompt: Prompt) -> str:
    match prompt.kind:
        case PromptKind.CHECK:
            return first_up(context.check(prompt.name).title)
        case PromptKind.FIX:
            return first_up(context.fix(prompt.name).title)
        case PromptKind.CAUTION:
            return CAUTION.rstrip(".")
        case PromptKind.FACT | PromptKind.ACCESS | PromptKind.PROOF:
            return first_up(prompt.name)
        case PromptKind.HELD:
            return ON_HOLD
        case _:
            return ""


def keys(expectation: Expectation) -> list[str]:
    """Keys beside the digits with which a reading is typed on a screen without a keyboard."""
    if expectation.expects is not Expects.READING:
        return []
    if expectation.unit == "in":
        return ["/", " "]
    return ["-", "k"] if expectation.unit == "ohm" else ["-"]


def answers(mode: Mode, expectation: Expectation, vocabulary: Vocabulary, text: str = "") -> list[dict[str, str]]:
    """The buttons that answer: what each says, and what is shown on it; ``text`` is the question that they stand
    under."""
    if expectation.values and expectation.expects is Expects.READING and mode is Mode.CHOOSE:
        return [
            {"say": format(value, "f"), "label": show_value(value, expectation.unit, vocabulary)}
            for value in expectation.values
        ]
    if mode is Mode.PUT_BACK and expectation.prompt == END:
        return _buttons(("next",))
    if mode in _ANSWERS:
        return _buttons(_ANSWERS[mode])
    if expectation.expects is Expects.CHOICE:
        return _choices(expectation.choices, text)
    if expectation.expects is Expects.COMMAND:
        return _buttons(("next",))
    if mode is Mode.FACT and expectation.expects is Expects.NOTE:
        return _buttons((NOT_SURE,))
    if mode is Mode.CHECK and expectation.expects is Expects.READING and _on_a_meter(expectation.unit, vocabulary):
        return _buttons(_SPECIAL)
    return []


def _on_a_meter(unit: str | None, vocabulary: Vocabulary) -> bool:
    """False for what a gauge, a rule or a thermometer shows: it has no display that goes over range."""
    known = vocabulary.unit(unit)
    return known is None or known.dimension in _METERED


def typing_for(expectation: Expectation) -> str:
    """Which keyboard a phone should show: ``decimal`` for a reading, else ``text``."""
    return "decimal" if expectation.expects is Expects.READING else "text"


def phase_of(state: State, *, survey: bool = False) -> dict[str, Any]:
    """Where on its way the session is; ``at`` is one past the last part when it is over."""
    parts = SURVEY_PHASES if survey else PHASES
    names = [phase for phase, _ in parts]
    at = names.index(state.phase) if state.phase in names else len(names)
    return {"at": at, "names": [name for _, name in parts]}


def last_reading(context: Context, state: State) -> dict[str, Any] | None:
    """The last reading that stands, with its verdict; None before the first."""
    if not state.observations:
        return None
    return reading(state.observations[-1], context.vocabulary, checks_of(context.procedure))


def reading(one: Observed, vocabulary: Vocabulary, checks: Checks) -> dict[str, Any]:
    """One reading or look as it is shown and drawn."""
    remark = remark_of(one.verdict) if one.verdict is not None else ""
    return {
        "number": one.number,
        "title": at_place(one.title, one.place),
        "text": read(one, vocabulary),
        "grade": checks.mark(one),
        "verdict": checks.graded(one),
        "remark": remark,
        "limits": limits_of(one, vocabulary),
        "value": None if one.display else _float(one.value),
        "low": _float(one.limit_low),
        "high": _float(one.limit_high),
        "spread": _float(one.verdict.uncertainty) if one.verdict is not None else None,
        "source": one.limit_source,
    }


def suspects(context: Context, state: State) -> list[dict[str, Any]]:
    """The likeliest suspects with their shares in percent; none in the cautions and after a repair."""
    if state.phase is Phase.CAUTIONS or state.ended is not None:
        return []
    found = whats_left(context, state, _SUSPECTS)
    return [{"title": title, "percent": round(100 * share)} for title, share in found if share >= 0.01]


def _buttons(words: tuple[str, ...]) -> list[dict[str, str]]:
    return [{"say": word, "label": _LABELS.get(word, word[:1].upper() + word[1:])} for word in words]


def _choices(choices: tuple[Choice, ...], text: str) -> list[dict[str, str]]:
    """A button for each choice, in the word that the question has for it where that is not its name."""
    asked = _WORD.findall(_SENTENCE.split(text.strip())[-1].lower())
    labels = [_in_the_question(choice, asked) for choice in choices]
    same = len({label.lower() for label in labels}) < len(labels)
    names = [choice.name for choice in choices]
    shown = names if same else labels
    return [
        {"say": name, "label": _LABELS.get(name, label[:1].upper() + label[1:])}
        for name, label in zip(names, shown, strict=True)
    ]


def _in_the_question(choice: Choice, asked: list[str]) -> str:
    """The choice's name where the question has a word of it, else the one other way to say it that the question uses.

    Where the question uses several (green, wet or loose pins), the name stands for all of them.
    """
    known = [word[:_STEM] for word in _WORD.findall(choice.name.lower()) if len(word) >= _SHORT]
    if any(word.startswith(stem) for stem in known for word in asked):
        return choice.name
    spaced = f" {' '.join(asked)} "
    said = sorted((also for also in choice.also if f" {also.lower()} " in spaced), key=len)
    apart = [one for at, one in enumerate(said) if not any(one in longer for longer in said[at + 1 :])]
    return apart[0] if len(apart) == 1 else choice.name


def _unit_name(unit: str | None, vocabulary: Vocabulary) -> str:
    known = vocabulary.unit(unit)
    return known.plural if known is not None else unit or ""


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
