"""A record to its summary: one fold's results (``session.results``) in words, with the times of the record."""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import Detail, Heard, Photo, PromptKind, Source
from assistant.messages.decisions import PutBackDone
from assistant.phrasing.reasons import given, reason_text
from assistant.phrasing.wording import at_place, one_of
from assistant.records.journal.reader import Session
from assistant.records.summary.clocks import clock_jumps
from assistant.records.summary.gaps import gaps_of, missed
from assistant.records.summary.labels import Titles, prompt_words, titles_of
from assistant.records.summary.minutes import Minutes
from assistant.records.summary.summary import (
    FAILED_BEFORE,
    LEFT,
    NOT_PASSED,
    Needed,
    Pictured,
    Reading,
    Repair,
    SessionSummary,
    Timed,
)
from assistant.session.ledger import AS_TOLD, OWN_COMPLAINT, Ledger, Numbered, own_words
from assistant.session.results.corrections import Correction
from assistant.session.results.results import Results, results_of
from assistant.session.results.waits import is_wait


def summarize(session: Session) -> SessionSummary:
    """Work out what a session came to."""
    header = session.header
    titles = titles_of(header)
    ledger, times, spoken, spent = Ledger(), list[float](), list[bool](), Minutes(titles.minutes)
    last, attempts, put_back = 0.0, 1, dict[str, None]()
    phase, held = None, False
    for line in session.lines:
        body = line.body
        if line.mono > last:
            last = line.mono
        if body.kind != "entry":
            attempts += 1
            continue
        spent.entry(line, body, held=held)
        for decision in body.decisions:
            ledger.take(decision)
            if isinstance(decision, PutBackDone):
                put_back |= dict.fromkeys(decision.items)
            times.append(line.mono)
            spoken.append(not (isinstance(body.fact, Heard) and body.fact.source is Source.TYPED))
        if ledger.held is not held or (ledger.phase is not phase and ledger.entered):
            spent.book(last, phase, held=held)
            phase, held = ledger.phase if ledger.entered else None, ledger.held
    spent.book(last, phase, held=held)
    results = results_of(ledger, titles.rules)
    facts = {entry.decision.fact: entry.decision.value for entry in results.facts}
    told = next((facts[name] for name in titles.unit_facts if name in facts), "")
    own = own_words(header.own_words, facts)
    suspected = _suspected(results, titles)
    ending = results.ending
    failed_before = tuple(
        f"{titles.step(one.decision.step)}: {_answer(one)}" for one in results.failed_before if _answer(one)
    )
    because = reason_text(ending.because) if ending else ""
    if ending and failed_before:
        because = "; ".join((because.rstrip("."), FAILED_BEFORE.format(steps=", ".join(failed_before))))

    def timed(entry: Numbered, what: str, detail: str = "") -> Timed:
        return Timed(times[entry.number], what, detail)

    return SessionSummary(
        session_id=header.session_id,
        started=header.started,
        procedure=header.procedure,
        title=titles.procedure,
        complaint=own or titles.complaint,
        complaint_title=titles.complaint if own else "",
        unit=header.unit or told,
        invented=header.invented,
        meter=header.meter.title if header.meter else "",
        typical_meter=header.meter is not None and header.meter.invented,
        air_fahrenheit="" if header.air_fahrenheit is None else f"{header.air_fahrenheit:f}",
        model=header.model,
        shop=header.shop,
        work_order=results.details.get(Detail.WORK_ORDER, header.work_order),
        vin=results.details.get(Detail.VIN, header.vin),
        odometer=results.details.get(Detail.ODOMETER, header.odometer),
        weights=header.weights if results.history is None else results.history,
        ending=str(ending.ending) if ending else LEFT,
        because=because,
        missed=missed(ending),
        minutes=last / 60,
        minutes_by_phase={phase: seconds / 60 for phase, seconds in spent.seconds.items()},
        minutes_held=spent.held / 60,
        minutes_silent=spent.silent / 60,
        facts=tuple(
            timed(one, titles.fact(one.decision.fact), one.decision.value)
            for one in results.facts
            if one.decision.fact not in (OWN_COMPLAINT, AS_TOLD)  # the complaint is told as such
        ),
        not_asked=_not_asked(titles, {*facts, *(titles.unit_facts if header.unit else ())}),
        readings=tuple(
            Reading(
                times[one.number],
                one.observed,
                reason_text(one.withdrawn) if one.withdrawn else "",
                one.repairs_before,
                titles.rules.mark(one.observed),
                titles.verdict(one.observed),
                spoken[one.number],
            )
            for one in results.readings
        ),
        repairs=tuple(_repair(one, times[one.number], titles) for one in results.corrections),
        tests=tuple(_repair(one, times[one.number], titles) for one in results.tests),
        suspected=suspected,
        needed=_needed(results, titles),
        declined=tuple(
            timed(one, at_place(titles.fix(one.decision.fix), one.decision.place), given(one.decision.reason))
            for one in results.declined
        ),
        skipped=tuple(
            timed(one, prompt_words(one.decision.prompt, titles), given(one.decision.reason))
            for one in results.skipped
        ),
        notes=tuple(
            timed(one, one.decision.text)
            for one in results.notes
            if one.number or one.decision.text != header.own_words  # the complaint is told as such
        ),
        photos=tuple(_pictured(one, times[one.number], results, titles) for one in results.photos),
        cautions=tuple(
            timed(one, one.decision.caution, titles.cautions.get(one.decision.caution, ""))
            for one in results.cautions
        ),
        opened=tuple(timed(one, one.decision.access, one.decision.place or "") for one in results.opened),
        path=tuple(
            timed(
                one, at_place(titles.check(one.decision.check), one.decision.place), reason_text(one.decision.because)
            )
            for one in results.path
        ),
        proof=tuple(
            timed(one, titles.proof_steps.get(one.decision.step, one.decision.step), one.decision.answer)
            for one in results.proof
        ),
        closing=(
            *(
                timed(one, titles.step(one.decision.step), NOT_PASSED.format(answer=_answer(one)))
                for one in results.failed_before
            ),
            *(timed(one, titles.step(one.decision.step), _answer(one)) for one in results.proof),
        ),
        failed_before=failed_before,
        tested=tuple(f"{titles.step(one.decision.step)}: {_answer(one)}" for one in results.proof if _answer(one)),
        gaps=gaps_of(results, titles, suspected),
        attempts=attempts,
        damage=tuple(str(finding) for finding in session.damage),
        fault_titles=titles.faults,
        survey=titles.survey,
        checks=tuple(titles.checks),
        places=titles.places,
        rules=titles.rules,
        clock_jumps=clock_jumps(session.lines),
        seal=session.last_hash,
        put_back=tuple(put_back),
        code_checks=titles.code_checks,
        causes=tuple(dict.fromkeys(cause.words(titles.faults) for cause in results.causes)),
    )


def _not_asked(titles: Titles, known: set[str]) -> tuple[str, ...]:
    """Facts that were never asked, each once; what is asked in several ways counts as asked where one of them was."""
    told = {titles.fact(name) for name in known}
    return tuple(dict.fromkeys(title for name in titles.facts if (title := titles.fact(name)) not in told))


def _answer(step: Numbered) -> str:
    """What a question of the proof was answered with, '' for a step that was only done."""
    answer: str = step.decision.answer
    return "" if answer == "done" else answer


def _repair(one: Correction, at: float, titles: Titles) -> Repair:
    return Repair(
        at=at,
        title=one.title,
        place=one.done.place,
        part=None if one.test else one.done.part,
        fault=one_of([titles.fault(name) for name in (one.fault, *one.or_else)]) if one.fault else one.title,
        condemned=one.condemned,
        because=reason_text(one.chosen.because) if one.chosen is not None else "",
        confirmed=str(one.verified),
        fix=one.done.fix,
        fault_name=one.fault,
        in_vain=one.in_vain,
        stood=one.stood,
        found_by=one.found_by,
        again=one.again,
        test=bool(one.test),
    )


def _suspected(results: Results, titles: Titles) -> tuple[str, ...]:
    return tuple(dict.fromkeys(at_place(titles.fault(one.fault), one.place) for one in results.suspected))


def _needed(results: Results, titles: Titles) -> tuple[Needed, ...]:
    """Parts of fixes that a check had pointed to, and of those that were put off for a part or a person."""
    done = {(one.done.fix, one.done.place) for one in (*results.corrections, *results.tests)}
    waits = [(one.decision.fix, one.decision.place) for one in results.declined if is_wait(one.decision.reason)]
    open_fixes = dict.fromkeys([*((one.fix, one.place) for one in results.suspected), *waits])
    return tuple(
        Needed(part, place, (fix, place) in waits)
        for fix, place in open_fixes
        if (fix, place) not in done
        for part in titles.parts.get(fix, ())
    )


def _pictured(entry: Numbered, at: float, results: Results, titles: Titles) -> Pictured:
    photo = entry.decision.photo
    words = photo_words(photo, titles)
    seen = next((one.observed for one in results.readings if one.observed.number == photo.observation), None)
    asked = photo.prompt.name if photo.prompt.kind is PromptKind.CHECK else ""
    return Pictured(
        at,
        photo.name,
        words,
        photo.sha256,
        photo.observation,
        photo.name in results.erased,
        asked if seen is None else seen.check,
        (photo.prompt.place if seen is None else seen.place) or "",
    )


def photo_words(photo: Photo, titles: Titles) -> str:
    """What a photo shows: the check, the fix or the step at which it was taken."""
    if photo.prompt.kind is PromptKind.PROOF:
        return titles.proof_steps.get(photo.prompt.name, photo.prompt.name)
    words = prompt_words(replace(photo.prompt, overlaid=None), titles)
    return words if photo.prompt.name else "the session"
