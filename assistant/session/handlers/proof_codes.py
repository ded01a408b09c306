"""A code told in the proof: kept, held against the one from before the repair, and judged.

The same code active again says that it is not fixed; another wheel's is a new finding, and the search goes on with
it. What is only stored is kept in the record, and the proof goes on.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.diagnosis.fault_model import Task
from assistant.messages import Outcome, Say, Understanding
from assistant.messages.decisions import Decision, NoteTaken, ProofStepDone
from assistant.session.agenda.next_action import view_of
from assistant.session.fold import apply_all
from assistant.session.handlers.finding import confirm, remark_of_yes
from assistant.session.observing.observations import observed
from assistant.session.turn import Result, Turn, reask, record
from assistant.session.unprompted.codes import CodeRead, as_answers, code_read

IS_ACTIVE, ACTIVE = "code_active_now", "code_active"
"""Why a yes is asked for: whether a code that was told is active now, or that an active one fails the proof."""
_ASKED = {
    True: ("code_same", "code_same_active", "code_same_stored"),
    False: ("code_other", "code_other_active", "code_other_stored"),
    None: ("code_there", "code_there_active", "code_there_stored"),
}
"""By whether it is the code from before: asked whether it is active, asked where it was told so, and stored only."""


def told(turn: Turn) -> Result:
    """What the reader shows: none or only stored goes on; a code is asked about before it fails the proof."""
    read = turn.code_read
    if read is None:
        return reask(turn, Say("again"))
    if not read.named or read.active is False:
        return _goes_on(turn, read, turn.meant.heard)
    meant = Understanding(Outcome.CHOICE, turn.meant.heard, choice=read.text, confirm=True)
    key = _ASKED[read.same][bool(read.active)]
    return confirm(turn, meant, Say(key, {"text": read.text}), ACTIVE if read.active else IS_ACTIVE)


def is_active(turn: Turn) -> Result:
    """Yes: the code is active, so that the proof failed; it stands as found, for the search that follows."""
    words, read = _asked_about(turn)
    if read is None:
        return reask(turn)
    context, state = turn.context, turn.state
    said = replace(turn, understood=Understanding(Outcome.CHOICE, words))
    made: list[Decision] = [*remark_of_yes(said, confirmed=True)]
    for name, meant in as_answers(context, read, words):
        check = context.check(name)
        if Task(name, None) in view_of(context, state).task_index:
            made.append(observed(context, apply_all(context, state, made), check, None, meant, None))
    made.append(ProofStepDone(turn.asked.name, read.text, passed=False))
    return record(turn, made, Say("choice_logged", {"text": read.text}))


def is_stored(turn: Turn) -> Result:
    """No: it is not active now."""
    words, read = _asked_about(turn)
    return reask(turn) if read is None else _goes_on(turn, read, words)


def _asked_about(turn: Turn) -> tuple[str, CodeRead | None]:
    overlay = turn.state.dialog.overlay
    words = overlay.candidate.heard if overlay is not None and overlay.candidate is not None else ""
    return words, code_read(turn.context, turn.state, words)


def _goes_on(turn: Turn, read: CodeRead, words: str) -> Result:
    """The step passed: what is stored, and in whose words, is kept."""
    step = turn.context.proof_step(turn.asked.name)
    answer = step.passes[0] if step.kind == "choice" else f"{read.text}, stored" if read.named else read.text
    made: tuple[Decision, ...] = (ProofStepDone(step.name, answer, passed=True),)
    if not read.named:
        return record(turn, made, Say("choice_logged", {"text": read.text}))
    return record(turn, (NoteTaken(words), *made), Say(_ASKED[read.same][2], {"text": read.text}))
