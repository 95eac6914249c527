"""Other people's reckoning and real demand: the package `intermittent-forecast`, a PBS series."""

import csv

import numpy as np
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

series = st.lists(
    st.sampled_from([0, 0, 0, 1, 2, 5, 40]), min_size=3, max_size=60
).filter(lambda values: sum(value > 0 for value in values) >= 2)  # fmt: skip
weights = st.sampled_from([0.05, 0.1, 0.2, 0.3])


@given(series, weights)
def test_croston_sba_and_tsb_are_what_the_other_package_says(
    values: list[int], weight: float
) -> None:
    Croston = needed("intermittent_forecast.forecasters").Croston  # noqa: N806 a class
    for variant, ours in (("CRO", croston), ("SBA", sba)):
        found = Croston().fit(ts=values, variant=variant, alpha=weight, beta=weight)
        wanted = found.forecast(start=len(values), end=len(values) + 1)[-1]
        assert ours(values, weight) == pytest.approx(wanted, rel=1e-9)
    found = Croston().fit(ts=values, variant="TSB", alpha=weight, beta=weight)
    wanted = found.forecast(start=len(values), end=len(values) + 1)[-1]
    assert tsb(values, weight, weight) == pytest.approx(wanted, rel=1e-9)


@given(st.lists(st.integers(0, 50), min_size=2, max_size=60), weights)
def test_smoothing_is_what_the_other_package_says(values: list[int], weight: float) -> None:
    smoothing = needed("intermittent_forecast.forecasters").SimpleExponentialSmoothing
    if sum(value > 0 for value in values) < 2:
        return
    found = smoothing().fit(ts=values, alpha=weight)
    wanted = found.forecast(start=len(values), end=len(values) + 1)[-1]
    assert exponential_smoothing(values, weight) == pytest.approx(wanted, rel=1e-9)


def pbs() -> list[int]:
    """Scripts a month, 1991 to 2008: a file of the sktime distribution (BSD-3)."""
    file = needed_file("sktime", "sktime/datasets/data/PBS_dataset/PBS_dataset.csv")
    with file.open(encoding="utf-8", newline="") as text:
        return [int(float(row["Scripts"])) for row in csv.DictReader(text)]


def test_the_series_is_the_published_one() -> None:
    values = pbs()
    assert len(values) == 204
    assert values[:7] == [1, 1, 1, 0, 0, 1, 3]


@pytest.mark.parametrize(("service", "least", "most"), [(0.8, 0.78, 0.96), (0.95, 0.92, 1.0)])
def test_levels_for_real_demand_are_enough_about_as_often_as_they_promise(
    service: float, least: float, most: float
) -> None:
    """Month after month from all before it; small whole numbers make a level enough oftener."""
    values = pbs()
    enough = []
    for month in range(24, len(values)):
        made = plain_demand("PBS", values[:month])
        assert isinstance(made, PlainDemand)
        enough.append(values[month] <= order_up_to(demand_in(made, 1), service))
    assert least <= np.mean(enough) <= most


def test_the_mean_of_real_demand_falls_when_nothing_is_used_any_more() -> None:
    """The series ends with years without a script."""
    values = pbs()
    assert not any(values[-36:])
    early, late = (plain_demand("PBS", part) for part in (values[:60], values))
    assert isinstance(early, PlainDemand)
    assert isinstance(late, PlainDemand)
    assert early.mean == pytest.approx(np.mean(values[24:60]), rel=0.5)
    assert late.mean < 0.1 * early.mean
    assert early.variance >= early.mean


def test_a_shipload_in_real_demand_is_a_spike_and_its_own_months_are_none() -> None:
    values = pbs()
    assert spikes(values) == []
    (found,) = spikes([*values[:100], 400, *values[100:]])
    assert (found.period, found.quantity) == (100, 400)
