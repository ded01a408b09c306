"""``leadsman understand``, ``hear`` and ``judge``: one room at a time, for scripts and for trying things out."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import click

from assistant import catalog
from assistant.commands.shared import (
    EXACT,
    expectation_from,
    fields_of,
    json_option,
    options,
    parse_span,
    plain,
    run_batch,
    understanding_fields,
    write_json,
)
from assistant.commands.terminal import echo
from assistant.errors import OperatorError
from assistant.messages import Hypothesis, Limits, Outcome, Understanding
from assistant.numerals.readback import show_value
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.clarifying import clarified
from assistant.phrasing.phrase import phrase
from assistant.phrasing.verdicts import reason_of, remark_of
from assistant.understanding.clauses.clause import Spoken
from assistant.understanding.explanation import explain, form_of, likely, words_of
from assistant.understanding.interpret import interpret
from assistant.verdict.judge import judge
from assistant.verdict.uncertainty import Accuracy, accuracy_unnamed, parse_accuracy

expectation_options = options(
    click.option("--unit", help="Unit that the prompt asks for, such as ohm, V, mV, in."),
    click.option("--low", type=EXACT, help="Lower limit: it never selects a meaning, it tells when to ask."),
    click.option("--high", type=EXACT, help="Upper limit."),
    click.option("--span", help="What the meter could show, such as 0:20000. Default: by unit."),
    click.option("--resolution", type=EXACT, help="Value of the meter's last digit."),
    click.option("--choice", "choices", multiple=True, help="One possible answer; give it once for each."),
    click.option("--identifier", is_flag=True, help="A unit number is expected; leading zeros are kept."),
    json_option,
    click.option("--batch", metavar="FILE", help="One JSON object a line in (- for standard input), one a line out."),
)
"""The options that ``understand`` and ``hear`` share."""
EXPLAINED = 12
"""Alternatives that ``hear --explain`` shows."""


def job_from(unit: str | None, span: str | None, choices: tuple[str, ...], **others: Any) -> dict[str, Any]:
    """The options as the fields of a batch job."""
    return {"unit": unit, "span": parse_span(span) if span else None, "choices": choices, **others}


def print_understanding(meant: Understanding, vocabulary: Vocabulary) -> None:
    """What was understood, for a person."""
    parts = [f"heard    {meant.heard}", f"outcome  {meant.outcome.value}"]
    if meant.value is not None and meant.unit:
        parts.append(f"value    {show_value(meant.value, meant.unit, vocabulary)}")
    if len(meant.values) > 1 and meant.unit:
        parts.append("could be " + ", ".join(show_value(value, meant.unit, vocabulary) for value in meant.values))
    if meant.low_end is not None or meant.high_end is not None:
        parts.append(f"between  {plain(meant.low_end) or '?'} and {plain(meant.high_end) or '?'}")
    names = [name for name in ("command", "choice", "identifier", "about", "report", "place") if getattr(meant, name)]
    parts.extend(f"{name:<8} {getattr(meant, name)}" for name in names)
    if meant.withdrawn:
        parts.append("deleted  " + ", ".join(str(plain(value)) for value in meant.withdrawn))
    if meant.approximate:
        parts.append("approximate")
    if meant.ask is not None:
        parts.append(f"asks     {phrase(clarified(meant.ask), vocabulary).spoken}")
    elif meant.confirm:
        parts.append("asks     a yes before it counts")
    echo("\n".join(parts))


@click.command(epilog='Example: leadsman understand "eleven eighty" --unit ohm --low 900 --high 1400')
@click.argument("words", required=False)
@click.option("--explain", "explains", is_flag=True, help="Show each clause's role, what decided, what it is like.")
@expectation_options
def understand(words: str | None, as_json: bool, batch: str | None, explains: bool, **given: Any) -> None:
    """Say what typed or spoken WORDS mean at a prompt, without a session."""
    vocabulary = catalog.load_vocabulary()

    def answer(job: dict[str, Any]) -> dict[str, Any]:
        said = job.get("said")
        if not isinstance(said, str):
            raise OperatorError("'said' is missing.", remedy='Give the words, such as {"said": "eleven eighty"}.')
        expectation = expectation_from(job, vocabulary.units)
        return understanding_fields(interpret((Hypothesis(said),), expectation, vocabulary), vocabulary)

    if batch:
        run_batch(batch, answer)
        return
    if words is None:
        raise click.UsageError('Give the words in quotes, such as "eleven eighty", or --batch FILE.')
    expectation = expectation_from(job_from(**given), vocabulary.units)
    meant = interpret((Hypothesis(words),), expectation, vocabulary)
    said = explain(words, expectation, vocabulary) if explains else None
    form = form_of(meant, expectation, vocabulary) if explains else None
    second = likely(words, vocabulary) if explains else []
    if as_json:
        fields = understanding_fields(meant, vocabulary)
        write_json({**fields, **explained_fields(said, meant, form, second)} if said is not None else fields)
        return
    print_understanding(meant, vocabulary)
    if said is not None:
        print_explanation(said, meant, form)
        echo("like       " + ", ".join(f"{intent} {share:.2f}" for intent, share in second))


def explained_fields(
    said: Spoken, meant: Understanding, form: str | None, second: list[tuple[str, float]]
) -> dict[str, Any]:
    """The clauses of an utterance, the form of a question or a report, and the likeliest intents, as JSON fields."""
    return {
        "clauses": [
            {"role": role, "parts": [{"words": words, "does": does} for words, does in parts]}
            for role, parts in words_of(said)
        ],
        "left_over": said.left_over,
        "refused": said.refused,
        "doubt": said.doubt,
        "form": form,
        "like": [{"intent": intent, "share": share} for intent, share in second],
        **fields_of(meant, "about", "report", "place"),
    }


def print_explanation(said: Spoken, meant: Understanding, form: str | None) -> None:
    """The form of a question or a report; else the role of each clause, what each word does, and what decided."""
    if meant.outcome in (Outcome.QUESTION, Outcome.REPORT) and form is None:
        echo("form       none: it is like the sayings of grammars/sayings")
        echo(f"decision   a {meant.outcome.value}: nothing is logged")
        return
    if meant.outcome in (Outcome.QUESTION, Outcome.REPORT):
        file = "questions" if meant.outcome is Outcome.QUESTION else "reports"
        part = meant.about if meant.outcome is Outcome.QUESTION else meant.report
        echo(f"form       {form or 'a place is named'}")
        echo(f"decision   a {meant.outcome.value}: nothing is logged; known by [{part}] of grammars/{file}.toml")
        return
    echo("clauses")
    for role, parts in words_of(said):
        echo(f"  {role:<12} " + " | ".join(f"{words} [{does}]" for words, does in parts))
    if said.left_over:
        echo("left over  " + ", ".join(said.left_over))
    counts = meant.outcome not in (Outcome.NOT_UNDERSTOOD, Outcome.CHOOSE, Outcome.INCOMPLETE) and not meant.confirm
    decision = "counts without a question" if counts else "is asked about"
    echo(f"decision   {decision}; reason: {meant.reason or 'every word has a role'}")


@click.command(epilog="Example: leadsman hear answer.flac --unit ohm --low 900 --high 1400 --explain")
@click.argument("file", required=False, type=click.Path())
@click.option(
    "--explain", "explains", is_flag=True, help="Show what the recognizer and the second scorer each think."
)
@expectation_options
def hear(file: str | None, as_json: bool, batch: str | None, explains: bool, **given: Any) -> None:
    """Recognize a recorded answer (WAV or FLAC) at a prompt and say what it means."""
    from assistant.asr.recognizer import Recognizer
    from assistant.setup.model import model_folder

    vocabulary = catalog.load_vocabulary()
    if not batch and file is None:
        raise click.UsageError("Give a recording, or --batch FILE.")
    with Recognizer(model_folder(), vocabulary) as recognizer:

        def answer(job: dict[str, Any]) -> dict[str, Any]:
            name = job.get("file")
            if not isinstance(name, str):
                raise OperatorError("'file' is missing.", remedy='Name the recording, such as {"file": "a.flac"}.')
            expectation = expectation_from(job, vocabulary.units)
            hearing = recognizer.hear_file(Path(name), expectation)
            snr = hearing.snr_db
            meant = interpret(hearing.hypotheses, expectation, vocabulary, snr_db=snr)
            return {
                **understanding_fields(meant, vocabulary),
                "alternatives": [alternative_fields(one) for one in hearing.hypotheses],
                "snr_db": None if snr is None else round(snr, 1),
                "warnings": list(hearing.warnings),
            }

        if batch:
            run_batch(batch, answer)
            return
        fields = answer({**job_from(**given), "file": file})
    if as_json:
        write_json(fields)
    else:
        for warning in fields["warnings"]:
            echo(f"note     {warning}")
        print_opinions(fields["alternatives"]) if explains else print_maybe(fields["alternatives"])
        shown = {name: value for name, value in fields.items() if name not in {"alternatives", "warnings"}}
        for name, value in shown.items():
            if value not in (None, [], "", False):
                echo(f"{name:<8} {value}")


def alternative_fields(one: Hypothesis) -> dict[str, Any]:
    """One of the alternatives, with the opinions that it was ranked by."""
    second = None if one.second is None else round(one.second, 3)
    recognized = one.score if one.recognized is None else one.recognized
    return {"words": one.words, "score": round(one.score, 3), "recognizer": round(recognized, 3), "second": second}


def print_maybe(alternatives: list[dict[str, Any]]) -> None:
    """The likeliest alternatives."""
    for one in alternatives[:3]:
        echo(f"maybe    {one['words']}")


def print_opinions(alternatives: list[dict[str, Any]]) -> None:
    """The likeliest alternatives with both opinions, each as its distance from the one it likes best."""
    shown = alternatives[:EXPLAINED]
    if not shown:
        return
    if all(one["second"] is None for one in shown):
        echo("no second opinion: its weights are not on this machine, or there was nothing to choose from")
    columns = ("score", "recognizer", "second")
    best = {name: max([one[name] for one in alternatives if one[name] is not None], default=0.0) for name in columns}
    echo(f"{'together':>10} {'recognizer':>10} {'second':>10}  words")
    for one in shown:
        told = ["-" if one[name] is None else f"{one[name] - best[name]:.1f}" for name in columns]
        echo(" ".join(f"{each:>10}" for each in told) + f"  {one['words']}")


@click.command(
    "judge", epilog='Example: leadsman judge 2980 --unit ohm --low 700 --high 3000 --accuracy "0.8%+2" --resolution 1'
)
@click.argument("value", type=EXACT)
@click.option("--unit", required=True, help="Unit of the value and the limits.")
@click.option("--low", type=EXACT, help="Lower limit, inclusive.")
@click.option("--high", type=EXACT, help="Upper limit, inclusive.")
@click.option(
    "--accuracy",
    help="The meter's accuracy, such as \"0.8%+2\": percent of reading, and counts. Default: a usual meter's.",
)
@click.option("--resolution", type=EXACT, help="Value of the meter's last digit. Default: the last digit of VALUE.")
@click.option("--coil-celsius", type=EXACT, help="Temperature of a copper winding: the value is brought to 20 °C.")
@click.option("--lead-ohms", type=EXACT, help="Reading of the shorted meter leads, taken off first.")
@json_option
def judge_command(value: Decimal, unit: str, accuracy: str | None, as_json: bool, **given: Any) -> None:
    """Judge VALUE against limits with the meter's accuracy: good, bad, or too close to call."""
    vocabulary = catalog.load_vocabulary()
    expectation_from({"unit": unit, "low": given["low"], "high": given["high"]}, vocabulary.units)
    if given["low"] is None and given["high"] is None:
        raise OperatorError("There is no limit to judge against.", remedy="Give --low, --high or both.")
    meter = accuracy_unnamed(unit)
    if accuracy:
        meter = parse_accuracy(accuracy)
        # without a word about it, the last digit given is the last digit that the meter showed
        last_digit = Decimal(1).scaleb(min(0, int(value.as_tuple().exponent)))
        meter = Accuracy(meter.percent, meter.counts, given["resolution"] or meter.resolution or last_digit)
    limits = Limits(
        low=given["low"], high=given["high"], copper=given["coil_celsius"] is not None,
        small_ohms=given["lead_ohms"] is not None,
    )  # fmt: skip
    verdict = judge(value, unit, limits, meter, coil_celsius=given["coil_celsius"], lead_ohms=given["lead_ohms"])
    if as_json:
        write_json(
            {
                "verdict": verdict.grade.value,
                **fields_of(verdict, "uncertainty", "probability_good", "guarded_low", "guarded_high", "corrected"),
                "reason": reason_of(verdict),
                "remark": remark_of(verdict),
            }
        )
        return
    echo(f"{verdict.grade.value}: {reason_of(verdict)}")
    if verdict.remarks:
        echo(remark_of(verdict))
