"""The table of transitions. Every way in which a session can move stands here.

Theory of operation
-------------------
The session is always in one **mode**: what it waits for (``dialog_state.Mode``). A fact becomes an **event**
(``events.Event``): the fact itself, or, for something heard, what it was understood to be. ``TABLE[mode][event]`` is
the **row** (``transition.Row``) that answers; a pair that is not in the table is our own bug (``DefectError``) and
changes nothing.

A row names its handler and the modes to which it may lead, and ``step`` holds the handler to them. A handler does one
of two things:

- it answers **at once**: nothing is recorded, and the session goes on listening in a mode of ``at_once``;
- it sends one ``Record``, and the session is in RECORDING. ``Recorded`` then advances the state, says the replies and
  listens, in a mode of ``recorded``. ``RecordFailed`` leads to UNWRITTEN, where the next words or silence send the
  same record again, and 'stop', said twice, leaves the session as it stands on disk.

Main modes follow from the recorded state alone (``prompts.main``)::

    NEW -> READY -> CAUTION* -> FACT* -> [CAUTION* ACCESS*] CHECK ... -> [CAUTION* ACCESS*] FIX
        -> CHECK* (measured again) -> PUT_BACK -> PROOF* -> (failed: CHECK ... | passed: PUT_BACK) -> ENDED

FOLLOWING names all of them that an accepted answer can bring next, NUMBERED the look-up too. Where less can follow,
the row says less: ASKED after a choice of what is read next, TO_WORK after an opening, TO_PROOF after a fix,
PROVED after a step of the proof that was only to be done. A row that goes on where the session stood names no mode of
its own: STAY is the same mode, BELOW what lies under a question or a hold, PROMPT the prompt under them all.

A survey goes FACT* -> CHECK* -> PUT_BACK -> ENDED, and a place named there (PLACE) is gone to next.

Two things only a person can decide, and OFFER asks: before the search, to mend at once what an earlier session found
(then FIX follows the facts), and in a search longer than nine in ten are, to hand it over (then PUT_BACK follows).

Where a unit's number is told in the session, LOOK_UP stands between it and the next prompt: its history counts first.

Overlays are questions laid over a main mode and never recorded: CONFIRM, CHOOSE and SPREAD ask about an answer,
REASON why something is skipped, NOTE for free speech, STOP whether to end. A note and the question about the end may
lie over another question, which comes back after them (BELOW). A yes in CONFIRM to a command with a typing slip is
that command, met by the row of the mode below. HELD ignores everything but 'resume' and the questions where we are
and what is left.

'Go back' and 'correction' ask an earlier fact, check or step of the proof again (BACK); its mode is the session's
until it is answered, or left as it was by 'next' or 'skip'.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.session.dialog_state import Mode
from assistant.session.events import ANSWERS, COMMANDS, Event
from assistant.session.handlers import (
    answering,
    asking,
    closing,
    commands,
    finding,
    halves,
    lifecycle,
    mending,
    offering,
    photos,
    proof_codes,
    proving,
    repairing,
    reporting,
    several,
    survey_jumps,
    taking_back,
)
from assistant.session.transition import Relative, Row, to

Rows = dict[Event, Row]

STAY = to(Relative.STAY)
BELOW = to(Relative.BELOW)
PROMPT = to(Relative.PROMPT)
WAITING = to(Relative.WAITING)
DOUBTED = to(Mode.CONFIRM)
"""An answer that counts only after a yes."""
BACK = to(Mode.FACT, Mode.CHECK, Mode.PROOF)
"""Prompts whose answer can be taken back."""
ASKED = to(Mode.FACT, Mode.CAUTION, Mode.ACCESS, Mode.CHECK)
"""A check that was chosen, and what comes before it: facts that it depends on, cautions, openings."""
TO_WORK = ASKED | to(Mode.FIX)
"""An action that was chosen, and what comes before it."""
PROVED = to(Mode.FACT, Mode.CAUTION, Mode.PROOF, Mode.PUT_BACK)
"""The next step of the proof, facts that it depends on and cautions before it, and what is put back."""
TO_PROOF = ASKED | PROVED
"""What is measured again after a fix, then the proof."""
FOLLOWING = TO_WORK | PROVED | to(Mode.FACT, Mode.OFFER, Mode.ENDED)
"""Every main mode that the recorded state can ask for once an answer counts."""
NUMBERED = FOLLOWING | to(Mode.LOOK_UP)
"""The same where the answer may be the unit's number."""

_SAY_AGAIN = Row(commands.say_again, STAY)
_SKIP = Row(commands.skip, to(Mode.REASON) | PROMPT, FOLLOWING)
_NOT_AN_ANSWER = Row(taking_back.misunderstood, STAY, STAY)
_REPLACING = Row(taking_back.misunderstood, STAY | BACK | DOUBTED, STAY | NUMBERED)

_PHOTOS: Rows = {
    # They come from a screen beside the talk, and the prompt stays.
    Event.PHOTO_TAKEN: Row(photos.taken, STAY, STAY),
    Event.PHOTO_GONE: Row(photos.gone, STAY, STAY),
}

_NOT_SO = Row(closing.one_by_one, STAY, STAY | PROVED | to(Mode.ENDED))
_ASKING: Rows = {
    # What holds at every prompt, unless a mode says otherwise below.
    **_PHOTOS,
    Event.WENT_QUIET: Row(lifecycle.quiet, STAY),
    Event.INPUT_ENDED: Row(closing.left, to(Mode.NEW)),
    Event.MICROPHONE_LOST: Row(lifecycle.microphone_lost, STAY),
    Event.SAY_AGAIN: _SAY_AGAIN,
    Event.HELP: Row(commands.explain, STAY),
    Event.WHY: Row(commands.why, recorded=STAY),
    Event.WHATS_LEFT: Row(commands.whats_left_now, recorded=STAY),
    Event.WHERE: Row(commands.where, recorded=STAY),
    Event.GO_BACK: Row(taking_back.go_back, STAY | BACK),
    Event.WITHDRAW: Row(taking_back.withdraw, STAY | PROMPT, FOLLOWING),
    Event.CORRECTION: Row(taking_back.correction, STAY | BACK),
    **dict.fromkeys((Event.SAY_LESS, Event.SAY_MORE, Event.SAY_USUAL), Row(commands.talk, recorded=STAY)),
    Event.SKIP: _SKIP,
    Event.HOLD: Row(lifecycle.held, recorded=to(Mode.HELD)),
    Event.RESUME: Row(commands.rest, STAY),
    Event.NOTE: Row(commands.note, to(Mode.NOTE), STAY),
    Event.STOP: Row(commands.stop, to(Mode.STOP)),
    Event.SLIP: Row(taking_back.did_you_mean, DOUBTED),
    Event.QUESTION: Row(asking.asked, recorded=STAY),
    Event.REPORT: Row(reporting.reported, STAY | PROMPT | DOUBTED | to(Mode.STOP, Mode.REASON), STAY | FOLLOWING),
    Event.NEXT: Row(answering.not_asked, STAY),
    Event.YES: Row(answering.not_asked, STAY),
    Event.NO: Row(answering.not_asked, STAY),
    **dict.fromkeys(ANSWERS, _NOT_AN_ANSWER),
    # What makes no sense here may replace the last answer, whose unit this prompt does not have.
    **dict.fromkeys((Event.NOT_UNDERSTOOD, Event.CORRECTED), _REPLACING),
}

_ANSWER = Row(answering.answer, STAY | PROMPT | DOUBTED, STAY | FOLLOWING)
_TOLD = Row(answering.answer, STAY | PROMPT | DOUBTED, STAY | NUMBERED | DOUBTED)

_HALF: Rows = dict.fromkeys((Event.YES, Event.NO), Row(halves.half, STAY | DOUBTED))
"""A yes or a no that names none of the answers."""

_ANSWERING: Rows = {
    # Prompts that wait for an answer in words or numbers.
    Event.READING: _ANSWER,
    Event.CHOICE: _ANSWER,
    Event.CORRECTED: Row(taking_back.corrected, STAY | PROMPT | BACK | DOUBTED, STAY | NUMBERED),
    Event.CHOOSE: Row(answering.choose, to(Mode.CHOOSE) | DOUBTED),
    Event.INCOMPLETE: Row(answering.incomplete, PROMPT),
    Event.NEXT: Row(answering.ask_again, STAY | PROMPT),
}

_TELLING: Rows = {
    # What a fact is answered with; it may be the unit's number.
    **dict.fromkeys((Event.READING, Event.CHOICE, Event.IDENTIFIER, Event.WORDS), _TOLD),
}

_MEASURING: Rows = {
    # What a meter can show that is no number.
    Event.OVER_RANGE: _ANSWER,
    Event.UNSTEADY: _ANSWER,
    Event.RANGE: Row(finding.spread, to(Mode.SPREAD) | PROMPT | DOUBTED),
    Event.NOTHING: Row(finding.blank, PROMPT),
}

_MENDING: Rows = {
    # An earlier answer was wrong: what it becomes is asked about, or which one it is.
    Event.MENDED: Row(mending.mended, STAY | BACK | DOUBTED | to(Mode.CHOOSE)),
}

_DROPPED = Row(answering.drop, BELOW | PROMPT)

_DOUBTING: Rows = {
    # Questions about an answer: taking back a word takes back that answer, which never counted.
    Event.GO_BACK: _DROPPED,
    Event.WITHDRAW: _DROPPED,
    Event.CORRECTION: Row(taking_back.correction, BELOW),
    Event.CORRECTED: _TOLD,
}

_GO_ON = Row(commands.go_on, BELOW)
_YES_OR_NO = Row(answering.yes_or_no, STAY)
_NOT_SKIPPED: Rows = dict.fromkeys((Event.NO, Event.GO_BACK, Event.WITHDRAW, Event.CORRECTION), _GO_ON)
_IGNORED = Row(lifecycle.ignored, STAY)
_LEFT = Row(closing.left, to(Mode.NEW))
_SEEN = Row(reporting.seen, DOUBTED)
_GONE_TO = Row(survey_jumps.go_to, STAY, ASKED)

TABLE: Mapping[Mode, Mapping[Event, Row]] = {
    Mode.NEW: {
        Event.BEGAN: Row(lifecycle.began, recorded=to(Mode.READY)),
        Event.RESUMED: Row(lifecycle.resumed, STAY, to(Mode.READY) | NUMBERED),
        Event.INPUT_ENDED: _LEFT,
    },
    Mode.READY: {
        **_ASKING,
        **dict.fromkeys((Event.YES, Event.NEXT), Row(repairing.ready, recorded=FOLLOWING)),
        Event.NO: _SKIP,
    },
    Mode.CAUTION: {
        **_ASKING,
        **_MENDING,
        Event.YES: Row(repairing.acknowledge, recorded=FOLLOWING),
        Event.NEXT: Row(repairing.told_done, STAY, FOLLOWING),
        Event.NO: _SKIP,
        Event.PLACE: _GONE_TO,
        Event.SEEN: _SEEN,
    },
    Mode.FACT: {
        **_ASKING,
        **_MENDING,
        **_ANSWERING,
        **_TELLING,
        **_HALF,
        Event.SEVERAL: Row(several.facts, recorded=NUMBERED),
    },
    Mode.ACCESS: {
        **_ASKING,
        **_MENDING,
        **dict.fromkeys((Event.YES, Event.NEXT), Row(repairing.opened, recorded=TO_WORK | DOUBTED)),
        Event.NO: _SKIP,
        Event.PLACE: _GONE_TO,
        Event.SEEN: _SEEN,
    },
    Mode.CHECK: {
        **_ASKING,
        **_MENDING,
        **_ANSWERING,
        **_MEASURING,
        **_HALF,
        Event.PLACE: _GONE_TO,
        Event.SEEN: _SEEN,
        Event.SEVERAL: Row(several.readings, recorded=FOLLOWING | to(Mode.CONFIRM, Mode.CHOOSE, Mode.SPREAD)),
        # 'I don't know' passes it by at once, and asks for no reason.
        Event.SKIP: Row(commands.skip, to(Mode.REASON) | PROMPT, FOLLOWING),
    },
    Mode.FIX: {
        **_ASKING,
        **_MENDING,
        **dict.fromkeys((Event.YES, Event.NEXT), Row(repairing.fix_done, STAY | DOUBTED, TO_PROOF | DOUBTED)),
        Event.NO: _SKIP,
        Event.SEEN: _SEEN,
    },
    Mode.PROOF: {
        **_ASKING,
        **_MENDING,
        **dict.fromkeys((Event.YES, Event.NEXT), Row(proving.step_done, STAY | DOUBTED, PROVED | to(Mode.CONFIRM))),
        Event.NO: _HALF[Event.NO],
        Event.SEVERAL: Row(proof_codes.told, STAY | DOUBTED, PROVED),
        Event.CHOICE: _ANSWER,
        Event.CHOOSE: Row(answering.choose, to(Mode.CHOOSE) | DOUBTED),
        Event.CORRECTED: Row(taking_back.corrected, STAY | PROMPT | BACK | DOUBTED, STAY | NUMBERED),
    },
    Mode.OFFER: {
        **_ASKING,
        **_MENDING,
        Event.YES: Row(offering.taken, recorded=FOLLOWING),
        **dict.fromkeys((Event.NO, Event.SKIP), Row(offering.not_taken, recorded=FOLLOWING)),
        Event.NEXT: _YES_OR_NO,
    },
    Mode.PUT_BACK: {
        **_ASKING,
        **_MENDING,
        **dict.fromkeys((Event.YES, Event.NEXT), Row(closing.put_back, STAY, PROVED | to(Mode.ENDED))),
        Event.NO: _NOT_SO,
        **dict.fromkeys(
            (*ANSWERS, Event.NOT_UNDERSTOOD),
            Row(closing.other_words, STAY | BACK | DOUBTED, STAY | NUMBERED | PROVED | to(Mode.ENDED)),
        ),
    },
    Mode.CONFIRM: {
        **_ASKING,
        **_MENDING,
        **_ANSWERING,
        **_TELLING,
        **_MEASURING,
        **_DOUBTING,
        Event.YES: Row(answering.confirmed_yes, STAY, STAY | NUMBERED),
        Event.NO: Row(answering.confirmed_no, recorded=BELOW | PROMPT | PROVED),
        Event.NEXT: _YES_OR_NO,
    },
    Mode.CHOOSE: {
        **_ASKING,
        **_MENDING,
        **_ANSWERING,
        **_TELLING,
        **_MEASURING,
        **_DOUBTING,
        Event.NO: _DROPPED,
        Event.NEXT: _SAY_AGAIN,
    },
    Mode.SPREAD: {
        **_ASKING,
        **_MEASURING,
        **_DOUBTING,
        Event.READING: Row(finding.end_of_spread, STAY | DOUBTED, STAY | FOLLOWING),
        Event.NO: _DROPPED,
    },
    Mode.REASON: {
        **_ASKING,
        **_NOT_SKIPPED,
        Event.CORRECTED: _NOT_AN_ANSWER,
        Event.WORDS: Row(commands.reason_given, recorded=FOLLOWING),
        **dict.fromkeys((Event.SKIP, Event.NEXT), Row(commands.no_reason, recorded=FOLLOWING)),
    },
    Mode.NOTE: {
        **_ASKING,
        **_NOT_SKIPPED,
        Event.CORRECTED: _NOT_AN_ANSWER,
        Event.WORDS: Row(commands.noted, STAY, BELOW),
        Event.YES: Row(commands.note_kept, STAY, BELOW),
        Event.NO: Row(commands.note_refused, STAY | BELOW),
        Event.NEXT: Row(commands.note_over, BELOW, BELOW),
        Event.NOTE: _SAY_AGAIN,
    },
    Mode.STOP: {
        **_ASKING,
        **_NOT_SKIPPED,
        Event.YES: Row(closing.really_stop, to(Mode.NEW), to(Mode.CAUTION, Mode.PUT_BACK, Mode.ENDED)),
        **dict.fromkeys((Event.NEXT, Event.RESUME), _GO_ON),
        **dict.fromkeys((Event.STOP, Event.SKIP, Event.NOTE, Event.CORRECTED, Event.SLIP), _YES_OR_NO),
    },
    Mode.HELD: {
        **dict.fromkeys((*COMMANDS, *ANSWERS), _IGNORED),
        **dict.fromkeys(
            (
                Event.WENT_QUIET,
                Event.NOT_UNDERSTOOD,
                Event.CORRECTED,
                Event.SLIP,
                Event.QUESTION,
                Event.REPORT,
            ),
            _IGNORED,
        ),
        **_PHOTOS,
        Event.INPUT_ENDED: _LEFT,
        Event.MICROPHONE_LOST: Row(lifecycle.microphone_lost, STAY),
        Event.RESUME: Row(lifecycle.released, recorded=BELOW),
        Event.WHERE: Row(commands.where, recorded=STAY),
        Event.WHATS_LEFT: Row(commands.whats_left_now, recorded=STAY),
    },
    Mode.LOOK_UP: {
        Event.HISTORY_TOLD: Row(lifecycle.history_told, recorded=FOLLOWING),
        Event.INPUT_ENDED: _LEFT,
    },
    Mode.RECORDING: {
        Event.RECORDED: Row(lifecycle.written, WAITING),
        Event.RECORD_FAILED: Row(lifecycle.not_written, to(Mode.UNWRITTEN)),
    },
    Mode.UNWRITTEN: {
        Event.HEARD: Row(lifecycle.retry, to(Mode.RECORDING)),
        Event.WENT_QUIET: Row(lifecycle.retry, to(Mode.RECORDING)),
        Event.STOP: Row(lifecycle.leave_unwritten, STAY | to(Mode.NEW)),
        Event.INPUT_ENDED: _LEFT,
        Event.MICROPHONE_LOST: Row(lifecycle.unwritten_microphone, STAY),
        # What waits to be written goes first: the screen is told that its photo was not kept.
        **dict.fromkeys((Event.PHOTO_TAKEN, Event.PHOTO_GONE), Row(photos.not_now, STAY)),
    },
    Mode.ENDED: {
        Event.INPUT_ENDED: Row(lifecycle.over, STAY),
    },
}
