"""The same demand by plain convolution of chances, one case after the other."""

from collections.abc import Mapping
from math import exp, lgamma, log

import numpy as np

from stockbook.forecast.coming import Coming
from stockbook.forecast.demand import Lines

MOST = 400
"""Not yet scheduled cases beyond this many are left out: their chance is negligible here."""


def item_demand(
    coming: Coming, uses: Mapping[int, Lines], interval: Mapping[int, float]
) -> np.ndarray:
    """P(D = 0), P(D = 1), ... as a sum over intervals of convolutions over cases."""
    whole = sum(interval.values())
    parts = [(chance / whole, _over(coming, uses, days)) for days, chance in interval.items()]
    length = max(len(part) for _, part in parts)
    return sum(chance * np.pad(part, (0, length - len(part))) for chance, part in parts)


def _over(coming: Coming, uses: Mapping[int, Lines], days: int) -> np.ndarray:
    kinds = [_one_case(uses.get(kind, ())) for kind in range(coming.scheduled.shape[1])]
    found = np.ones(1)
    for kind, case in enumerate(kinds):
        done = (1 - coming.not_happening) * case
        done[0] += coming.not_happening
        for _ in range(int(coming.scheduled[:days, kind].sum())):
            found = np.convolve(found, done)
    for category, mean in enumerate(coming.not_yet[:days].sum(axis=0)):
        longest = max(len(case) for case in kinds)
        mixed = sum(
            share * np.pad(case, (0, longest - len(case)))
            for share, case in zip(coming.mix[category], kinds, strict=True)
        )
        found = np.convolve(found, _count_of(mean, coming.variation, mixed))
    return found


def _one_case(lines: Lines) -> np.ndarray:
    found = np.ones(1)
    for line in lines:
        unit = np.array([0, 1 - line.spoiled, line.spoiled])
        units = np.ones(1)
        for _ in range(line.quantity):
            units = np.convolve(units, unit)
        taken = line.chance * units
        taken[0] += 1 - line.chance
        found = np.convolve(found, taken)
    return found


def _count_of(mean: float, variation: float, case: np.ndarray) -> np.ndarray:
    """A random number of cases, each of the same law."""
    found, power = np.zeros(1), np.ones(1)
    for n in range(MOST):
        chance = _chance(n, mean, variation)
        if n > mean and chance < 1e-17:
            break
        length = max(len(found), len(power))
        found = np.pad(found, (0, length - len(found)))
        found[: len(power)] += chance * power
        power = np.convolve(power, case)
    return found


def _chance(n: int, mean: float, variation: float) -> float:
    if mean < 1e-12:
        return float(n == 0)
    if not variation:
        return exp(n * log(mean) - mean - lgamma(n + 1))
    r = 1 / variation
    q = r / (r + mean)
    return exp(lgamma(n + r) - lgamma(r) - lgamma(n + 1) + r * log(q) + n * log(1 - q))
