"""Irregular use beside another library, and beside 17 years of real demand.

The library is `intermittent-forecast` (MIT). It begins the smoothing elsewhere: gaps at their mean
(we: at the first), sizes of TSB at the first (we: at their mean), and TSB's first period counts
for nothing. What is left of a start after n steps is (1 - w)^n of it, so the answers are compared
exactly. The demand is `PBS_dataset.csv` of the `sktime` wheel (BSD-3): prescriptions of one group
of medicines in Australia, 204 months, given by R. J. Hyndman and G. Athanasopoulos, Forecasting:
Principles and Practice. The file is read as it lies; sktime itself is never imported.
"""

import csv
from functools import cache
from math import sqrt
from statistics import fmean
from typing import Any

import pytest
from extras import needed, needed_file
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.forecasts import PlainDemand
from stockbook.forecast.intermittent import (
    croston,
    demand_in,
    exponential_smoothing,
    plain_demand,
    sba,
    spikes,
    tsb,
)
from stockbook.forecast.levels import order_up_to

Series = list[int]
used_twice = st.lists(st.one_of(st.just(0), st.integers(0, 40)), min_size=2, max_size=60).filter(
    lambda series: sum(value > 0 for value in series) > 1
)
weights = st.floats(0.01, 0.99)


@cache
def _library() -> Any:
    return needed("intermittent_forecast.forecasters")


def _theirs(series: Series, variant: str, alpha: float, beta: float) -> float:
    """Their forecast of the next period."""
    fitted = _library().Croston().fit(series, variant, alpha=alpha, beta=beta)
    return float(fitted.get_fit_result()["ts_fitted"][-1])


def _uses(series: Series) -> tuple[list[int], list[int]]:
    """The periods with use, and the gaps before them."""
    at = [n for n, value in enumerate(series) if value]
    return at, [later - sooner for sooner, later in zip([-1, *at], at, strict=False)]


def _same_croston(series: Series, weight: float) -> None:
    at, gaps = _uses(series)
    left = (1 - weight) ** (len(at) - 1) * (fmean(gaps) - gaps[0])
    size = _theirs(series, "CRO", weight, 0) * fmean(gaps)
    gap = size / _theirs(series, "CRO", weight, weight) - left
    assert croston(series, weight) == pytest.approx(size / gap)
    ratio = _theirs(series, "SBA", weight, weight) / _theirs(series, "CRO", weight, weight)
    assert sba(series, weight) / croston(series, weight) == pytest.approx(ratio)


def _same_tsb(series: Series, sizes: float, chances: float) -> None:
    at, _ = _uses(series)
    share, mean, first = len(at) / len(series), fmean(series[n] for n in at), series[at[0]]
    size = _theirs(series, "TSB", sizes, 0) / share + (1 - sizes) ** len(at) * (mean - first)
    chance = _theirs(series, "TSB", 0, chances) / first
    chance += (1 - chances) ** (len(series) - 1) * chances * ((at[0] == 0) - share)
    assert tsb(series, sizes, chances) == pytest.approx(size * chance)


@given(used_twice, weights)
def test_another_library_finds_the_same_smoothed_level(series: Series, weight: float) -> None:
    fitted = _library().SimpleExponentialSmoothing().fit(series, alpha=weight)
    theirs = fitted.get_fit_result()["lvl_final"]
    assert exponential_smoothing(series, weight) == pytest.approx(theirs)


@given(used_twice, weights)
def test_another_library_finds_the_same_sizes_over_gaps(series: Series, weight: float) -> None:
    _same_croston(series, weight)


@given(used_twice, weights, weights)
def test_another_library_finds_the_same_chance_times_size(
    series: Series, sizes: float, chances: float
) -> None:
    _same_tsb(series, sizes, chances)


@cache
def months() -> Series:
    """The real demand, month by month."""
    path = needed_file("sktime", "sktime/datasets/data/PBS_dataset/PBS_dataset.csv")
    with path.open(encoding="utf-8", newline="") as file:
        return [int(row["Scripts"]) for row in csv.DictReader(file)]


def test_the_real_demand_is_the_one_that_is_meant() -> None:
    assert (len(months()), sum(months()), max(months()), months().count(0)) == (204, 331, 14, 90)


def test_the_means_of_real_demand_are_those_of_another_library() -> None:
    for weight in (0.05, 0.1, 0.3):
        _same_croston(months(), weight)
        _same_tsb(months(), weight, weight)


def _months_ahead() -> list[tuple[PlainDemand, int]]:
    """From the second year on: what was known each month, and what the month brought."""
    found = []
    for now in range(12, len(months())):
        demand = plain_demand("X", months()[:now])
        assert isinstance(demand, PlainDemand)
        found.append((demand, months()[now]))
    return found


def test_levels_cover_as_many_real_months_as_they_say() -> None:
    """Each month by the months before it alone: within three standard errors of the service."""
    ahead = _months_ahead()
    for service in (0.9, 0.95, 0.99):
        covered = fmean(came <= order_up_to(demand_in(d, 1), service) for d, came in ahead)
        error = sqrt(service * (1 - service) / len(ahead))
        assert abs(covered - service) < 3 * error, (service, covered)


def test_levels_of_real_demand_are_the_quantiles_of_another_library() -> None:
    law = needed("scipy.stats").nbinom
    for demand, _ in _months_ahead()[::10]:
        for periods in (1, 2.5):
            mean = demand.mean * periods
            over = max(demand.variance / demand.mean, 1 + 1e-9)
            other = law(mean / (over - 1), 1 / over)
            found = demand_in(demand, periods)
            level = order_up_to(found, 0.95)
            assert found.at_most(level) == pytest.approx(other.cdf(level), abs=1e-7)
            assert level == other.ppf(0.95)


def test_the_month_of_fourteen_stands_out_until_others_come_near_it() -> None:
    """March 1996: 14 after never more than 5; by 2008 there were months of 11 and 12."""
    flagged = [n for n in range(12, 204) if n in {s.period for s in spikes(months()[: n + 1])}]
    assert [(n, months()[n]) for n in flagged] == [(56, 14)]
    assert spikes(months()) == []
