"""Several things said in one breath, taken apart: facts that were not asked yet, and readings of several places.

What is sure is taken part by part; when a part is not understood the whole is left to the ordinary way, but for
readings, of which the first that is not sure is asked about.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from assistant.messages import NO_PROMPT, Choice, Expectation, Expects, Outcome, Understanding
from assistant.procedure.model import Question
from assistant.session.agenda.facts_to_ask import is_first, questions
from assistant.session.agenda.prompts import Asked
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.ledger import NOT_SURE
from assistant.session.state import State
from assistant.understanding.choosing.of_a_light import of_a_light
from assistant.understanding.naming import is_number, unit_names
from assistant.understanding.patterns import Words, places, words_of
from assistant.understanding.place_names import place_in, place_spans
from assistant.understanding.talk import AROUND, PARTS
from assistant.understanding.utterance import answer_of

_JOINT = re.compile(r"[,;]\s*(?:and\b|but\b)?|\.(?!\d)|\b(?:and|plus|but|with)\b", re.IGNORECASE)
WEAK = "weak"
"""Sayings that answer only what is asked, or what is named beside them: a part of ``reports.toml``."""
EVERYWHERE = "everywhere"
"""Sayings that make a fact hold at every place asked about in the same words: a part of ``reports.toml``."""
_STOP_WORDS = frozenset({"of", "the", "a", "comes", "on", "by", "it", "number", "lately"})
_SURE = (Outcome.CHOICE, Outcome.IDENTIFIER)
_AROUND_PLACE = frozenset({"on", "the", "at", "in", "for", "over", "and", "has", "have", "is", "was", "got", "side"})

_OVER_WHAT = frozenset({"range", "ranged", "limit", "limits", "load", "loaded", "scale"})
"""What a meter shows over: 'over' leads to a place before anything else."""


def pieces_of(text: str, kept: tuple[str, ...]) -> list[str]:
    """The text between commas and words that join; a name that holds such a word ('comes and goes') stays whole."""
    lowered = text.lower()
    whole = [range(found.start(), found.end()) for name in kept for found in re.finditer(re.escape(name), lowered)]
    cuts = [found for found in _JOINT.finditer(text) if not any(found.start() in span for span in whole)]
    parts, at = [], 0
    for cut in cuts:
        parts.append(text[at : cut.start()])
        at = cut.end()
    parts.append(text[at:])
    return [part.strip() for part in parts if part.strip(" .!")]


def facts_told(
    context: Context, state: State, text: str, asked: Asked, expected: dict[str, Expectation]
) -> list[tuple[Question, Understanding]] | None:
    """Facts that one utterance answers, in the order in which they are asked; None when it is no such utterance.

    Args:
        context: what the session works with.
        state: where it stands; a fact is asked.
        text: what was said.
        asked: the prompt.
        expected: what each fact takes, by name.
    """
    open_now = [one for one in questions(context) if one.name not in state.facts or one.name == asked.name]
    joined = tuple(
        form
        for one in open_now
        for option in one.choices
        for form in (option.name, *option.also)
        if _JOINT.search(form)
    )
    plain, everywhere = _everywhere(_singular(text, context), context)
    pieces = pieces_of(plain, joined)
    if "?" in text or not pieces:
        return None
    told: dict[str, Understanding] = {}
    waiting = []
    for piece in pieces:
        found = list(_answers(context, _with(state, told), piece, asked, open_now, expected, told))
        if not found and not _empty(piece, context) and not _tells_a_code(piece, context):
            waiting.append(piece)
        told.update(found)
    for piece in waiting:  # 'all thirties, with long stroke': the size hangs on the kind that is told behind it
        found = list(_answers(context, _with(state, told), piece, asked, open_now, expected, told)) if told else []
        if not found:
            return None
        told.update(found)
    if everywhere:
        _tell_twins(context, state, open_now, told)
    if not told or (set(told) == {asked.name} and len(pieces) == 1):
        return None
    return [(one, told[one.name]) for one in open_now if one.name in told]


def _singular(text: str, context: Context) -> str:
    """The text with sizes told as one: 'all 30s', 'thirties', 'twenty fours'."""
    words = []
    for word in text.split():
        bare_word = word.rstrip(",.;!")
        one = re.sub(r"'?s$", "", bare_word.lower())
        one = one.removesuffix("ie") + "y" if one.endswith("tie") else "six" if one == "sixe" else one
        number = one != bare_word.lower() and (one.isdigit() or is_number(one, context.vocabulary))
        words.append(one + word[len(bare_word) :] if number else word)
    return " ".join(words)


def _everywhere(text: str, context: Context) -> tuple[str, bool]:
    """The text without the words that say that it is so everywhere, and whether it had any."""
    forms = sorted(context.vocabulary.reports.get(EVERYWHERE, ()), key=len, reverse=True)
    left = text
    for form in forms:
        left = re.sub(rf"\b{re.escape(form)}\b", " ", left, flags=re.IGNORECASE)
    return (left, True) if left != text and left.strip(" ,.") else (text, False)


def _tell_twins(context: Context, state: State, open_now: list[Question], told: dict[str, Understanding]) -> None:
    """Answer with the same what is asked in the same choices about other places: the steer axle's chambers too."""
    for one in list(open_now):
        if one.name in told or not one.choices or not _applies(context, _with(state, told), one):
            continue
        same = [
            meant
            for name, meant in told.items()
            for other in open_now
            if other.name == name and [row.name for row in other.choices] == [row.name for row in one.choices]
        ]
        if len({meant.choice for meant in same}) == 1:
            told[one.name] = same[0]


def told_in(context: Context, text: str) -> dict[str, str]:
    """Facts that a complaint in own words tells: those that it names, whatever else it tells."""
    open_now = [one for one in questions(context) if one.kind == "choice"]
    kept = tuple(form for one in open_now for option in one.choices for form in (option.name, *option.also))
    expected = {one.name: Expectation(Expects.CHOICE, choices=_choices_of(one)) for one in open_now}
    nobody = Asked(Mode.FACT, NO_PROMPT)
    known: dict[str, str] = {}
    for piece in pieces_of(text, tuple(form for form in kept if _JOINT.search(form))):
        told: dict[str, Understanding] = {}
        for name, meant in _answers(context, known, piece, nobody, open_now, expected, told):
            if meant.choice is not None:
                known.setdefault(name, meant.choice)
    return known


def _choices_of(one: Question) -> tuple[Choice, ...]:
    return tuple(Choice(option.name, option.also) for option in one.choices)


def _with(state: State, told: dict[str, Understanding]) -> dict[str, str]:
    return {**state.facts, **{name: meant.choice or meant.identifier or "" for name, meant in told.items()}}


def _answers(
    context: Context,
    known: dict[str, str],
    piece: str,
    asked: Asked,
    open_now: list[Question],
    expected: dict[str, Expectation],
    told: dict[str, Understanding],
) -> Iterator[tuple[str, Understanding]]:
    """The facts that one piece answers: the one that is asked or comes next by itself, another where it is named."""
    said = frozenset(words_of(piece))
    weak = context.vocabulary.reports.get(WEAK, ())
    taken: set[str] = set()
    left = [one for one in open_now if one.name not in told]
    following = _following(context, known, left, asked, {*told})
    first = asked.name if asked.name not in told else following
    for one in sorted(left, key=lambda row: row.name != first):
        wanted = expected.get(one.name)
        if wanted is None or (one.name != first and not _applies(context, known, one)):
            continue
        meant = answer_of(piece, wanted, context.vocabulary)
        if meant.outcome not in _SURE or meant.choice == NOT_SURE:
            continue
        form = _said_form(one, said, piece)
        named = bool(_names(one) & said)
        if not named and meant.choice is not None and of_a_light(piece, meant.choice, wanted.choices):
            continue
        # 'one active': how many, behind what they are; the word that only its own name has tells
        own = _names(one) - {word for other in open_now if other is not one for word in _names(other)}
        comes_next = bool(own & said) and one.name == following
        # what is sure to come next gives way only to what may be asked as well
        rivals = [row for row in open_now if one.name != following or _applies(context, known, row)]
        if one.name != asked.name and not comes_next and _elsewhere(one, form, rivals, said, piece):
            continue
        if one.name != asked.name and _of_a_value(piece, form, context):
            continue
        strong = bool(form) and form not in weak
        if one.name not in (first, following) and (meant.outcome is Outcome.IDENTIFIER or not (strong or named)):
            continue
        if (meant.confirm and not (named or strong)) or (taken & set(form.split()) and not named):
            continue
        taken |= set(form.split())
        known = {**known, one.name: meant.choice or meant.identifier or ""}
        still = [row for row in left if row.name not in known]
        said_now = {*told, *(row.name for row in left if row.name in known)}
        following = _following(context, known, still, asked, said_now)
        yield one.name, replace(meant, confirm=False)


def _following(context: Context, known: dict[str, str], left: list[Question], asked: Asked, told: set[str]) -> str:
    """Name of the fact that is sure to come next, '' for none: a bare 'yes' answers none that may never be asked.

    Args:
        context: what the session works with.
        known: the facts with those of this utterance.
        left: questions without an answer.
        asked: the prompt.
        told: facts of this utterance; what hangs on one of them is what is said next ('it comes and goes when wet').
    """
    if asked.name not in {one.name for one in questions(context)}:
        return ""
    comes = (one for one in left if is_first(context, one) or {asked.name, *told} & {*one.when})
    return next((one.name for one in comes if _applies(context, known, one)), "")


def _applies(context: Context, known: dict[str, str], one: Question) -> bool:
    """Whether a question holds with what is known; one that waits for an answer not yet given does not."""
    return all(name in known for name in one.when) and _may(context, known, one)


def _may(_: Context, known: dict[str, str], one: Question) -> bool:
    for name, wanted in one.when.items():
        values = (wanted,) if isinstance(wanted, str) else tuple(wanted)
        if known.get(name) not in values:
            return False
    return True


def _names(one: Question) -> frozenset[str]:
    """Words of a question's name and of its longer sayings that name what it is about."""
    return (
        frozenset(word.removesuffix("s") for word in words_of(one.name)) | frozenset(words_of(one.name)) - _STOP_WORDS
    )


def _said_form(one: Question, said: frozenset[str], piece: str) -> str:
    """The longest saying of a question that stands in a piece."""
    words = words_of(piece)
    forms = [form for option in one.choices for form in (option.name, *option.also)]
    found = [form for form in forms if places(words, words_of(form))]
    return max(found, key=len, default="") if said else ""


def _of_a_value(piece: str, form: str, context: Context) -> bool:
    """Whether what else was said is a value: 'the battery volts should be 12.6' tells of no test battery."""
    left = [word for word in words_of(piece) if word not in form.split()]
    units = unit_names(context.vocabulary)
    numbers = sum(is_number(word, context.vocabulary) for word in left if word not in units)
    return numbers > 1 or (numbers == 1 and not units.isdisjoint(left))


def _elsewhere(one: Question, form: str, open_now: list[Question], said: frozenset[str], piece: str) -> bool:
    """Whether a saying of another question holds these words: 'drum brakes' is about the drum."""
    words = set(form.split())
    others = (_said_form(other, said, piece).split() for other in open_now if other.name != one.name)
    return bool(words) and any(words <= set(other) and len(other) >= len(words) for other in others)


def _empty(piece: str, context: Context) -> bool:
    """Whether a piece says nothing: 'okay', 'well'."""
    around = {word for form in context.vocabulary.wishes.get("around", ()) for word in form.split()}
    return all(word in around for word in words_of(piece))


def code_told(context: Context, text: str) -> tuple[str | None, dict[str, str]]:
    """What is told of a code in one breath, as in 'one active, left rear sensor open'.

    Returns:
        The place that it names, None for none or several, and for each check that reads its kind the choice.
    """
    pieces = (_of_a_code(piece, context) for piece in pieces_of(text, ()))
    told = [one for one in pieces if _is_a_code(one, context)]
    named = {place for place, _, _ in told if place is not None}
    kinds: dict[str, str] = {}
    for _, kind, _ in told:
        kinds = {**kind, **kinds}
    return (named.pop() if len(named) == 1 else None), kinds


def _tells_a_code(piece: str, context: Context) -> bool:
    """Whether a piece names a place, or what a code says, and nothing else: 'it's the left rear sensor, open'."""
    return _is_a_code(_of_a_code(piece, context), context)


def _is_a_code(told: tuple[str | None, dict[str, str], Words], context: Context) -> bool:
    place, kinds, rest = told
    lists = context.vocabulary.questions
    known = {word for name in (AROUND, PARTS) for form in lists.get(name, ()) for word in words_of(form)}
    return (place is not None or bool(kinds)) and set(rest) <= known


def _of_a_code(piece: str, context: Context) -> tuple[str | None, dict[str, str], Words]:
    """The place that a piece names, what it says of a code, and the words left over."""
    place, rest = place_in(words_of(piece), context.places_named())
    kinds: dict[str, str] = {}
    used: set[int] = set()
    for check in context.procedure.checks:
        if check.kind != "choice" or not check.reads_codes or check.each is not None:
            continue
        forms = [(words_of(form), option.name) for option in check.choices for form in (option.name, *option.also)]
        found = [(form, name, span) for form, name in forms for span in places(rest, form)]
        if found:
            _, kinds[check.name], span = max(found, key=lambda row: len(row[0]))
            used |= set(span)
    return place, kinds, tuple(word for at, word in enumerate(rest) if at not in used)


def readings_told(text: str, here: str, named: tuple[Choice, ...]) -> list[tuple[str, str]] | None:
    """Places with the words that were said for each, in order; None where not several places are told.

    The place may stand before its reading or behind it ('eleven ninety on the left rear'); words without a place at
    the beginning are for the place that is asked.
    """
    if "?" in text:
        return None
    text = ordinals_as_places(text, named)
    found: list[tuple[str, str]] = []
    for piece in (part for cut in pieces_of(text, ()) for part in _by_place(cut, named)):
        place, rest = piece
        if place is None and found and rest:
            found[-1] = (found[-1][0], f"{found[-1][1]}, {rest}")  # 'right rear nothing, open'
            continue
        if place is None:
            if not rest:
                return None
            place = here
        found.append((place, rest))
    named_places = [place for place, _ in found]
    if len(found) < 2 or len(set(named_places)) < len(named_places) or any(not rest for _, rest in found):
        return None
    return found


def ordinals_as_places(text: str, named: tuple[Choice, ...]) -> str:
    """'First 12.6, second 12.5': ordinals alone as the places that they begin, where several are told."""
    whole = {choice.name.split()[0]: choice.name for choice in named if choice.name.split()[0] in _ORDINALS}
    if not whole:
        return text
    alone = re.compile(rf"\b({'|'.join(whole)})\b(?!\s+(?:one|battery|modulator|trailer))", re.IGNORECASE)
    told = {whole[hit.group(1).lower()] for hit in alone.finditer(text)}
    told |= {name for name, _, _ in place_spans(text, named)}
    if len(told) < _SEVERAL:
        return text
    return alone.sub(lambda hit: whole[hit.group(1).lower()], text)


_ORDINALS = frozenset({"first", "second", "third", "fourth"})
_SEVERAL = 2


def _by_place(piece: str, named: tuple[Choice, ...]) -> list[tuple[str | None, str]]:
    """One piece divided at the places that it names."""
    spans = place_spans(piece, named)
    if not spans:
        return [(None, piece.strip())]
    if len(spans) == 1:
        name, start, end = spans[0]
        return [(name, bare(f"{piece[:start]} {piece[end:]}"))]
    if not bare(piece[: spans[0][1]]):
        ends = [*(start for _, start, _ in spans[1:]), len(piece)]
        return [(name, bare(piece[end:until])) for (name, _, end), until in zip(spans, ends, strict=True)]
    if not bare(piece[spans[-1][2] :]):
        begins = [0, *(end for _, _, end in spans[:-1])]
        return [(name, bare(piece[begin:start])) for (name, start, _), begin in zip(spans, begins, strict=True)]
    return [(None, "")]


def bare(text: str) -> str:
    """Words without those that lead from or to a place."""
    words = text.split()
    while words and words[0].lower().strip(",") in _AROUND_PLACE:
        if words[0].lower() == "over" and words[1:] and words[1].lower().strip(",.") in _OVER_WHAT:
            break
        words = words[1:]
    while words and words[-1].lower().strip(",") in _AROUND_PLACE:
        words = words[:-1]
    return " ".join(words)
