"""Facts: what happened, past tense. Times called ``at`` are seconds since the session began."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from assistant.messages.hearing import Hypothesis
from assistant.messages.history import FoundBefore, HistoryWeight
from assistant.messages.photos import Photo


class Source(StrEnum):
    """Where an utterance came in."""

    TYPED = "typed"
    RECORDING = "recording"
    MICROPHONE = "microphone"
    PAGE = "page"


@dataclass(frozen=True, slots=True)
class Began:
    """The session began."""

    at: float
    kind: Literal["began"] = "began"


@dataclass(frozen=True, slots=True)
class Resumed:
    """A session that was left is taken up again."""

    at: float
    kind: Literal["resumed"] = "resumed"


@dataclass(frozen=True, slots=True)
class Heard:
    """Somebody said or typed something."""

    at: float
    hypotheses: tuple[Hypothesis, ...]
    """Best first; a typed line has exactly one."""
    source: Source = Source.TYPED
    snr_db: float | None = None
    """Signal-to-noise ratio in decibels, None when it was typed."""
    sound: str = ""
    """Name of the recording, when there is one."""
    alternatives: tuple[str, ...] = ()
    """What else the sound of an accepted answer could have been, the likeliest first: for who reads the record."""
    kind: Literal["heard"] = "heard"


@dataclass(frozen=True, slots=True)
class WentQuiet:
    """The seconds of a ``Wait`` passed with nothing said."""

    at: float
    kind: Literal["went_quiet"] = "went_quiet"


@dataclass(frozen=True, slots=True)
class InputEnded:
    """No more answers will come: end of the keyboard input or of the recordings."""

    at: float
    kind: Literal["input_ended"] = "input_ended"


@dataclass(frozen=True, slots=True)
class MicrophoneLost:
    """The microphone went away; the step is kept."""

    at: float
    reason: str
    kind: Literal["microphone_lost"] = "microphone_lost"


@dataclass(frozen=True, slots=True)
class Recorded:
    """The entry is on disk."""

    at: float
    number: int
    """Sequence number of the entry."""
    moved: Literal["", "here", "back"] = ""
    """Where the record goes on from this entry, where that changed: on this machine, or in its own place again."""
    kind: Literal["recorded"] = "recorded"


@dataclass(frozen=True, slots=True)
class RecordFailed:
    """The entry could not be written; it is kept in memory and tried again."""

    at: float
    reason: str
    """A sentence: what failed and what to do."""
    kind: Literal["record_failed"] = "record_failed"


@dataclass(frozen=True, slots=True)
class HistoryTold:
    """What earlier records say about the unit whose number was told: the answer to ``LookUp``."""

    at: float
    unit: str
    """Number of the truck or trailer."""
    text: str = ""
    """For the technician; '' when the unit was never here."""
    weights: tuple[HistoryWeight, ...] = ()
    """What it changes."""
    found: FoundBefore | None = None
    """A fault found earlier whose repair waits, None when there is none."""
    facts: dict[str, str] = field(default_factory=dict)
    """What its last sessions knew of it, by the names of the facts."""
    seen: str = ""
    """When that was, as it is said: ``in March``."""
    kind: Literal["history_told"] = "history_told"


@dataclass(frozen=True, slots=True)
class PhotoTaken:
    """A photo came in; its picture lies outside the chain, where it can be erased."""

    at: float
    photo: Photo
    kind: Literal["photo_taken"] = "photo_taken"


@dataclass(frozen=True, slots=True)
class PhotoGone:
    """A photo was erased on request."""

    at: float
    name: str
    kind: Literal["photo_gone"] = "photo_gone"


Fact = (
    Began | Resumed | Heard | WentQuiet | InputEnded | MicrophoneLost | Recorded | RecordFailed | HistoryTold
    | PhotoTaken | PhotoGone
)  # fmt: skip
