"""A small invented procedure, and a talk that plays facts into the engine and keeps what came out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache
from typing import Any

from assistant import library
from assistant.messages import (
    Began,
    Expectation,
    Fact,
    Finish,
    Heard,
    Hypothesis,
    Listen,
    Recorded,
    RecordFailed,
    Say,
    Wait,
)
from assistant.messages.decisions import Decision, Record
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import phrase
from assistant.procedure.model import Procedure
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.fold import State, begin, fold
from assistant.session.step import step
from assistant.session.turn import Result

PROCEDURE: dict[str, Any] = {
    "format": 1,
    "name": "test-bench",
    "title": "Invented wheel sensor bench",
    "summary": "Finds why the light of an invented bench stays on.",
    "complaint": "The light stays on.",
    "in_hand": ["meter", "chocks"],
    "cautions": [
        {"name": "chocks", "say": "Chock the other axle.", "source": "from memory", "first": True},
        {"name": "dust", "say": "Keep the dust down.", "source": "29 CFR 1910.1001", "when": {"brakes": "drum"}},
        {"name": "clear", "say": "Keep hands clear of the wheel.", "source": "common practice, no source"},
    ],
    "facts": [
        {
            "name": "brakes",
            "ask": "Drum or disc?",
            "choices": [{"name": "drum", "also": ["drums"]}, {"name": "disc", "also": ["discs"]}],
            "help": "Look behind the wheel.",
            "first": True,
        },
        {
            "name": "shields",
            "ask": "Are there dust shields?",
            "choices": [{"name": "yes"}, {"name": "no"}],
            "when": {"brakes": "drum"},
            "unsure": False,
            "first": True,
        },
        {
            "name": "coil temperature",
            "ask": "How warm is the hub, in degrees Fahrenheit?",
            "kind": "reading",
            "unit": "degF",
            "span": ["-40", "300"],
            "first": True,
        },
    ],
    "places": [
        {"name": "left", "group": "wheel", "also": ["road side"]},
        {"name": "right", "group": "wheel", "also": ["curb side"]},
    ],
    "access": [
        {
            "name": "plug",
            "say": "Unplug the {place} sensor.",
            "minutes": 1,
            "each": "wheel",
            "put_back": ["plug clipped in, {place}"],
        },
        {
            "name": "drum",
            "say": "Take the {place} drum off.",
            "minutes": 40,
            "each": "wheel",
            "needs": ["plug"],
            "cautions": ["dust"],
            "put_back": ["drum and wheels on, {place}"],
            "when": {"brakes": "drum"},
        },
    ],
    "faults": [
        {"name": "open sensor", "title": "open sensor", "each": "wheel", "weight": 3, "fix": "replace sensor"},
        {"name": "backed off", "title": "sensor backed off", "each": "wheel", "weight": 4, "fix": "push home"},
        {"name": "bad ground", "title": "bad ground", "weight": 2, "fix": "clean ground"},
    ],
    "checks": [
        {
            "name": "ground drop",
            "title": "drop on the ground side",
            "ask": "Volts across the ground?",
            "help": "One tip on the pin, one on the frame.",
            "unit": "V",
            "span": ["0", "20"],
            "limits": {"high": "0.1", "source": "trade-training page"},
            "minutes": 2,
            "conditions": {"key": "on", "plugged": "yes"},
            "leads": {"dial": "volts DC", "hole": "volts", "red": "the ground pin", "black": "the frame"},
            "finds": {"bad ground": "high"},
        },
        {
            "name": "sensor ohms",
            "title": "resistance of the sensor",
            "ask": "Ohms at the {place} sensor?",
            "each": "wheel",
            "unit": "ohm",
            "span": ["0", "20000"],
            "limits": {
                "low": "700",
                "high": "3000",
                "usual": ["900", "1400"],
                "source": "handbook",
                "over_range": "bad",
                "copper": True,
            },
            "minutes": 2,
            "needs": ["plug"],
            "conditions": {"key": "off", "plugged": "no"},
            "leads": {"dial": "ohms", "hole": "volts", "red": "one pin", "black": "the other pin"},
            "finds": {"open sensor": "over_range"},
            "condemns": ["over_range"],
        },
        {
            "name": "output",
            "title": "output while turned by hand",
            "ask": "Volts AC at the {place} sensor, half a turn a second?",
            "each": "wheel",
            "unit": "V",
            "span": ["0", "10"],
            "limits": {"low": "0.2", "source": "handbook"},
            "minutes": 3,
            "needs": ["plug"],
            "cautions": ["clear"],
            "conditions": {"key": "off", "plugged": "no"},
            "leads": {"dial": "volts AC", "hole": "volts", "red": "one pin", "black": "the other pin"},
            "finds": {"open sensor": "low", "backed off": "low"},
        },
        {
            "name": "code",
            "title": "stored code",
            "ask": "Which wheel does the code name?",
            "kind": "place",
            "each": "wheel",
            "choices": [{"name": "none"}],
            "otherwise": "none",
            "minutes": 2,
            "slip": 0.3,
            "finds": {"open sensor": "here", "backed off": "here"},
        },
    ],
    "fixes": [
        {
            "name": "replace sensor",
            "title": "sensor replaced",
            "say": "Replace the {place} sensor.",
            "minutes": 20,
            "each": "wheel",
            "needs": ["drum"],
            "part": "sensor",
            "put_back": ["retainer on the {place} sensor"],
        },
        {
            "name": "push home",
            "title": "sensor pushed home",
            "say": "Push the {place} sensor to the ring.",
            "minutes": 2,
            "each": "wheel",
            "needs": ["drum"],
        },
        {"name": "clean ground", "title": "ground cleaned", "say": "Clean the ground.", "minutes": 10},
    ],
    "proof": {
        "source": "handbook",
        "limits": "a fault in the tractor",
        "steps": [
            {"name": "clear", "say": "Clear the codes.", "minutes": 1},
            {"name": "roll", "say": "Roll it above 5 mph.", "minutes": 5, "quiet": True},
            {
                "name": "light",
                "say": "Is the light out or on?",
                "kind": "choice",
                "choices": [{"name": "out"}, {"name": "on"}],
                "passes": ["out"],
                "minutes": 1,
            },
        ],
    },
    "put_back": ["chocks away"],
}


@lru_cache(maxsize=1)
def vocabulary() -> Vocabulary:
    """The compiled grammars."""
    tables = {path.stem: library.read_toml(path) for path in library.files("grammars") if path.stem != "meters"}
    return Vocabulary.from_tables(tables)


@lru_cache(maxsize=1)
def procedure() -> Procedure:
    """The invented procedure; one object, so that the planner keeps what it worked out."""
    return Procedure.model_validate(PROCEDURE)


def context(**changes: Any) -> Context:
    """A setting with the invented procedure."""
    return Context(procedure(), vocabulary(), **{"unit_number": "0419", "air_fahrenheit": Decimal(72), **changes})


@dataclass
class Conversation:
    """A talk: facts in, everything that came out kept."""

    context: Context = field(default_factory=context)
    state: State | None = None
    said: list[Say] = field(default_factory=list)
    records: list[Record] = field(default_factory=list)
    decisions: list[Decision] = field(default_factory=list)
    visited: set[tuple[str, str]] = field(default_factory=set)
    expectation: Expectation | None = None
    waits: float | None = None
    finished: str = ""
    clock: float = 0.0
    words: str = ""
    """What was heard last."""
    fail: int = 0
    """How many writes fail from here."""

    def __post_init__(self) -> None:
        if self.state is None:
            self.state = begin(self.context)

    @property
    def now(self) -> State:
        """The state."""
        assert self.state is not None
        return self.state

    @property
    def prompt(self) -> str:
        """Identity of what is asked, as text."""
        assert self.expectation is not None
        return str(self.expectation.prompt)

    @property
    def mode(self) -> Mode:
        """What is waited for."""
        return mode_of(self.context, self.now)

    def feed(self, fact: Fact) -> list[Say]:
        """Play one fact, write what is to be written, and return what was said."""
        return self.take(step(self.context, self.now, fact))

    def take(self, result: Result) -> list[Say]:
        """Do what one step asks for, write what is to be written, and return what was said."""
        start = len(self.said)
        pending: Fact | None = None
        while True:
            self.state, effects = result
            listened = False
            for effect in effects:
                match effect:
                    case Say():
                        phrase(effect, self.context.vocabulary)
                        self.said.append(effect)
                    case Record():
                        assert len(effects) == 1, "nothing is said before it is on disk"
                        pending = self._write(effect)
                    case Listen():
                        self.expectation, self.waits, listened = effect.expectation, None, True
                    case Wait():
                        assert listened
                        self.waits = effect.seconds
                    case Finish():
                        self.finished = effect.ending
            if pending is None:
                return self.said[start:]
            result, pending = step(self.context, self.now, pending), None

    def _write(self, record: Record) -> Fact:
        if self.fail:
            self.fail -= 1
            return RecordFailed(self.clock, "The disk is full.")
        fact = record.fact
        if isinstance(fact, Heard) and fact.at == self.clock and self.words == "yes":
            assert fact.hypotheses[0].words in ("yes", ""), "a yes stands in the record as it was said"
        self.records.append(record)
        self.decisions += record.decisions
        return Recorded(self.clock, len(self.records))

    def begin(self) -> Conversation:
        """Begin."""
        self.feed(Began(0.0))
        return self

    def hear(self, words: str, *, snr: float | None = None) -> list[Say]:
        """Hear one line."""
        self.clock += 1
        self.words = words
        return self.feed(Heard(self.clock, (Hypothesis(words),), snr_db=snr))

    def dialog(self, lines: Iterable[str]) -> Conversation:
        """Hear several lines."""
        for line in lines:
            self.hear(line)
        return self

    def text(self, says: Iterable[Say]) -> str:
        """What was said, as shown."""
        shown = (phrase(say, self.context.vocabulary).shown for say in says)
        return " ".join(text for text in shown if text)

    def folded(self) -> State:
        """The state that the written decisions lead to."""
        return fold(self.context, self.decisions)


def keys(says: Iterable[Say]) -> list[str]:
    """Keys of what was said."""
    return [say.key for say in says]


TO_FINDING = ("ready", "yes", "drum", "no", "72")
