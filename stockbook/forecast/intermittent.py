"""Items outside kits: rare, irregular use, period by period.

The published series of the examples is 24 periods with 9 uses; its figures were computed once.

>>> series = [0, 0, 3, 0, 1, 0, 0, 0, 2, 0, 4, 0, 0, 1, 0, 0, 0, 0, 2, 0, 1, 0, 0, 5]
>>> round(croston(series), 10), round(sba(series), 10), round(exponential_smoothing(series), 10)
(0.8941597318, 0.8494517452, 0.9150529175)
"""

from collections.abc import Collection, Sequence

from stockbook.domain.amounts import plural
from stockbook.domain.forecasts import NoBasis, PlainDemand, Spike
from stockbook.forecast.distributions import Distribution
from stockbook.forecast.pgf import distribution_of, negative_binomial

SMOOTHING = 0.1
SPIKE_CHANCE = 1e-5
"""A period that the others would bring less than once in 100,000 is a spike until confirmed."""

SCATTER_WEIGHT = 12.0
"""How many periods the belief counts for that use scatters like Poisson."""

LEAST_PERIODS = 6
"""Fewer other periods than these call nothing a spike."""


def exponential_smoothing(series: Sequence[float], weight: float = SMOOTHING) -> float:
    """The smoothed level, begun at the first period (R. G. Brown 1956)."""
    level = series[0]
    for value in series[1:]:
        level += weight * (value - level)
    return level


def croston(series: Sequence[float], weight: float = SMOOTHING) -> float:
    """Mean use a period: smoothed sizes over smoothed gaps (J. D. Croston 1972, Oper Res Q
    23:289-303), sizes begun at the first and gaps at their mean; a series without use has none.
    """
    used = [n for n, value in enumerate(series, start=1) if value > 0]
    if not used:
        return 0.0
    gaps = [later - sooner for sooner, later in zip([0, *used], used, strict=False)]
    sizes = [series[n - 1] for n in used]
    begun = [sum(gaps) / len(gaps), *gaps[1:]]
    return exponential_smoothing(sizes, weight) / exponential_smoothing(begun, weight)


def sba(series: Sequence[float], weight: float = SMOOTHING) -> float:
    """Croston's mean without its bias (A. A. Syntetos and J. E. Boylan 2005, Int J Forecast
    21:303-314).
    """
    return (1 - weight / 2) * croston(series, weight)


def tsb(
    series: Sequence[float], size_weight: float = SMOOTHING, chance_weight: float = SMOOTHING
) -> float:
    """Mean use a period that falls while nothing is used: chance of use times size (R. H. Teunter,
    A. A. Syntetos and M. Z. Babai 2011, Eur J Oper Res 214:606-615).

    The chance begins at the share of periods with use, the size at the first; the first period
    stands in both.

    >>> tsb([0, 0, 0])
    0.0
    >>> round(tsb([2, 2, 2, 2]), 9), round(tsb([2, 0]), 4)
    (2.0, 0.9)
    """
    used = [value for value in series if value > 0]
    if not used:
        return 0.0
    chance, size = len(used) / len(series), used[0]
    for value in series[1:]:
        chance += chance_weight * ((value > 0) - chance)
        if value > 0:
            size += size_weight * (value - size)
    return chance * size


def plain_demand(
    what: str, series: Sequence[float], confirmed: Collection[int] = ()
) -> PlainDemand | NoBasis:
    """Mean and variance of an item's use in a period; spikes that nobody confirmed stay out.

    >>> plain_demand("HOOK", [])
    NoBasis(what='HOOK', why='no period of use is known')
    >>> plain_demand("HOOK", [0, 0, 0])
    NoBasis(what='HOOK', why='none was used in 3 periods')
    >>> plain_demand("HOOK", [1, 3, 2, 2]).periods
    4
    """
    if not series:
        return NoBasis(what, "no period of use is known")
    out = {spike.period for spike in spikes(series)} - set(confirmed)
    kept = [value for n, value in enumerate(series) if n not in out]
    if not any(kept):
        seen = f", but for {plural(len(out), 'unconfirmed spike')}" if out else ""
        return NoBasis(what, f"none was used in {plural(len(kept), 'period')}{seen}")
    mean = tsb(kept)
    basis = plural(len(kept), "period")
    if out:
        basis += f", {plural(len(out), 'unconfirmed spike')} left out"
    return PlainDemand(what, mean, _variance(kept, mean), len(kept), basis)


def _variance(series: Sequence[float], mean: float) -> float:
    """At least the mean; the seen variance leans on Poisson's, and keeps its ratio to the mean."""
    average = sum(series) / len(series)
    seen = sum((value - average) ** 2 for value in series)
    ratio = (SCATTER_WEIGHT + seen / average) / (SCATTER_WEIGHT + max(len(series) - 1, 0))
    return mean * max(1.0, ratio)


def demand_in(demand: PlainDemand, periods: float) -> Distribution:
    """The item's use in so many periods: a negative binomial with the periods' mean and variance.

    >>> round(demand_in(PlainDemand("X", 10, 16, 24, ""), 2).more_than(30), 11)
    0.04135745903
    """
    return distribution_of(
        negative_binomial(demand.mean * periods, max(demand.variance, demand.mean) * periods)
    )


def spikes(series: Sequence[float]) -> list[Spike]:
    """Periods so far above all others that they are kept out until a person confirms them.

    Each is judged by a negative binomial of the others' mean and variance.

    >>> [spike.period for spike in spikes([2, 1, 0, 2, 90, 1, 2, 1])]
    [4]
    >>> spikes([2, 1, 0, 2, 4, 1, 2, 1])
    []
    """
    found = []
    for period, quantity in enumerate(series):
        others = [*series[:period], *series[period + 1 :]]
        if len(others) < LEAST_PERIODS or quantity <= max(others):
            continue
        chance = _chance_of_so_much(others, quantity)
        if chance < SPIKE_CHANCE:
            found.append(Spike(period, quantity, chance))
    return found


def _chance_of_so_much(others: Sequence[float], quantity: float) -> float:
    """By the others, whose mean is taken half a unit in all higher: few zeros prove no zero."""
    mean = (sum(others) + 0.5) / len(others)
    return distribution_of(negative_binomial(mean, _variance([*others, 0.5], mean))).more_than(
        int(quantity) - 1
    )


def with_shortages(series: Sequence[int], short: Collection[int]) -> list[float]:
    """Periods that ran out get what they probably wanted: E[D | D >= x] by the other periods.

    Three used in a week that ran out, two a week otherwise: 3.67 wanted.

    >>> [round(x, 6) for x in with_shortages([2, 2, 3, 2], {2})]
    [2.0, 2.0, 3.674301, 2.0]
    """
    whole = [value for n, value in enumerate(series) if n not in short]
    if not whole or not any(whole):
        return [float(value) for value in series]
    mean = sum(whole) / len(whole)
    law = distribution_of(negative_binomial(mean, _variance(whole, mean)))
    return [
        law.mean_given_at_least(value) if n in short else float(value)
        for n, value in enumerate(series)
    ]
