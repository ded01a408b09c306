"""Sentences of the page for who drives or owns the unit: no codes, no names of checks where plain words will do."""

from __future__ import annotations

import re

MEASURED = "{what}: {value}, where {limits} is good."
"""A reading that was not good."""
SEEN = "{what}: {value}."
"""A look, or a reading without limits."""
GOOD_AGAIN = "Measured again after the work: {what}, {value}: good."
MEASURED_AGAIN = "Measured again after the work: {what}, {value}."
SEEN_AGAIN = "Looked at again after the work: {what}, {value}."
"""The same after the repair."""
TESTED = "{what}."
"""What a question of the closing test came to: what was looked at, and how it was."""
STILL_BAD = "{what}: still not good after this work."
IN_VAIN = "It was still not good after this alone."
"""Behind work that did not help, where it is fixed in the end."""
NOT_MEASURED_AGAIN = "{what}: not measured again after the work."
"""A repair that nothing verified."""

OPEN_CIRCUIT = "no connection at all (an open circuit)"
BEYOND = "more than the meter can show"
"""What a meter over its range tells: of ohms, and of anything else."""

NO_CAUSE = "We cannot say for sure what caused it."
WAITS = "The cause: {what}. It is not repaired yet."
SUSPECTED = "We suspect: {what}."
ALL_GOOD = "It did not show today. We checked, and found good:"
AND_MORE = "And {count} more."
NOTHING_DONE = "Nothing was repaired."
PART = "{work}. Part: {part}."
TRIED = "{what}. This was a test."
"""Behind a known good part that was plugged in to test, and taken off again."""
NOT_SHOWN = "It is not shown to be fixed."
"""Where the closing test was not passed."""

MAY_MISS = "A test drive can miss a fault that comes and goes: here the chance is {percent} percent."
"""Behind a passed test that may have missed something."""
NEXT_WAITS = "The repair is still to be made."
NEEDS = "It needs: {parts}."
"""Where a repair waits."""
NEEDED = "Parts that are still needed: {parts}."
"""Where work that was not shown to be needed waits, or was left."""
NEXT_BAD = "Have what is not good repaired before the unit goes back on the road. Ask us for a time."
NEXT_CLOSE = "What is close to its limit: have it checked again soon."
NEXT_UNREAD = "What was left out is still to be checked."
NEXT_GOOD = "Nothing needs repair now. Have it checked again at the next service."
"""What comes after a survey."""

AS_IT_IS = "{what}."
NEAR_LIMIT = "Close to its limit: {what}."
"""What was not checked, where the record's own sentence has words that the heading says already."""

WATCH = (
    "If the trouble comes back, write down when and where (speed, rain, load, bumps), and call us before anything is "
    "cleared or unplugged."
)
WATCH_OPEN = "The trouble may still be there. Ask us before the unit goes back on the road."
TORQUE = "Have the wheel torque checked again after {miles} miles."
TORQUE_AGAIN = re.compile(r"torque again after (\d+(?: to \d+)?) miles")
"""What the list of things put back says of wheels that were off."""
CAUTION = (
    "This page is not a safety inspection (49 CFR 396.17), and it does not replace the driver's own check before a "
    "trip. Where you work, the law and the shop's word come first."
)
DOUBT = "Do not drive with brakes, lights or tires that you are not sure of."
"""Behind what is not fixed, or not shown to be."""

MEANINGS: tuple[tuple[str, str], ...] = (
    (r"\btone ring\b", "Tone ring: a toothed ring that turns with the wheel; the sensor reads it."),
    (r"\bbacked off\b", "Backed off: slid away from the ring that it reads."),
    (r"\bpushed home\b", "Pushed home: pushed back until it touches the ring."),
    (r"\bsensor\b", "Sensor: tells the anti-lock brakes (ABS) how fast a wheel turns."),
    (r"\bmodulator\b", "Modulator: a valve that lets air off a brake, so that its wheel does not lock."),
    (r"\bmodule\b", "Module: the computer of the anti-lock brakes."),
    (r"\bseven-way\b", "Seven-way: the round electrical plug between tractor and trailer."),
    (r"\bpushrod\b", "Pushrod: the rod of an air brake; its stroke is how far it moves when the brakes go on."),
    (r"\bopen (?:circuit|sensor|wire)\b", "Open: broken inside, so that no current gets through."),
    (r"\bshort(?:ed|s)?\b", "Shorted: current takes a way that it should not."),
    (r"\bground\b", "Ground: the way by which current flows back."),
    (r"\bohms\b", "Ohms: how hard it is for current to get through."),
)
"""A word of the trade, and what it means to somebody who does not work on trucks; common practice, no source."""
