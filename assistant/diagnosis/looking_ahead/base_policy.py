"""What a belief is worth before looking further: the right fix, and finding out which one it is.

Whoever has a fault pays for its fix, with what must still be opened and the proof; nobody gets round that. Finding
out is charged by the entropy of the groups (suspects with one cure), in minutes a nat: the rate at which the best
check at hand buys it. Entropy falls to nothing as one group is left, and by the same amount for a half split of two
likely groups as theory of test sequencing has it (half-split: FACTS 7.9).
"""

from __future__ import annotations

import numpy as np

from assistant.diagnosis.constants import BARELY, DEARER, GAIN_FLOOR, NAT_MINUTES
from assistant.diagnosis.likelihood import Floats

LEAST = 1e-300
"""Stands for nothing where a logarithm is taken."""


def entropy(joint: Floats) -> Floats:
    """Entropy of the groups in nats, joint with its probability; shape (groups,) or (groups, columns)."""
    logs = np.log(np.maximum(joint, LEAST))
    logs *= joint
    total = joint.sum(axis=0)
    return np.asarray(total * np.log(np.maximum(total, LEAST)) - logs.sum(axis=0), dtype=np.float64)


def entropy_without(masses: Floats) -> Floats:
    """The same with each group left out in its turn; ``masses`` and what is returned have shape (groups, columns)."""
    logs = masses * np.log(np.maximum(masses, LEAST))
    rest = np.maximum(masses.sum(axis=0) - masses, 0.0)
    return np.asarray(rest * np.log(np.maximum(rest, LEAST)) - (logs.sum(axis=0) - logs), dtype=np.float64)


def blind_minutes(joint: Floats, fix: Floats) -> Floats:
    """The same where no check is left: the fixes are done in order of probability over cost (Kadane and Simon)."""
    price = np.maximum(np.broadcast_to(fix, joint.shape), 1e-9)
    order = np.argsort(-(joint / price), axis=0, kind="stable")
    mass = np.take_along_axis(joint, order, axis=0)
    before = np.maximum(mass.sum(axis=0) - np.cumsum(mass, axis=0) + mass, 0.0)
    return np.asarray((before * np.take_along_axis(price, order, axis=0)).sum(axis=0), dtype=np.float64)


def nat_price(minutes: Floats, gain: Floats) -> float:
    """Minutes a nat, from what the candidates cost and what each takes from the entropy."""
    telling = gain > GAIN_FLOOR * BARELY
    if not telling.any():
        return NAT_MINUTES[1]
    best = float((minutes[telling] / gain[telling]).min())
    return min(max(DEARER * best, NAT_MINUTES[0]), NAT_MINUTES[1])
