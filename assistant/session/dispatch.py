"""The table of transitions. Every way in which a session can move stands here.

Theory of operation
-------------------
The session is always in one **mode**: what it waits for (``talk.Mode``). A fact becomes an **event**
(``events.Event``): the fact itself, or, for something heard, what it was understood to be. ``TABLE[mode][event]`` is
the handler that answers; a pair that is not in the table is our own bug (``DefectError``) and changes nothing.

Main modes follow from the recorded state alone (``prompts.main``)::

    NEW -> READY -> CAUTION* -> FACT* -> [CAUTION* ACCESS*] CHECK ... -> [CAUTION* ACCESS*] FIX
        -> CHECK* (measured again) -> PUT_BACK -> PROOF* -> (failed: CHECK ... | passed: PUT_BACK) -> ENDED

A survey goes FACT* -> CHECK* -> PUT_BACK -> ENDED, and a place named there (PLACE) is gone to next.

Where a unit's number is told in the session, LOOK_UP stands between it and the next prompt: its history counts first.

Overlays are questions about an answer, laid over a main mode and never recorded: CONFIRM, CHOOSE, SPREAD, REASON,
NOTE, STOP. HELD ignores everything but 'resume' and the questions where we are and what is left.

Whatever is accepted goes through RECORDING: the handler sends one ``Record``; ``Recorded`` advances the state, says
the replies and listens; ``RecordFailed`` leads to UNWRITTEN, where the next words or silence try
again, and 'stop', said twice, leaves the session as it stands on disk.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.session.dialog_state import Mode
from assistant.session.events import ANSWERS, COMMANDS, Event
from assistant.session.handlers import (
    answering,
    closing,
    commands,
    finding,
    lifecycle,
    proving,
    repairing,
    survey_jumps,
    taking_back,
)
from assistant.session.turn import Result, Turn

Handler = Callable[[Turn], Result]
Rows = dict[Event, Handler]

_ASKING: Rows = {
    # What holds at every prompt, unless a mode says otherwise below.
    Event.WENT_QUIET: lifecycle.quiet,
    Event.INPUT_ENDED: closing.left,
    Event.MICROPHONE_LOST: lifecycle.microphone_lost,
    Event.SAY_AGAIN: commands.say_again,
    Event.HELP: commands.explain,
    Event.WHY: commands.why,
    Event.WHATS_LEFT: commands.whats_left_now,
    Event.WHERE: commands.where,
    Event.GO_BACK: taking_back.go_back,
    Event.WITHDRAW: taking_back.withdraw,
    Event.CORRECTION: taking_back.correction,
    Event.CORRECTED: taking_back.corrected,
    Event.SKIP: commands.skip,
    Event.HOLD: lifecycle.held,
    Event.RESUME: commands.rest,
    Event.NOTE: commands.note,
    Event.STOP: commands.stop,
    Event.SLIP: taking_back.did_you_mean,
    Event.NEXT: answering.not_asked,
    Event.YES: answering.not_asked,
    Event.NO: answering.not_asked,
    Event.NOT_UNDERSTOOD: taking_back.misunderstood,
    **dict.fromkeys(ANSWERS, answering.misunderstood),
}

_ANSWERING: Rows = {
    # Prompts that wait for an answer in words or numbers.
    Event.READING: answering.answer,
    Event.CHOICE: answering.answer,
    Event.IDENTIFIER: answering.answer,
    Event.WORDS: answering.answer,
    Event.CHOOSE: answering.choose,
    Event.INCOMPLETE: answering.incomplete,
    Event.NEXT: answering.ask_again,
}

_MEASURING: Rows = {
    # What a meter can show that is no number.
    Event.OVER_RANGE: answering.answer,
    Event.UNSTEADY: answering.answer,
    Event.RANGE: finding.spread,
    Event.NOTHING: finding.blank,
}

TABLE: Mapping[Mode, Mapping[Event, Handler]] = {
    Mode.NEW: {
        Event.BEGAN: lifecycle.began,
        Event.RESUMED: lifecycle.resumed,
        Event.INPUT_ENDED: closing.left,
    },
    Mode.READY: {
        **_ASKING,
        Event.YES: repairing.ready,
        Event.NEXT: repairing.ready,
        Event.NO: repairing.not_ready,
    },
    Mode.CAUTION: {
        **_ASKING,
        Event.YES: repairing.acknowledge,
        Event.NEXT: repairing.acknowledge,
        Event.NO: repairing.caution_first,
        Event.PLACE: survey_jumps.go_to,
    },
    Mode.FACT: {**_ASKING, **_ANSWERING},
    Mode.ACCESS: {
        **_ASKING,
        Event.YES: repairing.opened,
        Event.NEXT: repairing.opened,
        Event.PLACE: survey_jumps.go_to,
        Event.NO: commands.skip,
    },
    Mode.CHECK: {**_ASKING, **_ANSWERING, **_MEASURING, Event.PLACE: survey_jumps.go_to},
    Mode.FIX: {
        **_ASKING,
        Event.YES: repairing.fix_done,
        Event.NEXT: repairing.fix_done,
        Event.NO: commands.skip,
    },
    Mode.PROOF: {
        **_ASKING,
        Event.YES: proving.step_done,
        Event.NEXT: proving.step_done,
        Event.CHOICE: answering.answer,
        Event.CHOOSE: answering.choose,
    },
    Mode.PUT_BACK: {
        **_ASKING,
        Event.YES: closing.put_back,
        Event.NEXT: closing.put_back,
        Event.NO: closing.one_by_one,
    },
    Mode.CONFIRM: {
        **_ASKING,
        **_ANSWERING,
        **_MEASURING,
        Event.YES: answering.confirmed_yes,
        Event.NO: answering.confirmed_no,
        Event.NEXT: answering.yes_or_no,
        Event.CORRECTED: answering.answer,
    },
    Mode.CHOOSE: {
        **_ASKING,
        **_ANSWERING,
        **_MEASURING,
        Event.NO: answering.drop,
        Event.CORRECTED: answering.answer,
    },
    Mode.SPREAD: {
        **_ASKING,
        Event.READING: finding.end_of_spread,
        Event.UNSTEADY: answering.answer,
        Event.OVER_RANGE: answering.answer,
        Event.RANGE: finding.spread,
        Event.NOTHING: finding.blank,
        Event.NO: answering.drop,
        Event.CORRECTED: answering.answer,
    },
    Mode.REASON: {
        **_ASKING,
        Event.WORDS: commands.reason_given,
        Event.SKIP: commands.no_reason,
        Event.NEXT: commands.no_reason,
        Event.NO: commands.not_skipped,
        Event.GO_BACK: commands.not_skipped,
        Event.WITHDRAW: commands.not_skipped,
        Event.CORRECTION: commands.not_skipped,
    },
    Mode.NOTE: {
        **_ASKING,
        Event.WORDS: commands.noted,
        Event.NO: commands.go_on,
        Event.NEXT: commands.go_on,
        Event.GO_BACK: commands.go_on,
        Event.WITHDRAW: commands.go_on,
        Event.CORRECTION: commands.go_on,
    },
    Mode.STOP: {
        **_ASKING,
        Event.YES: closing.really_stop,
        Event.NO: commands.go_on,
        Event.NEXT: commands.go_on,
        Event.RESUME: commands.go_on,
        Event.STOP: answering.yes_or_no,
        Event.SKIP: answering.yes_or_no,
        Event.NOTE: answering.yes_or_no,
        Event.GO_BACK: commands.go_on,
        Event.WITHDRAW: commands.go_on,
        Event.CORRECTION: commands.go_on,
        Event.CORRECTED: answering.yes_or_no,
        Event.SLIP: answering.yes_or_no,
    },
    Mode.HELD: {
        Event.RESUME: lifecycle.released,
        Event.WENT_QUIET: lifecycle.ignored,
        Event.INPUT_ENDED: closing.left,
        Event.MICROPHONE_LOST: lifecycle.microphone_lost,
        Event.NOT_UNDERSTOOD: lifecycle.ignored,
        Event.CORRECTED: lifecycle.ignored,
        Event.SLIP: lifecycle.ignored,
        **dict.fromkeys(ANSWERS, lifecycle.ignored),
        **{event: lifecycle.ignored for event in COMMANDS if event is not Event.RESUME},
        Event.WHERE: commands.where,
        Event.WHATS_LEFT: commands.whats_left_now,
    },
    Mode.LOOK_UP: {
        Event.HISTORY_TOLD: lifecycle.history_told,
        Event.INPUT_ENDED: closing.left,
    },
    Mode.RECORDING: {
        Event.RECORDED: lifecycle.written,
        Event.RECORD_FAILED: lifecycle.not_written,
    },
    Mode.UNWRITTEN: {
        Event.HEARD: lifecycle.retry,
        Event.STOP: lifecycle.leave_unwritten,
        Event.WENT_QUIET: lifecycle.retry,
        Event.INPUT_ENDED: closing.left,
        Event.MICROPHONE_LOST: lifecycle.unwritten_microphone,
    },
    Mode.ENDED: {
        Event.INPUT_ENDED: lifecycle.over,
    },
}
