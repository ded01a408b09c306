"""Field accounts of technicians with a meter in hand, each restated in a few words of our own: which procedure serves
it, what its comment calls it, and what in the file does the serving (a check, a fact, a fault, or words it says).

The accounts are public reports; they are no evidence for limits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest

from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Check, Procedure, Question
from tests.procedure.named import Named

LOADED = {path.stem: load_procedure(path) for path in list_procedures()}
TRAILER, NEVER, TRACTOR = "trailer-abs-light-on", "trailer-abs-light-never-lights", "tractor-abs-light-on"
TRAIN, SEVEN, PINS = "doubles-and-triples", "seven-way-power-and-grounds", "seven-way-survey"
LIGHT, SENSORS, BATTERY = "trailer-light-dead-or-faint", "wheel-speed-sensor-survey", "battery-and-charging"

ACCOUNTS = [
    # the account, the procedure, how its comment names it, what serves it
    ("light on behind one make of tractor, parts were changed before", TRAILER, "one make of tractor only",
     "fact tractors"),
    ("bearing play named as the first check, and never made", TRAILER, "bearing play before parts",
     "check bearing play"),
    ("cleared and sent out, and it came back", TRAILER, "cleared, sent out and came back", "proof codes again"),
    ("trouble only on bumps, in rain, or with one switch", SEVEN, "trouble only on bumps or in rain", "fact pattern"),
    ("a cord that makes and breaks, loose screws, costly parts first", SEVEN, "loose socket screws",
     "check tug the cord"),
    ("lamps flicker a year after a repair: water along the strands", LIGHT, "a year after a repair",
     "fact repaired before"),
    ("a cold battery and the line's drop together", BATTERY, "a cold battery and a line drop", "fact air"),
    ("full volts at the lamp's plug, and a dead lamp", LIGHT, "full battery volts at the lamp plug",
     "check lamp's volts"),
    ("twelve volts to ground and a dark tester; five faults at once", LIGHT, "five faults at once",
     "check circuit alone"),
    ("a new rear sensor and the same codes; where do the leads go?", TRACTOR, "where the leads go",
     "check module end ohms"),
    ("a pinched wire that opens only when warm", TRACTOR, "fails only when warm", "check flex the wire"),
    ("a wheel spun with the key on set a false code", TRAILER, "spinning a wheel", "check swap two plugs"),
    ("the battery was pulled before the codes were read", TRAILER, "codes read before anything is", "fact codes"),
    ("a cracked ring adds a pulse a turn, and ohms are good", TRAILER, "a cracked ring", "check tone ring"),
    ("a lone one at the left of the display", SENSORS, "over range said as one", "help over range"),
    ("leads not pushed home, covers left on", TRAILER, "covers left on", "fact lead ohms"),
    ("fingers on both tips", SENSORS, "fingers on the tips", "help Fingers off"),
    ("three volts across one of two like plugs", SEVEN, "three volts lost across one of two like plugs",
     "check power joint drop, front"),
    ("a steady zero, then wandering volts while the wire is moved", SEVEN, "wandering volts while the wire is moved",
     "check tug the cord"),
    ("small drifting volts on an open wire", SEVEN, "drifts with no load", "help drifting volts"),
    ("alarms with no pattern", TRAILER, "no pattern at all", "fact pattern"),
    ("two tow vehicles show it, a third never", TRAILER, "one that does not", "fact tractors"),
    ("a thin ground wire melted after a rework", SEVEN, "a thin ground wire after a rework", "fault ground wire"),
    ("good with nothing on it, sags with a load", BATTERY, "it sags with a", "check cranking volts"),
    ("colors follow no standard, the diagram shows the other face", PINS, "colors that follow no standard",
     "places pin seven"),
    ("a ground only through the hitch", LIGHT, "a ground only through the hitch", "check hitch moved"),
    ("running lamps go out on braking", LIGHT, "running lamps that go", "fact when braking"),
    ("one lamp glows, its turn lamp is dead, on two vehicles", LIGHT, "glows while its turn lamp is dead",
     "fault lamp ground"),
    ("no light at key-on: somebody unplugged the lamp", NEVER, "somebody unplugged it", "check lamp plug"),
    ("the dash light was unplugged", TRACTOR, "a dash light that was unplugged", "fault light circuit"),
    ("the light stays until the wheels have turned; a frozen brake", TRAILER, "until the wheels have turned",
     "check wheel turns freely"),
    ("a 24-volt lamp wire reads the other way round", NEVER, "the other way round", "text 24-volt"),
    ("tiny AC volts, and no hand to spin the wheel evenly", TRAILER, "a pace that is ticked aloud",
     "check output by hand"),
    ("ohms watched while the wheel turns: bad advice", SENSORS, "never in ohms", "check output"),
    ("the code is back at once, or only after rolling", TRACTOR, "back at once or after", "fact comes on"),
    ("works only with the plug tied up", SEVEN, "works only with the plug tied up", "fact pattern"),
    ("leads swapped at the meter, and the sign believed", BATTERY, "leads swapped at the meter",
     "help leads are swapped"),
    ("the source compared with an unplugged lamp lead", LIGHT, "a lamp lead compared while", "check lamp's volts"),
    ("some tractors cannot feed two or three trailers", TRAIN, "cannot feed two or three trailers",
     "check last module loaded"),
    ("a working day lost to the return path", TRAIN, "the return path that costs a",
     "check first trailer ground drop"),
    ("one lamp, one side, or all: different ways to go", LIGHT, "one out, one side or all out", "fact how many"),
    ("feeding the ground pin lights everything", LIGHT, "feeding the ground pin", "caution jumper"),
]  # fmt: skip


def comment(name: str) -> str:
    """The file's opening comment in one line."""
    lines = []
    for line in LOADED[name].text.splitlines():
        if not line.startswith("#"):
            break
        lines.append(line.lstrip("# "))
    return " ".join(lines)


@pytest.mark.parametrize(("account", "name", "called", "served"), ACCOUNTS, ids=[row[0] for row in ACCOUNTS])
def test_an_account_is_served_and_named_in_the_files_comment(
    account: str, name: str, called: str, served: str
) -> None:
    assert called in comment(name), account
    kind, _, what = served.partition(" ")
    assert serves(LOADED[name].procedure, LOADED[name].text, kind, what), account


def serves(procedure: Procedure, text: str, kind: str, what: str) -> bool:
    helped: list[Check | Question] = [*procedure.checks, *procedure.facts]
    tables: Mapping[str, Sequence[Named]] = {
        "check": procedure.checks, "fact": procedure.facts, "fault": procedure.faults,
        "proof": procedure.proof.steps, "caution": procedure.cautions, "places": procedure.places,
    }  # fmt: skip
    if kind == "help":
        return any(what in row.help for row in helped)
    if kind == "text":
        return what in text
    return any(row.name == what for row in tables[kind])


@pytest.mark.parametrize("name", LOADED)
def test_every_comment_says_what_the_file_serves(name: str) -> None:
    assert "Serves: " in comment(name)
