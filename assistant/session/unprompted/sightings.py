"""What was seen and told without being asked: 'the plug is green', 'I can see it's cut at the slider'.

It is offered as the answer of the check that looks at that, or as the cause whose part is named, and counts after a
yes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from assistant.diagnosis.fault_model import Suspect
from assistant.messages import Choice, Expectation, Expects, Outcome, Understanding
from assistant.procedure.model import Check
from assistant.session.agenda.next_action import shares, view_of
from assistant.session.context import Context
from assistant.session.state import State
from assistant.understanding.choosing.looks import told_in_looks
from assistant.understanding.patterns import Words, compiled, places, words_of
from assistant.understanding.place_names import place_in
from assistant.understanding.respelling import respelled

NOUNS, GONE = "nouns", "gone"
_MOST = 20
"""Words of the longest finding: more is a story."""
_DENIED = frozenset({"if", "should", "would", "could", "maybe", "might", "was", "were", "other", "last", "not"})


@dataclass(frozen=True, slots=True)
class Sighting:
    """A finding that was told."""

    check: str
    """The check whose answer it is; '' for a cause."""
    place: str | None
    meant: Understanding
    """The answer: its choice, and the words it was told in."""
    suspect: Suspect | None = None
    """The cause, where no check has it as an answer."""


def sighted(context: Context, state: State, text: str, named: tuple[Choice, ...]) -> Sighting | None:
    """The finding that was told, None when it is none of this procedure's, or may be one of several."""
    said = words_of(respelled(text, Expectation(Expects.COMMAND), context.vocabulary) or text)
    if not 1 < len(said) <= _MOST or "?" in text or said[0] in ("is", "are", "does", "what", "where", "why", "how"):
        return None
    place, rest = place_in(said, named)
    place = place or (state.action.place if state.action is not None else None)
    nouns = _nouns(context.vocabulary.reports.get(NOUNS, ()))
    return (
        _answer(context, state, text, rest, place, nouns)
        or _cause(context, state, text, rest, place)
        or _answer(context, state, text, rest, place, nouns, by_looks=True)
    )


def _answer(
    context: Context,
    state: State,
    text: str,
    said: Words,
    place: str | None,
    nouns: dict[str, frozenset[str]],
    *,
    by_looks: bool = False,
) -> Sighting | None:
    """The answer of the one check that fits best; ``by_looks``: by words of ``grammars/looks.toml``."""
    seen = view_of(context, state)
    found: list[tuple[tuple[float, int, int, float], Check, str]] = []
    for check in context.procedure.checks:
        if check.each is None and check.conditions.get("key") == "on":
            continue  # something is done for it, with the key on: it is no look
        if check.kind != "choice" or check.name not in seen.checks or (check.each and place is None):
            continue
        about = _about(check, nouns)
        matched = {word for word in said if word in about}
        best = _by_looks(context, check, said) if by_looks else _by_name(check, said, about)
        denied = _DENIED & set(said) - (_own_denials(check, best[1], said) if best is not None else frozenset())
        if best is None or not matched or denied or (not by_looks and _SOUND & set(said)):
            continue
        named = len({word for word in matched if word in _name_words(check)})
        moved = check.hands is not None and check.hands.move
        fits = float(not moved or not _MOVING.isdisjoint(said))  # what is only seen was not moved to see it
        found.append(((fits, len(matched) + named, best[0], -float(len(check.choices))), check, best[1]))
    if not found:
        return None
    found.sort(key=lambda row: row[0], reverse=True)
    if len(found) > 1 and found[0][0][:3] == found[1][0][:3]:
        return None
    _, check, choice = found[0]
    meant = Understanding(Outcome.CHOICE, text, choice=choice, confirm=True, reason="seen")
    return Sighting(check.name, place if check.each else None, meant)


_MOVING = frozenset({
    "flicker", "flickers", "flickered", "wiggle", "wiggled", "move", "moved", "moves", "pull", "pulled", "twist",
    "twisted", "shake", "shook", "bend", "bent", "drops", "dropped", "jumps", "cuts", "push", "pushed", "tug",
})  # fmt: skip
_SOUND = frozenset({"tight", "clean", "fine", "good", "okay", "ok"})
"""Words of a part that is sound, which is no finding."""


def _own_denials(check: Check, choice: str, said: Words) -> frozenset[str]:
    """'Not touching': the 'not' that is a word of the finding's own name denies nothing."""
    forms = (words_of(form) for one in check.choices if one.name == choice for form in (one.name, *one.also))
    return frozenset({"not"}) if any("not" in form and _stands(said, form) for form in forms) else frozenset()


def _by_name(check: Check, said: Words, about: frozenset[str]) -> tuple[int, str] | None:
    """The finding whose longest name stands there, and how long it is."""
    best: tuple[int, str] | None = None
    for option in check.choices:
        if option.name in check.sound:
            continue
        for form in (option.name, *option.also):
            words = words_of(form)
            if set(words) <= about | _DULL:
                continue  # 'the wire' names what it is about, and nothing that was found
            if words and _stands(said, words) and (best is None or len(words) > best[0]):
                best = len(words), option.name
    return best


def _by_looks(context: Context, check: Check, said: Words) -> tuple[int, str] | None:
    """The finding that the most words tell beside its names, and how many they are."""
    looks = context.vocabulary.looks
    found = [
        (told_in_looks(said, looks.get(one.name, ())), one.name)
        for one in check.choices
        if one.name not in check.sound
    ]
    best = max(found, default=(0, ""))
    return best if best[0] else None


def _stands(said: Words, words: Words) -> bool:
    if places(said, words):
        return True
    return len(words) == 1 and any(_stem(word) == _stem(words[0]) for word in said)


def _stem(word: str) -> str:
    for end in ("ing", "ed", "s"):
        if len(word) > len(end) + 3 and word.endswith(end) and not word.endswith("ss"):
            return word.removesuffix(end)
    return word


@lru_cache(maxsize=4)
def _nouns(forms: tuple[str, ...]) -> dict[str, frozenset[str]]:
    rows = (form.split(":", 1) for form in forms if ":" in form)
    return {head.strip(): frozenset((head.strip(), *tail.split())) for head, tail in rows}


_DULL = frozenset(
    {
        "look",
        "at",
        "the",
        "of",
        "by",
        "a",
        "is",
        "with",
        "up",
        "own",
        "two",
        "that",
        "against",
        "its",
        "in",
        "on",
        "same",
        "another",
    }
)


def _name_words(check: Check) -> frozenset[str]:
    return frozenset(words_of(f"{check.name} {check.title}")) - _DULL


def _about(check: Check, nouns: dict[str, frozenset[str]]) -> frozenset[str]:
    """Words for what a check looks at."""
    own = _name_words(check)
    more = frozenset(word for head, words in nouns.items() if head in own for word in words)
    return own | more


def _part_named(part: str, said: Words) -> bool:
    """Whether a part that a repair renews is named: 'sensor and clip' by either."""
    return any(words_of(one)[-1] in said for one in part.split(" and ") if words_of(one))


def _cause(context: Context, state: State, text: str, said: Words, place: str | None) -> Sighting | None:
    """The likeliest fault whose repair renews the part that is told to be missing or no good."""
    if not any(compiled(form).found(said) is not None for form in context.vocabulary.reports.get(GONE, ())):
        return None
    fixes = {fix.name: fix for fix in context.procedure.fixes if fix.part is not None}
    chances = shares(context, state)
    fitting = []
    for fault in context.procedure.faults:
        fix = fixes.get(fault.fix)
        if fix is None or fix.part is None or words_of(fix.part)[-1:] == ():
            continue
        if _part_named(fix.part, said) and (fault.each is None or place is not None):
            suspect = Suspect(fault.name, place if fault.each else None)
            fitting.append((len(set(words_of(fix.part)) & set(said)), chances.get(suspect, 0.0), suspect))
    if not fitting:
        return None
    suspect = max(fitting, key=lambda row: row[:2])[2]
    return Sighting(
        "", suspect.place, Understanding(Outcome.CHOICE, text, choice=suspect.fault, confirm=True), suspect
    )
