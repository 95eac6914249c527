"""The demand of items: exact, whole, and never less for more work."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forecast import direct
from forecast.cases import DAYS, KINDS, Uses, comings, intervals, uses
from stockbook.forecast.coming import Coming, expected_not_yet, horizons, protection
from stockbook.forecast.demand import Line, demands_over, item_demand
from stockbook.forecast.distributions import Distribution
from stockbook.forecast.levels import order_up_to

LEVELS = (0.5, 0.9, 0.99, 0.999)


def levels(demand: Distribution) -> list[int]:
    return [order_up_to(demand, level) for level in LEVELS]


@given(comings(), uses, intervals)
@settings(max_examples=60)
def test_it_equals_the_convolution_of_every_case(
    coming: Coming, used: Uses, interval: dict[int, float]
) -> None:
    found = item_demand(coming, used, interval).total.chances
    wanted = direct.item_demand(coming, used, interval)
    length = max(len(found), len(wanted))
    gap = np.pad(found, (0, length - len(found))) - np.pad(wanted, (0, length - len(wanted)))
    assert np.abs(gap).max() < 1e-12


@given(comings(), st.lists(st.tuples(uses, st.booleans()), min_size=2, max_size=5), intervals)
@settings(max_examples=40)
def test_many_items_of_two_suppliers_at_once_are_each_as_by_itself(
    coming: Coming, many: list[tuple[Uses, bool]], interval: dict[int, float]
) -> None:
    either = (interval, {max(interval): 1.0})
    over = [horizons(coming, one) for one in either]
    made = demands_over(coming, [used for used, _ in many], [over[which] for _, which in many])
    for found, (used, which) in zip(made, many, strict=True):
        alone = item_demand(coming, used, either[which])
        length = min(len(found.total.chances), len(alone.total.chances))
        gap = found.total.chances[:length] - alone.total.chances[:length]
        assert np.abs(gap).max() < 1e-12
        assert found.scheduled_mean == pytest.approx(alone.scheduled_mean)
        assert found.not_yet_mean == pytest.approx(alone.not_yet_mean)


@given(comings(), uses, intervals)
def test_chances_sum_to_one_and_the_parts_to_the_mean(
    coming: Coming, used: Uses, interval: dict[int, float]
) -> None:
    found = item_demand(coming, used, interval)
    assert found.total.chances.sum() == pytest.approx(1, abs=1e-12)
    assert (found.total.chances >= 0).all()
    assert found.total.mean == pytest.approx(found.scheduled_mean + found.not_yet_mean, abs=1e-9)


@given(comings(), uses, intervals, st.integers(0, DAYS - 1), st.integers(0, KINDS - 1))
def test_a_case_more_never_lowers_a_level(
    coming: Coming, used: Uses, interval: dict[int, float], day: int, kind: int
) -> None:
    more = coming.scheduled.copy()
    more[day, kind] += 1
    fewer = levels(item_demand(coming, used, interval).total)
    assert all(
        a <= b
        for a, b in zip(
            fewer,
            levels(item_demand(replace(coming, scheduled=more), used, interval).total),
            strict=True,
        )
    )


@given(comings(), uses, intervals)
def test_a_longer_lead_time_never_lowers_a_level(
    coming: Coming, used: Uses, interval: dict[int, float]
) -> None:
    longer = {days + 1: chance for days, chance in interval.items() if days < DAYS}
    if longer:
        shorter = {days - 1: chance for days, chance in longer.items()}
        before, after = (item_demand(coming, used, one).total for one in (shorter, longer))
        assert all(a <= b for a, b in zip(levels(before), levels(after), strict=True))


@given(comings(), uses, intervals, st.floats(0.01, 0.999), st.floats(0.01, 0.999))
def test_a_higher_service_never_lowers_a_level(
    coming: Coming, used: Uses, interval: dict[int, float], one: float, other: float
) -> None:
    found = item_demand(coming, used, interval).total
    low, high = sorted((one, other))
    assert order_up_to(found, low) <= order_up_to(found, high)


def test_frequencies_that_are_skipped_change_nothing() -> None:
    """Two thousand cases: the engine beside a plain product of binomial chances."""
    rates = (0.3, 0.05, 0.9)
    coming = Coming(np.array([[900, 600, 500]]), np.zeros((1, 1)), np.full((1, 3), 1 / 3))
    found = item_demand(coming, {n: (Line(1, rate),) for n, rate in enumerate(rates)}, {1: 1.0})
    wanted = np.ones(1)
    for cases, rate in zip((900, 600, 500), rates, strict=True):
        for _ in range(cases):
            wanted = np.convolve(wanted, [1 - rate, rate])
    least = min(len(wanted), len(found.total.chances))
    assert np.abs(wanted[:least] - found.total.chances[:least]).max() < 1e-14
    assert found.total.mean == pytest.approx(750, abs=1e-9)


def test_an_item_that_no_case_uses_is_surely_not_needed() -> None:
    coming = Coming(np.ones((2, 1)), np.ones((2, 1)), np.eye(1))
    assert item_demand(coming, {}, {2: 1.0}).total.chance_of(0) == 1.0
    assert item_demand(coming, {0: (Line(1, 0.0),)}, {2: 1.0}).total.chance_of(0) == 1.0


def test_a_chance_of_one_half_has_a_frequency_of_nothing() -> None:
    """At z = -1 the generating function of a fair coin is zero, and so is its power."""
    coming = Coming(np.array([[2]]), np.zeros((1, 1)), np.eye(1))
    found = item_demand(coming, {0: (Line(1, 0.5),)}, {1: 1.0}).total
    assert found.chances[:3] == pytest.approx([0.25, 0.5, 0.25], abs=1e-15)


def test_an_interval_beyond_the_known_days_is_refused_not_cut() -> None:
    coming = Coming(np.ones((2, 1)), np.ones((2, 1)), np.eye(1))
    with pytest.raises(ValueError, match="3 days to be covered, 2 days known"):
        item_demand(coming, {0: (Line(),)}, {3: 1.0})


def test_what_is_on_the_lists_is_not_expected_again() -> None:
    assert expected_not_yet([10.0, 10.0], [1.0, 1.2]) == [0.0, 0.0]
    assert protection(7, {3: 0.0, 4: 1.0}) == {11: 1.0}
