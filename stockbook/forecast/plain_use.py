"""Use outside patients' cases beside that of cases: as events of a logarithmic size.

A negative binomial is a Poisson number of events whose sizes have the logarithmic law (M. H.
Quenouille 1949, Biometrics 5:162-164), so irregular use can come day by day like cases do.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import log

from stockbook.domain.forecasts import NoBasis, PlainDemand
from stockbook.forecast.coming import Coming
from stockbook.forecast.demand import Amounts, Lines

DAYS_OF_WEEK = 7
LEAST_CHANCE = 1e-12
MOST_SIZES = 4000


def events_of(demand: PlainDemand) -> tuple[float, Amounts]:
    """How many events a period brings, and what one takes.

    Mean 10 and variance 16: 7.8 events a period, of 1.28 units each.

    >>> rate, taken = events_of(PlainDemand("X", 10, 16, 24, ""))
    >>> round(rate * taken.mean, 9), round(rate, 4)
    (10.0, 7.8334)
    """
    mean, variance = demand.mean, demand.variance
    if variance <= mean * (1 + 1e-9):
        return mean, Amounts(((1, 1.0),))
    p = mean / variance
    r = mean * p / (1 - p)
    return -r * log(p), Amounts(_logarithmic(1 - p))


def _logarithmic(q: float) -> tuple[tuple[int, float], ...]:
    """P(k) = -q^k / (k ln(1 - q)), cut where next to nothing is left."""
    scale, power, found = -1 / log(1 - q), q, []
    for size in range(1, MOST_SIZES):
        chance = scale * power / size
        if chance < LEAST_CHANCE:
            break
        found.append((size, chance))
        power *= q
    return tuple(found)


def monthly_demand(
    what: str, months: Sequence[int], days_a_month: Fraction
) -> PlainDemand | NoBasis:
    """Use of a week from use of months: their mean, scattered like Poisson.

    >>> monthly_demand("X", [30, 31], Fraction(61, 2)).mean
    7.0
    >>> monthly_demand("X", [0, 0], Fraction(61, 2))
    NoBasis(what='X', why='none was used in 2 months before the book')
    """
    if not any(months):
        return NoBasis(what, f"none was used in {len(months)} months before the book")
    weekly = sum(months) / len(months) * DAYS_OF_WEEK / float(days_a_month)
    return PlainDemand(what, weekly, weekly, len(months), f"{len(months)} months before the book")


def with_plain_use(
    coming: Coming, uses: dict[int, Lines], weekly: PlainDemand
) -> tuple[Coming, dict[int, Lines]]:
    """The coming cases and, as one more kind of event, the item's use outside them.

    Without any case a week of mean 2 is a week of mean 2:

    >>> from stockbook.forecast.outlook import coming_of
    >>> from stockbook.forecast.demand import item_demand
    >>> nothing = coming_of([[]] * 14, [[]] * 14, [], 0.0, 0.0)
    >>> both = with_plain_use(nothing, {}, PlainDemand("X", 2, 3, 20, ""))
    >>> round(item_demand(*both, {7: 1.0}).total.mean, 9)
    2.0
    """
    import numpy as np

    rate, taken = events_of(weekly)
    days, kinds = coming.scheduled.shape
    categories = coming.not_yet.shape[1]
    mix = np.zeros((categories + 1, kinds + 1))
    mix[:-1, :-1] = coming.mix.reshape(categories, kinds)
    mix[-1, -1] = 1.0
    beside = Coming(
        np.hstack([coming.scheduled, np.zeros((days, 1))]),
        np.hstack([coming.not_yet, np.full((days, 1), rate / DAYS_OF_WEEK)]),
        mix, coming.not_happening, coming.variation,
    )  # fmt: skip
    return beside, {**uses, kinds: (taken,)}
