"""What is made of sentences whose writer was left out: the sayings of each writer, by the rules and by a classifier
that was fitted to the other writers' alone. Run as a program, it prints both figures by intent; with ``--wrong`` it
lists what was misunderstood, with an intent's name all of that intent that was not served.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, partial

from assistant import catalog
from assistant.intents.linear import Learned, fit
from assistant.intents.sayings import Beside, sayings_in
from assistant.intents.second_opinion import SecondOpinion
from assistant.library import files
from assistant.messages import (
    About,
    Choice,
    Command,
    Expectation,
    Expects,
    Hypothesis,
    Outcome,
    Report,
    Understanding,
)
from assistant.understanding.guessing import ACTS, SURE, margin_of
from assistant.understanding.interpret import interpret

PLACES = tuple(Choice(f"{side} {axle}") for side in ("left", "right") for axle in ("front", "rear"))
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(700), high=Decimal(3000), over_range="bad", places=PLACES)
WORK = Expectation(Expects.COMMAND, places=PLACES)
AT_WORK = frozenset({*Command, Beside.DONE, Beside.NOT_DONE})
"""Intents that are said where a command is waited for; the others at a prompt for a reading."""
SAME = {
    "limit": {"usual"}, "usual": {"limit"}, "left": {"time_left", "whats_left", "where"}, "time_left": {"left"},
    "leads": {"red", "black", "pin"}, "red": {"leads", "black"}, "black": {"leads", "red"}, "pin": {"leads"},
    "later": {"skip"}, "what_next": {"next"}, "done_so_far": {"where"}, "done": {"next", "yes"},
    "not_done": {"working", "no", "hold"}, "working": {"hold"}, "hold": {"working"}, "next": {"resume", "yes"},
    "resume": {"next"}, "out_of_reach": {"stuck", "skip"}, "stuck": {"out_of_reach"}, "no_tool": {"skip"},
    "last": {"at_place"}, "at_place": {"last"}, "go_back": {"withdraw", "correction"},
    "withdraw": {"correction", "go_back"}, "correction": {"withdraw", "go_back"}, "yes": {"next"},
    "help": {"leads", "where"}, "bring": {"what_next", "next"}, "wheel": {"where", "at_place"},
    "suspects": {"whats_left"},
}  # fmt: skip
"""Intent -> others by which it is served as well."""
NONE = frozenset({Beside.CHAT, Beside.READING, Beside.LOOK})
COUNTS = frozenset({Command.YES, Command.NO, Command.NEXT, Command.SKIP, Command.STOP, Command.WITHDRAW})


@dataclass(frozen=True, slots=True)
class Left:
    """One sentence of the writer that was left out."""

    writer: str
    intent: str
    said: str
    shares: dict[str, float]
    found: Understanding

    @property
    def ahead(self) -> float:
        """How far the likeliest intent stands before the others."""
        return margin_of(self.shares, at(self.intent))

    @property
    def right(self) -> bool:
        """Whether it is the likeliest."""
        return next(iter(self.shares)) == self.intent


AFTERWARDS = "later"
"""The sayings that were written by somebody who had seen what was misunderstood: they say nothing of strangers."""


@cache
def writers() -> dict[str, tuple[tuple[str, str], ...]]:
    """The sayings of each writer who knew nothing of how they are understood."""
    return {
        path.stem: sayings_in({path.name: path.read_text(encoding="utf-8")})
        for path in files("grammars", catalog.SAYINGS)
        if path.stem != AFTERWARDS
    }


def at(intent: str) -> Expectation:
    """The prompt at which an intent is said."""
    return WORK if intent in AT_WORK else OHMS


@cache
def without(writer: str) -> Learned:
    """The classifier without one writer's sayings."""
    return fit([one for name, told in writers().items() if name != writer for one in told])


def left_out() -> Iterator[Left]:
    """Every sentence, as it is understood without its writer."""
    for writer, told in writers().items():
        learned = without(writer)
        vocabulary = replace(catalog.load_vocabulary(), second_opinion=SecondOpinion(partial(without, writer)))
        for intent, said in told:
            found = interpret((Hypothesis(said),), at(intent), vocabulary)
            yield Left(writer, intent, said, learned.shares(said), found)


def told(found: Understanding) -> str:
    """The intent that an understanding comes to; ``none`` for none, ``value`` for an answer."""
    if found.about is not None:
        return {About.NEXT: Beside.WHAT_NEXT.value, About.DONE: Beside.DONE_SO_FAR.value}.get(
            found.about, found.about.value
        )
    if found.outcome is Outcome.COMMAND and found.command is not None:
        return found.command.value
    if found.outcome is Outcome.REPORT and found.report is not None:
        return found.report.value
    if found.reason == "untold":
        return Beside.UNSURE.value
    return "none" if found.outcome in (Outcome.NOT_UNDERSTOOD, Outcome.INCOMPLETE, Outcome.CHOOSE) else "value"


def fares(one: Left) -> str:
    """``served`` (by name, or asked by its name), ``asked`` (not understood), ``misunderstood`` (something else
    happened that changes nothing, or is asked about), ``wrong silent`` (something else was counted)."""
    got, found = told(one.found), one.found
    if one.intent in NONE:
        fits = got == "none" or (one.intent == Beside.READING and got == "value")
    else:
        fits = got == one.intent or got in SAME.get(one.intent, ())
    if fits:
        return "served"
    if got == "none" or (got == "unsure" and one.intent in NONE):
        return "asked"
    counted = (found.outcome is Outcome.COMMAND and found.command in COUNTS) or got == "value"
    return "wrong silent" if counted and not found.confirm else "misunderstood"


HOW = ("served", "asked", "misunderstood", "wrong silent")


def main(arguments: Sequence[str]) -> None:
    """Print the figures."""
    intents: dict[str, Counter[str]] = {}
    alone: dict[str, list[tuple[float, bool]]] = {}
    for one in left_out():
        how = fares(one)
        intents.setdefault(one.intent, Counter())[how] += 1
        alone.setdefault(one.writer, []).append((one.ahead, one.right))
        alone.setdefault(one.intent, []).append((one.ahead, one.right))
        if (how in HOW[2:] and "--wrong" in arguments) or (how != "served" and one.intent in arguments):
            best = ", ".join(f"{name} {share:.2f}" for name, share in list(one.shares.items())[:2])
            print(f"  {how:<13} {one.intent:<12} {one.said!r}: {told(one.found)}"
                  f"{'?' if one.found.confirm else ''} ({one.found.outcome.value}; {best})")  # fmt: skip
    kinds = {
        "commands, yes, no": {*(one.value for one in Command if one is not Command.WHY)},
        "talk": {*(one.value for one in About), *(one.value for one in Report), "done", "not_done", "unsure", "later",
                 "what_next", "done_so_far"},
        "none of these": {one.value for one in NONE},
    }  # fmt: skip
    for name, part in [*kinds.items(), *((one, {one}) for one in sorted(intents))]:
        total = sum((counts for intent, counts in intents.items() if intent in part), Counter[str]())
        rows = [row for intent in part for row in alone.get(intent, ())]
        parts = ", ".join(f"{how} {100 * total[how] / total.total():4.1f}" for how in HOW)
        print(f"{name:<18}{total.total():5}: {parts}; classifier {shown(rows)}")
    for writer in writers():
        print(f"without {writer}: classifier {shown(alone[writer])}")


def shown(rows: Sequence[tuple[float, bool]]) -> str:
    """Accuracy of the classifier alone, and among those above each margin."""
    parts = [f"{100 * sum(right for _, right in rows) / len(rows):.1f}"]
    for least in (ACTS, SURE):
        above = [right for ahead, right in rows if ahead >= least]
        share = 100 * len(above) / len(rows)
        parts.append(f"{100 * sum(above) / max(1, len(above)):.1f} of the {share:.0f} % above {least}")
    return ", ".join(parts)


if __name__ == "__main__":
    main(sys.argv[1:])
