"""A session's state as plain data for the screens: what is asked, how to answer, the last reading, the suspects.

Numbers go out twice where they are drawn: as the text that is shown, and as a float that only places a mark.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from assistant.messages import Expectation, Expects, PromptKind
from assistant.messages.decisions import Observed, Phase
from assistant.numerals.readback import show_value
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import phrase
from assistant.phrasing.sentences import CAUTION
from assistant.phrasing.verdicts import mark_of, remark_of, verdict_word
from assistant.phrasing.wording import at_place, first_up, limits, limits_of, read
from assistant.session.agenda.next_action import whats_left
from assistant.session.agenda.prompts import END, mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.fold import State
from assistant.session.questions import question

PHASES: tuple[tuple[Phase, str], ...] = (
    (Phase.CAUTIONS, "cautions"),
    (Phase.FACTS, "facts"),
    (Phase.FINDING, "finding"),
    (Phase.REPAIRING, "repair"),
    (Phase.PROVING, "proof"),
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
_SUSPECTS = 5
ON_HOLD = "On hold"
_LABELS = {
    "next": "Done, next",
    "over range": "Over range (O\N{NO-BREAK SPACE}L)",
    "nothing on the display": "Blank display",
}


def standing(context: Context, state: State, expectation: Expectation) -> dict[str, Any]:
    """Everything that a screen shows of a session that waits for an answer."""
    mode = mode_of(context, state)
    return {
        "prompt": str(expectation.prompt),
        "mode": str(mode),
        "expects": str(expectation.expects),
        "place": expectation.prompt.place or "",
        "act": act(context, expectation),
        "ask": asked(context, state),
        "hint": expectation.hint,
        "unit": _unit_name(expectation.unit, context.vocabulary),
        "keys": keys(expectation),
        "limits": limits(expectation.low, expectation.high, expectation.unit, context.vocabulary),
        "answers": answers(mode, expectation, context.vocabulary),
        "typing": typing_for(expectation),
        "phase": phase_of(state, survey=context.procedure.kind == "survey"),
        "held": state.held,
        "last": last_reading(context, state),
        "suspects": suspects(context, state),
        "unit_number": state.facts.get("unit number", context.unit_number),
    }


def asked(context: Context, state: State) -> dict[str, Any]:
    """The question, and separately what comes before it (leads, conditions, reasons)."""
    sentences = [(say.key, phrase(say, context.vocabulary).shown) for say in question(context, state, full=True)]
    sentences = [(key, text) for key, text in sentences if text]
    if not sentences:
        return {"before": [], "text": "", "caution": False}
    key, text = sentences[-1]
    caution = key in ("caution", "caution_told")
    if caution:
        text = text.removeprefix(f"{CAUTION} ")
    text = text[:1].upper() + text[1:]
    return {"before": [one for _, one in sentences[:-1]], "text": text, "caution": caution}


def act(context: Context, expectation: Expectation) -> str:
    """What is to be done now in as few words as can be read from the floor."""
    prompt = expectation.prompt
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


def answers(mode: Mode, expectation: Expectation, vocabulary: Vocabulary) -> list[dict[str, str]]:
    """The buttons that answer: what each says, and what is shown on it."""
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
        return _buttons(tuple(choice.name for choice in expectation.choices))
    if expectation.expects is Expects.COMMAND:
        return _buttons(("next",))
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
    return reading(state.observations[-1], context.vocabulary) if state.observations else None


def reading(one: Observed, vocabulary: Vocabulary) -> dict[str, Any]:
    """One reading as it is shown and drawn."""
    remark = remark_of(one.verdict) if one.verdict is not None else ""
    return {
        "number": one.number,
        "title": at_place(one.title, one.place),
        "text": read(one, vocabulary),
        "grade": mark_of(one),
        "verdict": verdict_word(one.verdict.grade, display=bool(one.display)) if one.verdict else "",
        "remark": remark,
        "limits": limits_of(one, vocabulary),
        "value": None if one.display else _float(one.value),
        "low": _float(one.limit_low),
        "high": _float(one.limit_high),
        "spread": _float(one.verdict.uncertainty) if one.verdict is not None else None,
        "source": one.limit_source,
    }


def suspects(context: Context, state: State) -> list[dict[str, Any]]:
    """The likeliest suspects with their shares in percent; none in the cautions and after a cure."""
    cured = bool(state.proofs) and state.proofs[-1].passed
    if state.phase is Phase.CAUTIONS or state.ended is not None or cured:
        return []
    found = whats_left(context, state, _SUSPECTS)
    return [{"title": title, "percent": round(100 * share)} for title, share in found if share >= 0.01]


def _buttons(words: tuple[str, ...]) -> list[dict[str, str]]:
    return [{"say": word, "label": _LABELS.get(word, word[:1].upper() + word[1:])} for word in words]


def _unit_name(unit: str | None, vocabulary: Vocabulary) -> str:
    known = vocabulary.unit(unit)
    return known.plural if known is not None else unit or ""


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
