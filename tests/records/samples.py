"""One sample of every fact and decision, a header, and a whole invented session."""

from __future__ import annotations

import errno
import hashlib
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

from assistant.messages import (
    Detail,
    Fact,
    Grade,
    Heard,
    HistoryTold,
    HistoryWeight,
    Hypothesis,
    Photo,
    Reason,
    Say,
    Source,
    Talk,
    Verdict,
    Why,
    check_prompt,
    facts,
)
from assistant.messages import decisions as d
from assistant.messages.prompts import HAND_OVER
from assistant.records.journal.disk import AppendFile
from assistant.records.journal.lines import Header
from assistant.records.journal.reader import Session
from assistant.records.journal.writer import Journal
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import find
from assistant.verdict import Meter

D = Decimal

TOML = """
format = 1
name = "invented"
title = "Invented procedure"
complaint = "The light stays on"
[[facts]]
name = "unit number"
kind = "identifier"
[[faults]]
name = "open"
title = "open sensor"
[[checks]]
name = "ohms"
title = "resistance at the sensor"
[[fixes]]
name = "replace"
title = "sensor replaced"
[proof]
limits = "It does not show that the fault cannot come back."
[[proof.steps]]
name = "roll"
say = "Roll faster than five. Is the light out?"
"""

METER = Meter.from_table(
    {
        "name": "made up",
        "title": "made-up meter",
        "invented": True,
        "range": [{"unit": "ohm", "top": D("1999"), "resolution": 1, "accuracy": "0.8%+2"}],
    }
)


def header(session_id: str = "20260131-142305-k3f") -> Header:
    return Header(
        session_id,
        "2026-01-31T14:23:05-05:00",
        "invented",
        TOML,
        hashlib.sha256(TOML.encode()).hexdigest(),
        {"units.toml": "00ff"},
        "small English",
        "ab12",
        METER,
        "",
        D("41.0"),
        (HistoryWeight("open", "left rear", 2.0, "Replaced in March."),),
        invented=True,
        source="recording",
        program="0.1.0",
    )


VERDICT = Verdict(
    Grade.BAD_HIGH, D("29.837"), 0.25, D("729.8"), None, D("1416.512059369202357563850688"), "Too high.", "Odd."
)


def observed(
    number: int = 1, grade: Grade = Grade.BAD_HIGH, *, proof: bool = False, value: str = "4210"
) -> d.Observed:
    verdict = Verdict(grade, D("29.837"), 0.5, D("729.8"), D("2970.2"), D(value), "A reason.", "")
    return d.Observed(
        number, "ohms", "left rear", "resistance at the sensor", {"high": 0.75, "good": 0.25}, "forty two ten",
        D(value), "ohm", "", None, None, None, approximate=False, verdict=verdict, limit_low=D(700),
        limit_high=D(3000), limit_source="FHWA-MC-98-008, page 29", conditions={"key": "off"},
        meter="made-up meter", proof=proof,
    )  # fmt: skip


def written(text: str) -> Reason:
    """A reason that an earlier version wrote as a sentence."""
    return Reason(Why.WRITTEN, {"text": text})


SCRATCHED, CONDEMNED = written("scratch that"), Reason(Why.CONDEMNED, {"check": "the reading", "suspect": "it"})
RIGHT_OHMS = check_prompt("ohms", "right rear")

PHOTO = Photo("0123456789abcdef", "9f" * 32, 20_000, 1600, 1200, check_prompt("ohms", "left rear"), 1)

FACTS: list[Fact] = [
    facts.Began(0.0),
    facts.Resumed(12.5),
    Heard(3.25, (Hypothesis("eighty", -3.5), Hypothesis("eighteen", -9.0)), Source.RECORDING, 17.5, "a.flac"),
    Heard(3.5, (Hypothesis("eighty", -3.5),), Source.MICROPHONE, 17.5, "", ("eighteen", "eight")),
    Heard(4.0, (Hypothesis("Ω é 日本 \u2028 \"quoted\" \\ \n tab\t", 0.0),), Source.TYPED),
    Heard(5.0, ()),
    facts.WentQuiet(6.0),
    facts.InputEnded(7.0),
    facts.MicrophoneLost(8.0, "It was unplugged."),
    facts.Recorded(9.0, 4),
    facts.RecordFailed(10.0, "The disk is full."),
    facts.PhotoTaken(10.5, PHOTO),
    facts.PhotoGone(10.75, PHOTO.name),
    HistoryTold(11.0, "0419"),
    HistoryTold(11.0, "0419", "It was here.", (HistoryWeight("open", "left rear", 0.4, "Replaced in March."),)),
]  # fmt: skip

DECISIONS: list[d.Decision] = [
    *(d.PhaseEntered(phase) for phase in d.Phase),
    d.CautionAcknowledged("chocks"),
    d.FactAnswered("unit number", "0419", "zero four one nine"),
    d.AccessOpened("drum", "left rear", 45.5),
    d.AccessOpened("plug", None, 1.0),
    d.CheckChosen("ohms", "left rear", 3.5, Reason(Why.NARROWS, {"minutes": 4, "access": "", "place": ""})),
    observed(),
    d.Observed(2, "ohms", None, "resistance", {"over_range": 1.0}, "o l", None, "ohm", "over_range", verdict=VERDICT),
    d.Observed(3, "light", None, "light", {"on": 1.0}, "on", choice="on"),
    d.Observed(4, "ohms", None, "ohms", {"unsteady": 1.0}, "jumping", None, "ohm", "unsteady", D("4E+2"), D("0.000")),
    d.ObservationWithdrawn(1, SCRATCHED),
    d.FactWithdrawn("unit number"),
    d.Skipped(check_prompt("ohms", "left rear"), "No pigtail."),
    d.FixChosen("replace", "left rear", "open", 0.97, True, CONDEMNED),
    d.FixDone("replace", "left rear", "sensor replaced", "wheel-speed sensor"),
    d.FixDeclined("replace", None, "no part here"),
    d.ProofStepDone("roll", "out", True),
    d.ProofStepWithdrawn("roll"),
    d.ProofFinished(True, written("The light went out.")),
    d.PutBackDone(("Plug in the sensor, left rear.",)),
    d.NotAsNeeded("left rear lining a quarter inch or more", "new lining", "no"),
    d.NoteTaken("tire is worn"),
    d.PhotoKept(PHOTO),
    d.PhotoErased(PHOTO.name),
    d.DetailTold(Detail.WORK_ORDER, "4711", "work order four seven one one"),
    d.Held(),
    d.Released(),
    d.HistoryTaken("0419", (HistoryWeight("open", None, 0.4, "Replaced."), HistoryWeight("ring", "left rear", 3.0))),
    d.TalkSet(Talk.SHORT),
    d.QuestionChosen("brakes", 2.5, Reason(Why.SAVES, {"minutes": 2})),
    d.Offered(HAND_OVER, Reason(Why.LONG_HUNT, {"minutes": 95})),
    d.OfferAnswered(HAND_OVER, taken=True),
    d.SaidTogether(3),
    *(d.Ended(ending, written("It is over.")) for ending in d.Ending),
    d.Remarked(Reason(Why.ASKED_WHY, {"prompt": "ready"})),
]

REPLIES = (
    Say("read_back", {"value": D("1.180"), "unit": "ohm", "count": 3, "share": 0.5, "none": None}),
    Say("choose", {"values": (D("498"), D("4.98")), "names": ("a", "b"), "empty": ()}),
    Say("bare"),
)


def heard(at: float, words: str) -> Heard:
    return Heard(at, (Hypothesis(words),))


SCENE: list[tuple[d.Record, tuple[str, ...], float]] = [
    (d.Record(facts.Began(0.0), (d.PhaseEntered(d.Phase.CAUTIONS),)), ("Chock the wheels. Say yes.",), 0.0),
    (d.Record(heard(6, "yes"), (d.CautionAcknowledged("chocks"), d.PhaseEntered(d.Phase.FACTS))), ("Unit?",), 6.0),
    (
        d.Record(heard(60, "zero four one nine"), (d.FactAnswered("unit number", "0419", "zero four one nine"),)),
        ("Unit 0 4 1 9.",),
        60.0,
    ),
    (
        d.Record(
            facts.Began(61),
            (
                d.PhaseEntered(d.Phase.FINDING),
                d.CheckChosen("ohms", "left rear", 3, written("Cheap.")),
            ),
        ),
        ("Unplug the left rear sensor. How many ohms?",),
        61.0,
    ),
    (
        d.Record(
            Heard(120, (Hypothesis("eleven eighty"), Hypothesis("eleven eighteen"))),
            (observed(1, Grade.GOOD, value="1180"),),
        ),
        ("1 1 8 0 ohms. Good.",),
        120.0,
    ),
    (
        d.Record(heard(130, "scratch that"), (d.ObservationWithdrawn(1, SCRATCHED),)),
        ("Taken back.",),
        130.0,
    ),
    (d.Record(heard(140, "hold"), (d.Held(),)), ("Holding.",), 140.0),
    (d.Record(heard(200, "resume"), (d.Released(),)), ("Going on.",), 200.0),
    (
        d.Record(
            heard(240, "forty two ten"),
            (
                observed(2),
                d.PhaseEntered(d.Phase.REPAIRING),
                d.FixChosen("replace", "left rear", "open", 0.97, True, written("Condemned.")),
            ),
        ),
        ("4 2 1 0 ohms. Too high. Replace the sensor.",),
        240.0,
    ),
    (
        d.Record(heard(900, "done"), (d.FixDone("replace", "left rear", "sensor replaced", "sensor"),)),
        ("Measure again.",),
        900.0,
    ),
    (
        d.Record(
            heard(960, "twelve hundred"),
            (observed(3, Grade.GOOD, proof=True, value="1200"), d.PhaseEntered(d.Phase.PROVING)),
        ),
        ("1 2 0 0 ohms. Good.",),
        960.0,
    ),
    (d.Record(heard(1000, "note tire is worn"), (d.NoteTaken("tire is worn"),)), ("Noted.",), 1000.0),
    (
        d.Record(heard(1010, "skip, no scan tool"), (d.Skipped(RIGHT_OHMS, "no scan tool"),)),
        (),
        1010.0,
    ),
    (
        d.Record(
            heard(1200, "out"),
            (
                d.ProofStepDone("roll", "out", True),
                d.ProofStepWithdrawn("roll"),
                d.ProofFinished(True, written("The light went out.")),
                d.PhaseEntered(d.Phase.CLOSING),
                d.Ended(d.Ending.CURED_AND_PROVEN, written("The light went out.")),
            ),
        ),
        ("Cured and proven.",),
        1200.0,
    ),
]


class Clock:
    """A wall clock that moves one second a look, and can be set back."""

    def __init__(self) -> None:
        self.time = datetime(2026, 1, 31, 19, 23, 5, tzinfo=UTC)

    def wall(self) -> datetime:
        self.time += timedelta(seconds=1)
        return self.time


def write_scene(folder: Path, upto: int | None = None) -> Path:
    """Write the invented session, all of it or its first entries, and return its path."""
    with Journal.create(folder, header(), Clock()) as journal:
        for record, said, at in SCENE[:upto]:
            journal.append(record, said, at)
        return journal.path


class FailingFile(AppendFile):
    """A real file whose writes stop after a budget of bytes, as on a full disk."""

    budget: int | None = None
    """Bytes that may still be written; None: all."""
    sync_fails = False
    truncate_fails = False

    def write(self, data: bytes) -> None:
        """Write what the budget allows, then say that the disk is full."""
        if self.budget is not None and len(data) > self.budget:
            super().write(data[: self.budget])
            self.budget = 0
            raise OSError(errno.ENOSPC, "No space left on device")
        if self.budget is not None:
            self.budget -= len(data)
        super().write(data)

    def sync(self) -> None:
        if self.sync_fails:
            raise OSError(errno.EIO, "Input/output error")
        super().sync()

    def truncate(self, size: int) -> None:
        if self.truncate_fails:
            raise OSError(errno.EIO, "Input/output error")
        super().truncate(size)


def session_in(folder: Path, name: str = "last") -> Session:
    """One session of a folder, as the commands find it."""
    return find(FolderStore(folder), name)
