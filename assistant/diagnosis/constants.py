"""Every tuned constant of the planner, in one table.

Each says what it means with its unit, where its value comes from, and what it costs to change it: a measured figure
where there is one, else 'not measured'. What a procedure may set for itself (misread rate, threshold, last resort)
stands in its file.
"""

from __future__ import annotations

# --- Posterior -------------------------------------------------------------------------------------------------

NOT_CURED = 0.05
"""Share of its prior that a fault keeps after its fix: the new part is bad, or the repair did not take. Two such
fixes in a row leave a quarter of a percent. Source: from memory, about one repair in twenty comes back. Cost: none
found on 24 units each of three procedures between 0.01 and 0.15 (2.2 ± 2.2 minutes on the lights with 0.15)."""
SECOND_FAULT = 0.05
"""Prior share of units with two faults at once. Small, so that one misreading is believed before a second fault, and
two readings that agree are believed before two misreadings. Source: from memory. Cost: none found between 0.01 and
0.15 on the same units, within 0.8 ± 0.8 minutes."""

# --- What may be done ------------------------------------------------------------------------------------------

CONDEMNS = 0.9
"""Probability of an outcome from which it counts as condemning a part; a reading too close to call condemns nothing.
Source: chosen. Cost: see the README's table."""
POINTS = 0.5
"""Probability of an outcome from which it points at a repair that uses up no part. Source: chosen. Cost: see the
README's table."""
CONDEMN_FLOOR = 0.3
"""A check that condemns counts only while its suspects keep this probability: one misreading against much else is no
ground. Source: chosen. Cost: see the README's table."""
TRY_FLOOR = 0.02
"""Probability below which no fix is worth its proof. Source: chosen. Cost: see the README's table."""
DOUBTFUL = 0.02
"""Probability that speaks against a part from which the reading that condemned it is taken once more: a misreading
could have made it. Below it a second look costs more minutes than the few good parts that it saves. A procedure may
set its own, for every repair. Source: trials of all procedures with slips; the figures were not kept. Cost: see the
README's table."""
ANOTHER = 0.3
"""Difference between what a repair's faults and the others show (total variation) from which a reading is taken in
place of a second look by eye. Source: chosen. Cost: not measured."""
ANOTHER_MINUTES = 0.5
"""Share of a repair's minutes that such a reading may cost at most: beyond it the repair is done and its proof tells.
Source: chosen. Cost: not measured."""
UNLIKELY = 0.1
"""Probability of an outcome below which it speaks against a suspect. Source: chosen, some misreadings. Cost: see the
README's table."""
OFFERS = 2
"""Times that a check is offered at most when it is passed by. Source: chosen: who said no twice means it. Cost: see
the README's table."""
WORTH_OFFERING = 3.0
"""Expected minutes that a check passed by must save to be offered once more. Source: chosen, more than the question
costs. Cost: see decision P2 in the README for what offering is worth at all."""
TRIES = 2
"""Times that one fix is done at most. Source: chosen; a third would be at a quarter of a percent (see ``NOT_CURED``).
Cost: see the README's table."""
LOOKS = 3
"""Looks at one thing at most; a third only where two contradict each other. Source: chosen. Cost: see the README's
table."""
ASKED = 2
"""Times that a repeatable check is asked at most on the same evidence. Source: chosen. Cost: see the README's
table."""

# --- Before giving up ------------------------------------------------------------------------------------------

LAST_RESORT = 1 / 3
"""Probability from which a repair that uses up no part is done when no check is left that tells. Source: chosen.
Cost: see the README's table."""
THOROUGH = 1e-4
"""Expected move of the posterior (total variation) from which a check is still asked before giving up. Source:
chosen. Cost: see the README's table."""
AGAIN = 0.01
"""Expected move of the posterior from which an answered check is taken once more before giving up. Source: chosen.
Cost: see the README's table."""
GIVE_UP = 120.0
"""Minutes charged where nothing allowed is left: the unit goes to another shop. Source: from memory. Cost: see the
README's table."""

NOTHING_THERE = 0.1
"""Prior share of units with nothing wrong today, among those whose complaint does not show. Source: from memory.
Cost: none found at 0.03; with 0.3 one unit of 54 of the seven-way is let go. See ``COMES_BACK``."""
COMES_BACK = 400.0
"""Minutes that it costs when a fault which could have been seen today is not: the unit comes back and is hunted
anew. While nothing was seen, a look is taken only where it saves more than its minutes. Source: of eight values
from 60 to 1000, the least at which none of 480 units of six procedures (seed 7, no slips) would have been let go,
worked out from what was left to see at each step of sessions led to their end; the same units chose it, so it is no
figure of what is missed. Cost: at 240 one of them would have been let go, at 120 four, at 60 ten; twelve sound
tractors (seed 7) take 49 minutes at the median with 120, 77 with 240, 104 with 400. On other units: decision P9 in
the README."""

# --- Base policy: what a belief is worth before looking further -------------------------------------------------

DEARER = 2.0
"""The checks to come cost this many times the minutes a nat of the best one at hand: the best is taken first. Source:
tuned on the procedures. Cost: with 1, 1.0 ± 0.3 minutes less on the light that never lights and 1.1 ± 0.7 more on the
seven-way; with 3, within 0.5 ± 0.4."""
NAT_MINUTES = (4.0, 30.0)
"""Least and most minutes charged for a nat of what is not known yet. Source: the most by this rule: of the values
measured, the one with the fewest minutes over 250 units of each procedure, changed only for a gain of two standard
errors on some procedure and a loss of no more than a quarter of a minute on any. Cost: with a most of 15, 1.7 ± 0.7
minutes more on the trailer, 2.7 ± 0.7 on the tractor, 0.7 ± 0.3 on the seven-way and the battery, 0.1 less on a
light; more than 30 and the least: see the README's table, none found."""
GAIN_FLOOR = 0.02
"""Nats below which a check's gain does not set the price of a nat. Source: chosen. Cost: none found from 0.005 to
0.08: no choice changed."""

# --- Which checks are valued -----------------------------------------------------------------------------------

TELLING = 0.002
"""Expected move of the posterior (total variation) below which a check tells nothing worth asking. Source: chosen.
Cost: none found from 0.0005 to 0.008: no choice changed."""
GROUND_NATS = 0.25
"""Nats that the chance of condemning the right part adds to a check's promise while candidates are screened. Source:
chosen. Cost: none found from 0 to 0.75: no choice changed."""
WIDTH = 24
"""Candidates valued at the first look, when there are more. Source: the time of a step. Cost: none found from 8 to 72
(within 0.0 ± 0.3 minutes)."""
NARROW = 8
"""Candidates valued at the second look, when there are more. Source: the time of a step. Cost: with 3, 0.8 ± 0.5
minutes less on the seven-way and 0.2 ± 0.1 more on the lights; with 24, none found."""

# --- How far the look-ahead goes: a matter of size, never of the clock ------------------------------------------

WORK = 1_000_000
"""Numbers that the second look may touch. Source: the time of a step, some tens of milliseconds. Cost: without the
second look 2.2 minutes more (simulated trailers); with 100,000, 1.4 ± 0.8 more on the seven-way; with
10,000,000, none found."""
CELLS = 400_000
"""Numbers worked on at once, so that they stay near the processor. Source: timed. Cost: time only."""
OVERHEAD = 20_000
"""What one branch costs beside its numbers, in numbers. Source: timed. Cost: time only."""
BEAM = 6
"""Checks at most that are looked at twice. Source: the time of a step. Cost: with 1, 2.1 ± 1.0 minutes more on the
seven-way and 1.2 ± 0.3 less on the light that never lights; with 3, 0.6 ± 0.7 more; with 12, 0.1 ± 0.4."""
TINY = 150
"""Suspects times rows up to which a third look is taken. Source: the time of a step. Cost: with 1500, 1.2 ± 0.4
minutes less on the light that never lights and 0.5 ± 0.5 more on the seven-way; with 0, 0.3 ± 0.2 less on the
first."""
SMALL = 4_000
"""Suspects times rows up to which a problem is small (see ``HOPELESS``). Source: the time of a step. Cost: with 400,
0.7 ± 0.4 minutes more on the seven-way; with 40,000, none found."""
DEEP_BEAM = 3
"""Checks at most that the third look takes. Source: the time of a step. Cost: none found from 1 to 6: no choice
changed."""
HOPELESS = (1.5, 1.12)
"""Checks worth this many times the best at the first look are not looked at twice, on small and other problems.
Source: the time of a step. Cost: with 1.1 and 1.03, 0.7 ± 0.4 minutes more on the seven-way and 0.4 ± 0.2 less on the
light that never lights; with more, none found."""
LIKELY = 0.01
"""Outcomes below this share of the branch are not looked at twice. Source: the time of a step. Cost: with 0.05, 0.6 ±
0.4 minutes more on the seven-way; with 0.001, none found."""
TAIL = 1e-4
"""Suspects below this share of a branch are left out of its second look. Source: the time of a step. Cost: with
0.001, 0.2 ± 0.1 minutes more on the seven-way; with 0.00001, none found."""
NEGLIGIBLE = 1e-7
"""Probability below which a suspect is left out of the look-ahead, never out of the posterior. Source: the time of a
step. Cost: none found from 1e-9 to 1e-5: no choice changed."""

# --- Equal values ----------------------------------------------------------------------------------------------

TIE = 1e-9
"""Expected minutes closer than this are equal, and file order decides: the same choice on every machine. Source: the
precision of the arithmetic. Cost: none."""
BARELY = 1 - 1e-9
"""A share is compared with this much of a bound, so that one that is the bound's own figure lies above it, whichever
way a processor rounds. Source: the precision of the arithmetic. Cost: none."""
EVEN = 9
"""Decimal places to which probabilities are rounded before the likeliest is named, for the same reason. Source: the
precision of the arithmetic. Cost: none."""
MISSED = 0.02
"""Chance that a passed proof missed what is still there from which it is told. Source: chosen: half of what a single
repair that is proven leaves by ``NOT_CURED`` where the proof misses every time. Cost: words only."""
EITHER = 0.1
"""Share of what a fix takes away from which a fault with another fix of its own is named beside the one that it is
done for. Source: chosen. Cost: words only."""
NAMED = 0.05
"""Probability above which a suspect is named when nothing is left to do. Source: chosen. Cost: words only."""
WORTH_ASKING = 0.25
"""Working minutes that an answer about the unit must save to be asked for: about what question and answer take, by
voice some ten to fifteen seconds."""
