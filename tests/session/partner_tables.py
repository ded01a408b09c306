"""What technicians say beside bare answers, with what should come of it: the rows of ``tests/data/partner_*.tsv``.

They were written before the grammars for them, in four ways of speaking (journeyman, hurried, chatty, Spanish). A
third is set aside: nobody looks at how those fare while the grammars are worked on. Run as a program, it prints the
figures of both parts; with ``--wrong`` it lists what went wrong among the others.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, lru_cache

from assistant import catalog
from assistant.messages import NO_PROMPT, Outcome, Reason, Understanding, Why
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Decision,
    FactAnswered,
    FixChosen,
    FixDeclined,
    FixDone,
    Observed,
    Phase,
    PhaseEntered,
    ProofStepDone,
    PutBackDone,
    QuestionChosen,
    Remarked,
    Skipped,
)
from assistant.procedure.load import load_procedure
from assistant.session.agenda.facts_to_ask import is_first
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState, Mode
from assistant.session.fold import fold
from tests.session.conversation import Conversation
from tests.understanding.spoken_tables import Row, rows_of

TABLES = ("answers", "questions", "reports", "breath", "bay", "floor", "yard", "dock")
FACTS = {
    "unit number": "2528", "light": "trailer light", "comes on": "at once", "lately": "nothing",
    "powered by": "tractor", "tractors": "one tried", "trailers": "single", "sensors wired": "four",
    "modulators": "one valve", "brakes": "drum", "shields": "come off", "codes": "active", "active codes": "one",
    "stored codes": "zero", "lowest AC range": "two volts", "lead ohms": "0.2", "coil temperature": "70",
}  # fmt: skip
_NAMES = {"at_place": "place", "condition": "key", "time_left": "time left", "time_so_far": "time so far"}
"""Questions that the tables call by another name."""
COUNTED = (
    "Observed", "FactAnswered", "AccessOpened", "CautionAcknowledged", "FixDone", "FixDeclined", "ProofStepDone",
    "PutBackDone", "Ended", "FactWithdrawn", "ObservationWithdrawn",
)  # fmt: skip
"""Kinds of decisions that count for the search or the record of work: a wrong one is wrong and silent."""


def rows(table: str) -> Iterator[Row]:
    """The rows of one table; of a truth any one is right."""
    return rows_of(f"partner_{table}")


@lru_cache
def context() -> Context:
    """The trailer's procedure, without a meter, on a unit on which work takes no time."""
    return Context(load_procedure("trailer-abs-light-on").procedure, catalog.load_vocabulary(), simulated=True)


def _known(but: str = "") -> list[Decision]:
    made: list[Decision] = [PhaseEntered(Phase.CAUTIONS)]
    made += [CautionAcknowledged(one.name, None, NO_PROMPT) for one in context().procedure.cautions if one.first]
    made.append(PhaseEntered(Phase.FACTS))
    for name, value in FACTS.items():
        if name == but:
            break
        made.append(FactAnswered(name, value, value))
    return made


def _finding(check: str, place: str | None, *before: Decision) -> list[Decision]:
    chosen = CheckChosen(check, place, 2.0, Reason(Why.IN_ORDER))
    return [*_known(), PhaseEntered(Phase.FINDING), *before, chosen]


def _open(*names: tuple[str, str | None]) -> list[Decision]:
    return [AccessOpened(name, place, 1.0) for name, place in names]


EVERYWHERE = [("wheel plug", place) for place in ("left front", "right front", "left rear", "right rear")]


@cache
def scene(name: str) -> Conversation:  # noqa: C901 - one branch a scene
    """The session at the prompt that a row names."""
    plugs = _open(("module plugs", None), *EVERYWHERE)
    if name in ("left rear ohms", "ohms left rear", "ohm", "check", "confirm"):
        before = _finding("sensor ohms", "left rear", *plugs)
    elif name == "V":
        before = _finding("port volts", "left rear", *plugs)
    elif name in ("done", "done plug"):
        check = "module end ohms" if name == "done" else "sensor ohms"
        before = _finding(check, "left rear", *(plugs[:1] if name == "done plug" else ()))
        return _ready(before, lambda talk: talk.mode is Mode.ACCESS)
    elif name in ("done shield", "done drum", "done up"):
        before = _finding("tone ring", "left rear", *plugs)
        if name == "done drum":
            before = [
                one if not isinstance(one, FactAnswered) or one.fact != "shields" else replace(one, value="fixed")
                for one in before
            ]
        wanted = {"done shield": "dust shield", "done drum": "wheel and drum", "done up": "wheel up"}[name]
        return _ready(before, lambda talk: wanted in talk.prompt and talk.mode is Mode.ACCESS)
    elif name == "done fix":
        before = _finding("sensor ohms", "left rear", *plugs)
        before += [
            PhaseEntered(Phase.REPAIRING),
            FixChosen("replace the sensor", "left rear", "sensor open", 1.0, True, Reason(Why.IN_ORDER)),
        ]
        return _ready(before, lambda talk: mode_of(talk.context, talk.now) is Mode.FIX)
    elif name in ("done codes", "done roll", "caution moving"):
        before = _finding("sensor ohms", "left rear", *plugs)
        before += [
            FixDone("replace the sensor", "left rear", "sensor replaced", "sensor"),
            PutBackDone(("all",)),
            PhaseEntered(Phase.PROVING),
        ]
        words = {"done codes": "lear the codes", "done roll": "Then over 5", "caution moving": "Nobody under"}[name]
        return _ready(before, lambda talk: words in talk.text(talk.said[-5:]))
    elif name == "caution dust":
        before = _finding("tone ring", "left rear", *plugs)
        before += [
            PhaseEntered(Phase.REPAIRING),
            FixChosen("replace the sensor", "left rear", "sensor open", 1.0, True, Reason(Why.IN_ORDER)),
        ]
        return _ready(before, lambda talk: "asbestos" in talk.text(talk.said[-5:]))
    elif name == "caution":
        before = [PhaseEntered(Phase.CAUTIONS)]
    elif name == "caution glasses":
        before = [PhaseEntered(Phase.CAUTIONS)]
        return _ready(before, lambda talk: "chock the wheels" in talk.text(talk.said[-5:]))
    elif name == "check look at plug":
        before = _finding("look at the plug", "left rear", *plugs)
    else:
        fact = name.removeprefix("fact ")
        fact = {"fact": "shields", "sensors": "sensors wired", "codes": "codes"}.get(fact, fact)
        before = _known(fact)
        asked = next(one for one in context().procedure.facts if one.name == fact)
        if not is_first(context(), asked):  # it is asked while the fault is looked for
            before += [PhaseEntered(Phase.FINDING), QuestionChosen(fact, 1.0, Reason(Why.MUST_KNOW))]
    talk = _ready(before, lambda talk: True)
    if name == "confirm":
        talk.hear("over range")  # read twice before a part goes: the first only has it read again
        talk.hear("over range")
        assert talk.mode is Mode.CONFIRM
    return talk


def _ready(before: list[Decision], there: Callable[[Conversation], bool]) -> Conversation:
    """The session after these decisions, led with yes and next until it is there."""
    state = replace(fold(context(), before), dialog=DialogState(live=True))
    talk = Conversation(context(), state)
    talk.hear("say again")
    for _ in range(30):
        if there(talk):
            return talk
        done = "cleared" if talk.prompt == "proof:clear codes" else "next"
        talk.hear("yes" if talk.mode is Mode.CAUTION else done)
    raise AssertionError("the scene is never reached")


def told(row: Row) -> tuple[str, bool]:
    """What came of a row in the words of the tables, and whether something was counted by it."""
    start = scene(row.prompt)
    talk = Conversation(start.context, start.now)
    keys = [say.key for say in talk.hear(row.said)]
    made = talk.decisions
    counted = any(type(one).__name__ in COUNTED for one in made)
    overlay = talk.now.dialog.overlay
    reasons = {one.what.why: one.what.slots for one in made if isinstance(one, Remarked)}
    about = str(reasons[Why.ASKED]["about"]) if Why.ASKED in reasons else ""
    seen = [_shown(one) for one in made if isinstance(one, Observed)]
    facts = [f"{one.fact}={one.value}" for one in made if isinstance(one, FactAnswered)]
    if row.prompt == "confirm":
        return ("yes" if seen else "no" if Why.REFUSED in reasons or "dropped" in keys else "ask"), counted
    if talk.mode is Mode.HELD or "take_time" in keys or "stuck" in keys:
        return "wait", counted
    if any(isinstance(one, CautionAcknowledged) for one in made) and row.prompt == "caution" and len(made) > 1:
        return "cautions", counted
    if any(isinstance(one, AccessOpened | FixDone | CautionAcknowledged | ProofStepDone) for one in made):
        return "yes", counted
    if about:
        place = f" {_where(keys, talk)}" if about == "at_place" else ""
        values = " ".join(one.split("=")[1] for one in seen)
        if overlay is not None and overlay.candidate is not None and overlay.candidate.value is not None:
            values = f"{overlay.candidate.value:f}"
        return f"{values} {_NAMES.get(about, about)}{place}".strip(), counted
    if facts or len(seen) > 1 or (seen and row.prompt.startswith(("ohms", "check look"))):
        more = (
            [f"{overlay.candidate.place or getattr(talk.now.action, 'place', '')}={_candidate(overlay.candidate)}?"]
            if overlay is not None and overlay.candidate is not None
            else []
        )
        return "; ".join([*facts, *seen, *(more if not row.prompt.startswith("fact") else [])]), counted
    if seen:
        return seen[0].split("=")[1], counted
    if overlay is not None and overlay.mode is Mode.CONFIRM and overlay.candidate is not None:
        if overlay.asked_for == "seen" and overlay.prompt is not None:
            return f"saw {overlay.prompt.name}={overlay.candidate.choice}", counted
        if overlay.asked_for == "cause":
            return "cause", counted
        beside = overlay.candidate.about  # it is answered before the yes is asked for
        asked = f" {_NAMES.get(beside, beside)}" if beside is not None else "?"
        return f"{_candidate(overlay.candidate)}{asked}", counted
    return _told_by(talk, keys, made), counted


def _told_by(talk: Conversation, keys: list[str], made: list[Decision]) -> str:
    """A report or a command by what it leads to."""
    if "order_changed" in keys or [type(one) for one in made] == [CheckChosen]:
        return f"place {talk.now.action.place if talk.now.action is not None else ''}"
    if any(isinstance(one, Skipped | FixDeclined) for one in made):
        return "parts" if "parts_wait" in keys else "skip"
    names = {
        "blank": "nothing", "danger": "danger", "hand_over": "handover", "start_over": "start over", "stop": "stop",
        "light_out_noted": "light out", "light_on_noted": "light on", "replaced_noted": "replaced",
        "parts_noted": "parts", "already_read": "already", "measure_anew": "already",
        "already_done": "already", "what_found": "found",
    }  # fmt: skip
    reasons = {one.what.why for one in made if isinstance(one, Remarked)}
    if Why.ASKED_WHY in reasons:
        return "why"
    if Why.ASKED_WHERE in reasons:
        return "done"
    if Why.ASKED_WHATS_LEFT in reasons:
        return "left"
    return next((names[key] for key in keys if key in names), "ask")


def _where(keys: list[str], talk: Conversation) -> str:
    said = " ".join(str(say.slots.get("title", say.slots.get("place", ""))) for say in talk.said[-len(keys) :])
    places = ("left front", "right front", "left rear", "right rear")
    return next((place for place in places if place in said.lower()), "")


def _shown(one: Observed) -> str:
    value = one.choice or ("OL" if one.display == "over_range" else "" if one.value is None else f"{one.value:f}")
    return f"{one.place or one.check}={value}"


def _candidate(candidate: Understanding) -> str:
    if candidate.value is not None:
        return f"{candidate.value:f}"
    if candidate.outcome is Outcome.OVER_RANGE:
        return "OL"
    return candidate.choice or (candidate.command.value if candidate.command is not None else "")


@cache
def fares(row: Row) -> str:
    """``right``, ``asked`` (a question or a refusal that counts nothing), ``wrong asked`` or ``wrong silent``."""
    got, counted = told(row)
    wanted = {one.replace("cause sensor missing", "cause").replace("cause sensor", "cause") for one in row.truth}
    wanted = {one.replace("~", "") for one in wanted}  # about so much: the value is what counts here
    got = "yes" if got == "cautions" else got.replace("=OL?", "=OL")  # it would condemn a part: a yes is wanted
    got = "skip" if got == "skip?" and row.kind in ("reach", "notools") else got  # what comes instead is told first
    short = got.partition("=")[2] if row.prompt in ("fact", "sensors", "codes") and ";" not in got else got
    if (
        {got, short} & wanted
        or any(_parts(got) == _parts(one) for one in wanted)
        or any(got.startswith(f"{one} ") for one in wanted if one.startswith("place "))  # a side: the end stays
        or (got in ("ask", "wait", "stuck", "skip?", "next?", "yes?") and wanted & {"ask", "none"})
    ):
        return "right"
    if "; " in got and any(_parts(got.replace("?", "")) == _parts(one) for one in wanted):
        return "right"  # what would condemn a part waits for a yes
    if any(one.startswith((f"{got} ", f"{got};")) for one in wanted):
        return "asked"  # the answer counts, and the question beside it was not answered
    if counted:
        return "wrong silent"
    return "asked" if got == "ask" or got.endswith("?") else "wrong asked"


def _parts(told: str) -> list[str]:
    """What was told in one breath, whatever came first."""
    return sorted(told.split("; "))


def main() -> None:
    """Print the figures of both parts; ``--wrong`` lists what is not right among the rows that are worked on."""
    for table in TABLES:
        counts: dict[bool, Counter[str]] = {False: Counter(), True: Counter()}
        for row in rows(table):
            how = fares(row)
            counts[row.aside][how] += 1
            if "--wrong" in sys.argv and not row.aside and how != "right":
                shown = f"{told(row)[0]}, not {' or '.join(row.truth)}"
                print(f"  {how:<12} {row.kind:<9} [{row.prompt}] {row.said!r}: {shown}")
        for aside, part in counts.items():
            shown = ", ".join(
                f"{how} {part[how]} ({100 * part[how] / part.total():.1f} %)"
                for how in ("right", "asked", "wrong asked", "wrong silent")
            )
            print(f"{table:<10} {'aside' if aside else 'worked':<7} {part.total():4}: {shown}")


if __name__ == "__main__":
    main()
