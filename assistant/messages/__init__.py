"""Plain data that crosses rooms: facts (past tense), effects (imperative), and what they carry.

All of it is frozen. Readings, limits and uncertainties are ``Decimal``; weights, probabilities, seconds and minutes
are ``float``.
"""

from assistant.messages.asking import About, Detail, Report
from assistant.messages.clarifying import Ask, Clarification
from assistant.messages.effects import Finish, Listen, LookUp, Say, Slot, Talk, Wait
from assistant.messages.facts import (
    Began,
    Fact,
    Heard,
    HistoryTold,
    InputEnded,
    MicrophoneLost,
    PhotoGone,
    PhotoTaken,
    Recorded,
    RecordFailed,
    Resumed,
    Source,
    WentQuiet,
)
from assistant.messages.hearing import (
    Choice,
    Command,
    Expectation,
    Expects,
    Hearing,
    Hypothesis,
    Outcome,
    Understanding,
)
from assistant.messages.history import FoundBefore, HistoryWeight
from assistant.messages.judging import Basis, Grade, Limits, Remark, RemarkKind, Verdict
from assistant.messages.photos import Photo
from assistant.messages.prompts import NO_PROMPT, Overlaid, Prompt, PromptKind, check_prompt
from assistant.messages.reasons import Reason, Why

__all__ = [
    "NO_PROMPT",
    "About",
    "Ask",
    "Basis",
    "Began",
    "Choice",
    "Clarification",
    "Command",
    "Detail",
    "Expectation",
    "Expects",
    "Fact",
    "Finish",
    "FoundBefore",
    "Grade",
    "Heard",
    "Hearing",
    "HistoryTold",
    "HistoryWeight",
    "Hypothesis",
    "InputEnded",
    "Limits",
    "Listen",
    "LookUp",
    "MicrophoneLost",
    "Outcome",
    "Overlaid",
    "Photo",
    "PhotoGone",
    "PhotoTaken",
    "Prompt",
    "PromptKind",
    "Reason",
    "RecordFailed",
    "Recorded",
    "Remark",
    "RemarkKind",
    "Report",
    "Resumed",
    "Say",
    "Slot",
    "Source",
    "Talk",
    "Understanding",
    "Verdict",
    "Wait",
    "WentQuiet",
    "Why",
    "check_prompt",
]
