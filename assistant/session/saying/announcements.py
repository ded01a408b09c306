"""What is announced when the session moves on: a new phase, the result of a proof, the end and its summary."""

from __future__ import annotations

from assistant.messages import Reason, Say, Why
from assistant.messages.decisions import Decision, Ended, Ending, FixChosen, Phase, PhaseEntered, ProofFinished
from assistant.phrasing.lengths import KNOWN
from assistant.phrasing.reasons import items_in, reason_text, what_was_found
from assistant.phrasing.sentences import SHARE
from assistant.phrasing.speech_chunks import say_list
from assistant.phrasing.wording import at_place, ending_words, not_ruled_out_key
from assistant.session.agenda.advance import ending
from assistant.session.agenda.next_action import to_prove, whats_left
from assistant.session.agenda.put_back import put_back_items
from assistant.session.agenda.surveying import left_out, not_read, summary
from assistant.session.context import Context
from assistant.session.fold import State, results
from assistant.session.ledger import own_words

_PHASES = {
    Phase.FACTS: "facts",
    Phase.FINDING: "finding",
    Phase.SURVEYING: "surveying",
    Phase.PROVING: "proving",
}


def announcement(context: Context, before: State, after: State, decision: Decision) -> tuple[Say, ...]:
    """What to say about one decision; nothing for most."""
    match decision:
        case PhaseEntered():
            return _entered(context, before, after, decision)
        case ProofFinished():
            if decision.passed:
                return (_passed(decision), *proof_leaves(context, before))
            return (Say("not_cured", {"text": reason_text(decision.because)}),)
        case FixChosen():
            # what an earlier session found was told with the offer to repair it
            return () if decision.because.why is Why.FOUND_BEFORE else (found(decision.because),)
        case Ended():
            return ended(context, after, decision)
        case _:
            return ()


def found(because: Reason) -> Say:
    """The diagnosis, said as soon as it is made: what was found, or why this repair is tried."""
    if because.why is Why.CONDEMNED:
        return Say("found", {"text": what_was_found(because)})
    return Say("because", {"text": reason_text(because)})


def _passed(decision: ProofFinished) -> Say:
    if decision.because.why is Why.PASSED_MAY_MISS:
        return Say("proven_may_miss", {"percent": int(str(decision.because.slots["percent"]))})
    return Say("proven")


def proof_leaves(context: Context, state: State) -> tuple[Say, ...]:
    """What the answers of the proof leave undone, as codes that could not be cleared."""
    told = (context.proof_step(one.step).leaves.get(one.answer) for one in state.proof if one.passed)
    return tuple(Say("proof_leaves", {"text": text}) for text in told if text)


def _entered(context: Context, before: State, after: State, decision: PhaseEntered) -> tuple[Say, ...]:
    if decision.phase is Phase.PROVING:
        return (Say("proving"),)
    if decision.phase is Phase.CLOSING and context.procedure.kind == "survey":
        return summary(context, after)
    if decision.phase is Phase.SURVEYING and (before.phase is not Phase.FACTS or after.work):
        return ()
    if decision.phase is Phase.FACTS and before.phase is not Phase.CAUTIONS:
        return ()
    if decision.phase is Phase.FINDING and (before.phase is not Phase.FACTS or after.work):
        return ()
    if decision.phase is Phase.CLOSING and after.ended is None and not _cured(after):
        return (_how_it_closes(context, after),)
    key = _PHASES.get(decision.phase)
    return (Say(key),) if key else ()


def _how_it_closes(context: Context, state: State) -> Say:
    """What is said when the search comes to its end without a cure."""
    end = ending(context, state)
    if end.ending is Ending.WAITING:
        return Say("waiting", {"text": reason_text(end.because).rstrip(".")})
    if end.because.why is Why.HANDED_OVER:
        return Say("handing_over")
    return Say("not_present" if end.ending is Ending.NOT_PRESENT else "not_found")


def _cured(state: State) -> bool:
    return bool(state.unproven) or bool(state.proofs and state.proofs[-1].passed)


def ended(context: Context, state: State, decision: Ended) -> tuple[Say, ...]:
    """The end and its summary: complaint, cause, correction, what was not proven."""
    passed = decision.ending is Ending.CURED_AND_PROVEN  # 'repair verified' was just said
    says = [
        Say("ended", {"ending": ending_words(decision.ending), **({KNOWN: 1} if passed else {})}),
        Say("complaint", {"text": own_words(context.own_words, state.facts) or context.procedure.complaint}),
    ]
    causes = causes_of(context, state)
    done = tuple(dict.fromkeys(fix.words() for fix in results(context, state).corrections)) if state.fixes else ()
    # one that was found and one that was done were told at their time; of several the end says which count
    alone = len(causes) == len(done) == 1 and decision.ending is Ending.CURED_AND_PROVEN
    says += say_list("cause", "and_then", causes, **({KNOWN: 1} if alone else {})) if causes else ()
    says += say_list("correction", "and_then", done, **({KNOWN: 1} if alone else {})) if done else ()
    match decision.ending:
        case Ending.CURED_AND_PROVEN:
            limits = context.procedure.proof.limits
            if limits:
                missed = decision.because.why is Why.PASSED_MAY_MISS  # 'it may have missed something' was just said
                says.append(Say(not_ruled_out_key(limits), {"text": limits, **({KNOWN: 1} if missed else {})}))
        case Ending.CURED_NOT_PROVEN:
            says.append(Say("not_proven", {"text": reason_text(decision.because)}))
        case Ending.NOT_FOUND:
            says.append(Say("because", {"text": reason_text(decision.because)}))
            says += left(context, state)
        case Ending.NOT_PRESENT:
            says += _what_was_looked_at(context, state, decision)
        case Ending.WAITING | Ending.DOES_NOT_FIT:
            says.append(Say("because", {"text": reason_text(decision.because)}))
        case Ending.SURVEYED_IN_PART:
            says += not_read(context, state)
        case Ending.STOPPED:
            items = put_back_items(context, state)
            if items and (state.fixes or state.opened):
                says += say_list("put_back_reminder", "put_back_more", items)
    says.append(Say("goodbye"))
    return tuple(says)


def _what_was_looked_at(context: Context, state: State, end: Ended) -> tuple[Say, ...]:
    """What was checked, what was not, and what to watch for: codes only where the procedure reads some."""
    done = dict.fromkeys(at_place(one.title, one.place) for one in state.observations)
    missing = items_in(end.because)
    says = say_list("checked", "and_then", tuple(done))[:1]
    says += say_list("not_checked", "and_then", missing)[:1] if missing else ()
    codes = any(check.reads_codes for check in context.procedure.checks)
    return (*says, Say("watch_for_codes" if codes else "watch_for"))


def left(context: Context, state: State) -> tuple[Say, ...]:
    """What is still suspected, with probabilities; in a survey, how many positions are still to be read, and which.

    In chunks of one breath each: the first is said, the others on request.
    """
    if context.procedure.kind == "survey":
        missing = left_out(context, state)
        chunks = say_list("survey_left", "and_then", missing)
        if len(chunks) < 2:
            return chunks
        return say_list("survey_next", "and_then", missing, count=len(missing))
    repaired = awaiting(context, state)
    if repaired:
        return say_list("to_verify", "and_then", repaired)
    shown = tuple(
        SHARE.format(title=title, percent=round(100 * share))
        for title, share in whats_left(context, state)
        if share >= 0.01
    )
    return say_list("whats_left", "and_then", shown)


def awaiting(context: Context, state: State) -> tuple[str, ...]:
    """Repairs that wait for their proof, with their places: until it is over nothing else is suspected."""
    return tuple(dict.fromkeys(at_place(one.title, one.place) for one in to_prove(context, state)))


def causes_of(context: Context, state: State) -> tuple[str, ...]:
    """Titles, with places, of the faults that were found, repaired and verified."""
    titles = {fault.name: fault.title for fault in context.procedure.faults}
    return tuple(cause.words(titles) for cause in results(context, state).causes)
