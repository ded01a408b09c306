"""What is said otherwise, or at all, to somebody new, and to somebody who wants it short.

What stands in neither table is said as ``phrasing.sentences`` has it. A caution, a reading and a danger are said at
every length; what falls away is what the person knows: how to answer, what part of the session begins, that an answer
was written down (a tone says that).
"""

from __future__ import annotations

from assistant.messages import Say, Talk
from assistant.phrasing.sentences import PHRASES

FIRST_TIME: dict[str, str] = {
    "summary": "{text}",
    "greeting": "{text}. Let's find it.",
    "ready": "Say ready when you are.",
    "facts": "First, some questions.",
    "finding": "Now we look for the fault.",
    "surveying": "Now we read every position. Name a position to go there next.",
    "proving": "Now we verify the repair.",
    "complaint": "Complaint: {text}",
    "once_more_first": "Once more, to be sure.",
    "once_more": "Once more, to be sure. {text}",
    "ask_same": "{text}",
    "do": "{text} Say next when done.",
    "fix": "{text} Say next when done, or no.",
    "quiet": "{text} I stay quiet. Say next when you are back.",
    "cautions_yes": "When all of that is done, say yes to all {count:whole}.",
    "cautions_both": "When all of that is done, say yes to both.",
    "put_back_part": "Part {number:whole} of {count:whole} done? Say yes, or no for one by one.",
    "put_back": "All done? Say yes, or no for one by one.",
    "put_back_item": "Back together: {text}. Done? Say yes.",
    "close": "Say next to close the session. A note or a correction still goes in.",
    "reason": "Skip it. Why? Say the reason.",
    "reading_limits": "I have {value:unit}. {word}, {limits:bare}.",
    "reading": "I have {value:unit}. {word}.",
    "reading_none": "I have {value:unit}. No limit here.",
    "over_range_limits": "Over range. {word}, {limits:unit}.",
    "over_range_verdict": "Over range. {word}.",
    "choice_logged": "You said {text}.",
    "fix_logged": "Done: {text}.",
    "put_back_logged": "All back together.",
    "acknowledged": "Noted.",
    "step_logged": "Got it.",
    "measure_again": "Measure again what failed.",
    "limits_moved": "Limits: {text}.",
    "skipped": "Skipped. It stays open in the record.",
    "goodbye": "The record is closed.",
}
"""Key to phrase for somebody new."""

SHORT: dict[str, str] = {
    "in_hand": "",
    "history": "",
    "surveying": "",
    "do": "{text}",
    "quiet": "{text}",
    "fix": "{text} Next, or no.",
    "fix_way": "{text} Say {ways}, or no.",
    "put_back_part": "Part {number:whole} of {count:whole} done?",
    "put_back": "All done?",
    "reading_limits": "{word}, {value:unit}.",
    "over_range_limits": "{word}, over range.",
    "not_shown": "",
    "close": "Next to close.",
    "measure_again": "Again.",
    "talk_set": "",
}
"""Key to phrase for somebody who wants it short."""

KNOWN = "known"
"""Slot of a ``Say`` of which a part was said before in the session, or just now."""
LESS: dict[str, str] = {
    "do": "{text}",
    "fix": "{text} Next, or no.",
    "once_more": "Once more: {ask}",
    "put_back_done": "Done?",
    "caution_told": "{text}",
    "reading_limits": "{word}, {value:unit}.",
    "withdrawn": "Deleted.",
    "ended": "Done.",
    "not_shown": "",
    "cause": "",
    "correction": "",
}
"""Key to phrase for what is known, to anybody but somebody new: how to say that work is done, which check was just
read, that these are cautions, what a good reading's limits are, what is asked again at once, that it is verified, and
what was found and done where it was one thing."""

_LENGTHS = {Talk.FIRST: FIRST_TIME, Talk.USUAL: PHRASES, Talk.SHORT: SHORT}


def template(say: Say) -> str | None:
    """The phrase of one ``Say`` in its length, '' where nothing is said; None where there is no such phrase."""
    if say.slots.get(KNOWN) and say.talk is not Talk.FIRST and say.key in LESS:
        return LESS[say.key]
    return _LENGTHS[say.talk].get(say.key, PHRASES.get(say.key))
