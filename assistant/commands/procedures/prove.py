"""``leadsman prove`` and ``schema``: procedures shown to find their faults; what a procedure file may say."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from assistant import catalog
from assistant.commands import one_core  # noqa: F401 - before numpy is loaded
from assistant.commands.completion import complete_procedures
from assistant.commands.shared import fields_of, json_option, named, write_json
from assistant.commands.terminal import echo
from assistant.composition import load_sound_procedure
from assistant.diagnosis.fault_model import fault_model
from assistant.errors import OperatorError
from assistant.procedure.schema import schema
from assistant.simulator.mishearing import LEVELS
from assistant.simulator.picture import draw
from assistant.simulator.prove import METER_ERROR, prove
from assistant.simulator.prove_all import all_text, prove_all, row_fields
from assistant.simulator.prove_report import Report
from assistant.simulator.technician import Habits


@click.command("prove", epilog="Example: leadsman prove trailer-abs-light-on --runs 5 --slip 0.02")
@click.argument("procedure", required=False, shell_complete=complete_procedures)
@click.option("--all", "every", is_flag=True, help="Every procedure, without and with slips, against the goals.")
@click.option(
    "--sessions",
    default=400,
    show_default=True,
    type=click.IntRange(40, 1_000_000),
    help="Sessions over all procedures, with --all: so many without slips and as many with 2 % (or with --noise).",
)
@click.option("--runs", default=1, show_default=True, type=click.IntRange(1, 1000), help="Sessions for each suspect.")
@click.option(
    "--units", type=click.IntRange(1, 1_000_000), help="Sessions in all, instead of --runs for each suspect."
)
@click.option(
    "--pairs", default=0, show_default=True, type=click.IntRange(0, 10000), help="Sessions with two faults."
)
@click.option(
    "--sound",
    default=0,
    show_default=True,
    type=click.IntRange(0, 10000),
    help="Sessions with nothing wrong.",
)
@click.option(
    "--tools",
    default=0,
    show_default=True,
    type=click.IntRange(0, 10000),
    help="Sessions with a dead meter or a dead load.",
)
@click.option("--slip", default=0.0, type=click.FloatRange(0, 0.4), help="Chance that a check is answered wrongly.")
@click.option(
    "--noise",
    default="",
    type=click.Choice(["", *LEVELS], case_sensitive=False),
    metavar="LEVEL",
    help="Answers are misheard as often as measured: quiet, or at 10, 5 or 0 dB. With --all: beside none.",
)
@click.option("--skips", default=0.0, type=click.FloatRange(0, 0.9), help="Chance that a check is skipped.")
@click.option("--unknown", default=0.0, type=click.FloatRange(0, 0.9), help="Chance of 'don't know' at a check.")
@click.option("--refuses", default=0.0, type=click.FloatRange(0, 0.9), help="Chance that something is not opened.")
@click.option("--no-part", default=0.0, type=click.FloatRange(0, 1), help="Chance that a part is not in stock.")
@click.option("--unsure", default=0.1, type=click.FloatRange(0, 1), help="Chance that a fact is 'not sure'.")
@click.option(
    "--meter-error",
    default=METER_ERROR,
    show_default=True,
    type=click.FloatRange(0, 0.2),
    help="Share by which a reading may be off.",
)
@click.option("--seed", default=0, show_default=True, help="The same seed gives the same report.")
@click.option("--workers", default=1, show_default=True, type=click.IntRange(1, 64), help="Processes that share it.")
@click.option("--cluster", default="", help="Address of a Dask scheduler whose workers share it instead.")
@click.option("--picture", type=click.Path(path_type=Path), help="Save the picture of faults against checks (SVG).")
@json_option
def prove_command(
    procedure: str | None, every: bool, sessions: int, picture: Path | None, as_json: bool, **options: Any
) -> None:
    """Lead whole sessions with PROCEDURE on simulated units, every fault at every place; print what was found."""
    if every:
        _prove_all(sessions, as_json=as_json, **options)
        return
    if procedure is None:
        raise click.UsageError("Name a procedure, or say --all.")
    loaded = load_sound_procedure(procedure, catalog.load_vocabulary()).procedure
    if not loaded.faults:
        raise OperatorError(f"{loaded.name} is a survey: it names no fault that could be hidden.")
    if picture is not None:
        try:
            picture.write_text(draw(fault_model(loaded, {}), loaded), encoding="utf-8")
        except OSError as error:
            raise OperatorError(f"Cannot write {picture}: {error.strerror or error}.") from None
    habits = Habits(**{name: options.pop(name) for name in ("skips", "unknown", "refuses", "no_part")})
    with _bar() as progress:
        report = prove(loaded, progress=progress, habits=habits, **options)
    if as_json:
        write_json(report_fields(report))
    else:
        echo(report_text(report))
    if report.condemned_wrongly and not options["slip"]:
        raise SystemExit(1)


def _prove_all(sessions: int, *, as_json: bool, seed: int, workers: int, cluster: str, noise: str, **_: Any) -> None:
    """Every procedure that looks for a fault, without and with slips; a missed goal gives exit code 1."""
    with _bar() as progress:
        rows = prove_all(sessions, seed=seed, workers=workers, cluster=cluster, progress=progress, noise=noise)
    if as_json:
        write_json({"sessions": sessions, "rows": [row_fields(row) for row in rows]})
    else:
        echo(all_text(rows))
    if any(row.missed for row in rows):
        raise SystemExit(1)


@contextmanager
def _bar() -> Iterator[Callable[[int, int], None]]:
    """A bar on the error stream, moved on with sessions done and sessions to do."""
    with click.progressbar(length=1, label="Proving", file=sys.stderr) as bar:

        def progress(done: int, total: int) -> None:
            bar.length = total
            bar.update(done - bar.pos)

        yield progress


def report_fields(report: Report) -> dict[str, Any]:
    """A report as JSON fields."""
    return {
        **fields_of(report, "procedure", "runs", "found", "found_pairs"),
        "isolated": {str(size): share for size, share in report.isolated.items()},
        **fields_of(report, "minutes_median", "minutes_p90", "checks_mean", "answers_mean", "minutes_mean"),
        **fields_of(report, "condemned", "condemned_wrongly"),
        "units_condemned_wrongly": _units_wronged(report),
        "condemned_wrongly_and_caught": report.caught,
        "proven_wrongly": report.proven_wrongly,
        "too_close_to_call": report.close,
        **fields_of(report, "skipped", "on_suspicion", "idle", "detected"),
        **fields_of(report, "on_truck", "good_parts", "false_causes", "sound_runs", "sound_parts", "sound_ended_so"),
        **fields_of(report, "tool_runs", "tool_noticed", "misheard"),
        "whole_and_not_recognized": report.unrecognized,
        "undeclared_groups": [[named(one) for one in group.suspects] for group in report.undeclared],
        "declared_groups": [[named(one) for one in group.suspects] for group in report.groups if group.declared],
        "faults": [fields_of(one, "fault", "runs", "found", "minutes", "checks") for one in report.faults],
    }


def report_text(report: Report) -> str:
    """A report for a person."""
    lines = [
        f"{report.procedure}: {report.runs} simulated units",
        f"  found and proven cured   {report.found:.1%}"
        + (f", two faults at once {report.found_pairs:.1%}" if report.found_pairs is not None else ""),
        "  isolated at the fix      "
        + ", ".join(f"to {size}: {share:.1%}" for size, share in report.isolated.items()),
        f"  minutes                  median {report.minutes_median:.0f}, 90th percentile {report.minutes_p90:.0f}",
        f"  checks and answers       {report.checks_mean:.1f} and {report.answers_mean:.0f} a session",
        f"  too close to call        {report.close} readings; {report.skipped} checks passed by",
        f"  taken for cured wrongly  {report.proven_wrongly}",
        f"  parts condemned          {report.condemned}, good ones among them {report.condemned_wrongly}"
        + _wronged(report),
        f"  parts on suspicion alone {report.on_suspicion}",
        f"  repairs that cured none  {report.idle}",
        f"  faults some check shows  {report.detected:.1%} by weight",
        *_truth(report),
        "",
        f"  {'fault':<34} {'found':>9} {'minutes':>8} {'checks':>7}",
    ]
    for one in report.faults:
        lines.append(f"  {one.fault:<34} {one.found:>4}/{one.runs:<4} {one.minutes:>8.0f} {one.checks:>7.0f}")
        lines.extend(f"      not found: {why}" for why in one.lost)
    for group in report.groups:
        word = "declared" if group.declared else "NOT DECLARED"
        lines.append(f"  told apart by no check ({word}): {', '.join(named(one) for one in group.suspects)}")
    return "\n".join(lines)


def _truth(report: Report) -> list[str]:
    """The same sessions against the truth of the units, fixed before anything was asked."""
    if not report.on_truck:
        return []
    lines = [
        "  against a truck that knows nothing of the procedure:",
        f"    good parts replaced    {report.good_parts}",
        f"    false causes recorded  {report.false_causes}",
        f"    whole again, not seen  {report.unrecognized} of {_mended(report)} units",
    ]
    if report.misheard:
        lines.append(f"    answers misheard       {report.misheard}")
    if report.sound_runs:
        lines.append(
            f"    nothing wrong          {report.sound_runs} sessions, parts replaced {report.sound_parts}, "
            f"ended 'not present today' {report.sound_ended_so}"
        )
    if report.tool_runs:
        lines.append(f"    dead meter or load     {report.tool_runs} needed, noticed in {report.tool_noticed}")
    return lines


def _mended(report: Report) -> int:
    """Units that had something wrong and are whole at the end."""
    return sum(trial.sound and bool(trial.suspects) for trial in report.trials)


def _units_wronged(report: Report) -> int:
    """Units on which a good part was condemned, one or more."""
    return sum(bool(trial.condemned_wrongly) for trial in report.trials)


def _wronged(report: Report) -> str:
    """On how many units good parts were condemned, and on how many of those the proof of cure led to the cure."""
    units = _units_wronged(report)
    share = f", on {units / max(1, report.runs):.2%} of units"
    if not units:
        return share
    lost = [trial.because for trial in report.trials if trial.condemned_wrongly and not trial.found]
    ends = f"; {len(lost)} ended without a cure, none taken for cured" if lost else ""
    return f"{share}: {report.caught} of {units} caught by the proof of cure and then mended{ends}"


@click.command("schema", epilog="Example: leadsman schema")
def schema_command() -> None:
    """Print the JSON Schema (2020-12) of procedure files, so that an editor completes as you type.

    Save it beside your files (leadsman schema > procedure.schema.json), and write on a procedure's first line:
    #:schema ./procedure.schema.json
    """
    echo(json.dumps(schema(), indent=2))
