"""What a situation is worth before looking further: the right fix, and finding out which one it is.

Whoever has a fault pays for its fix, with what must still be opened and the proof; nobody gets round that. Finding
out is charged by the entropy of the groups (suspects with one cure), in minutes a nat: the rate at which the best
check at hand buys it. Entropy falls to nothing as one group is left, and by the same amount for a half split of two
likely groups as theory of test sequencing has it (half-split: FACTS 7.9).
"""

from __future__ import annotations

import numpy as np

from assistant.engine.likelihood import Floats

GIVE_UP = 120.0
"""Minutes charged where nothing allowed is left: the unit goes to another shop. From memory, no source."""
DEARER = 2.0
"""The checks to come cost this many times the minutes a nat of the best one at hand: the best is taken first."""
RATE = (4.0, 15.0)
"""Least and most minutes charged a nat."""


def entropy(joint: Floats) -> Floats:
    """Entropy in nats of each row, joint with its probability; ``joint`` has shape (rows, groups)."""
    total = joint.sum(axis=1, keepdims=True)
    share = np.maximum(joint / np.maximum(total, 1e-300), 1e-12)
    return np.asarray(-(joint * np.log(share)).sum(axis=1), dtype=np.float64)


def base_minutes(joint: Floats, fix: Floats, rate: float | None) -> Floats:
    """Expected minutes of each row, joint with its probability, while there are checks that tell.

    Args:
        joint: weight of each group, shape (rows, groups).
        fix: minutes of each fix with its openings and the proof, same shape or one row.
        rate: minutes a nat; None: as if no check were left, where the looking ahead comes to the end of the checks.
    """
    if rate is None:
        return _blind_minutes(joint, fix)
    return np.asarray((joint * fix).sum(axis=1) + rate * entropy(joint), dtype=np.float64)


def _blind_minutes(joint: Floats, fix: Floats) -> Floats:
    """The same where no check is left: the fixes are done in order of probability over cost (Kadane and Simon)."""
    price = np.maximum(np.broadcast_to(fix, joint.shape), 1e-9)
    order = np.argsort(-(joint / price), axis=1, kind="stable")
    mass = np.take_along_axis(joint, order, axis=1)
    before = np.maximum(mass.sum(axis=1, keepdims=True) - np.cumsum(mass, axis=1) + mass, 0.0)
    return np.asarray((before * np.take_along_axis(price, order, axis=1)).sum(axis=1), dtype=np.float64)


def rate_of(minutes: Floats, gain: Floats) -> float:
    """Minutes a nat, from what the candidates cost and what each takes from the entropy."""
    telling = gain > 0.02
    if not telling.any():
        return RATE[1]
    best = float((minutes[telling] / gain[telling]).min())
    return min(max(DEARER * best, RATE[0]), RATE[1])
