"""Items outside kits: a number with its basis, or no basis; spikes stay out until confirmed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.forecasts import NoBasis, PlainDemand
from stockbook.forecast.intermittent import (
    croston,
    demand_in,
    plain_demand,
    sba,
    spikes,
    tsb,
    with_shortages,
)

QUIET = [2, 1, 0, 2, 3, 1, 2, 1, 0, 2]


def found(series: list[float], *confirmed: int) -> PlainDemand:
    demand = plain_demand("X", series, confirmed)
    assert isinstance(demand, PlainDemand)
    return demand


def test_no_history_and_a_history_of_nothing_are_no_basis() -> None:
    assert plain_demand("X", []) == NoBasis("X", "no period of use is known")
    assert plain_demand("X", [0] * 5) == NoBasis("X", "none was used in 5 periods")
    assert (croston([0, 0]), sba([0, 0]), tsb([0, 0])) == (0, 0, 0)


def test_a_spike_is_flagged_and_stays_out_until_it_is_confirmed() -> None:
    series = [*QUIET, 60]
    (spike,) = spikes(series)
    assert (spike.period, spike.quantity) == (10, 60)
    assert spike.chance < 1e-5
    assert found(series).mean == found(QUIET).mean
    assert "1 unconfirmed spike left out" in found(series).basis
    assert found(series, 10).mean > 2 * found(QUIET).mean


def test_a_single_use_among_nothing_is_only_a_spike_when_it_is_large() -> None:
    assert spikes([0] * 11 + [1]) == []
    assert [spike.period for spike in spikes([0] * 11 + [40])] == [11]
    assert plain_demand("X", [0] * 11 + [40]) == NoBasis(
        "X", "none was used in 11 periods, but for 1 unconfirmed spike"
    )


def test_few_periods_call_nothing_a_spike() -> None:
    assert spikes([1, 1, 1, 1, 1, 90]) == []
    assert spikes([1, 1, 1, 1, 1, 1, 90]) != []


def test_use_that_ended_fades() -> None:
    assert tsb([4] * 12 + [0] * 24) < 0.1 * tsb([4] * 12)
    assert croston([4] * 12 + [0] * 24) == pytest.approx(4)


@given(st.lists(st.integers(0, 9), min_size=1, max_size=40).filter(any))
def test_the_distribution_has_the_mean_and_at_least_its_variance(series: list[int]) -> None:
    demand = plain_demand("X", series)
    if isinstance(demand, PlainDemand):
        law = demand_in(demand, 3)
        assert law.mean == pytest.approx(3 * demand.mean, rel=1e-6)
        assert law.variance >= law.mean - 1e-6
        assert law.chances.sum() == pytest.approx(1)


def test_a_shortage_hides_demand() -> None:
    filled = with_shortages([2, 2, 0, 2], {2})
    assert filled[2] == pytest.approx(2, abs=0.01)
    assert with_shortages([5, 5, 9, 5], {2})[2] > 9
    assert with_shortages([2, 0, 2], set()) == [2, 0, 2]


def test_where_every_period_ran_out_what_was_used_is_all_that_is_known() -> None:
    assert with_shortages([3, 4], {0, 1}) == [3, 4]
    assert with_shortages([0, 4], {1}) == [0, 4]
