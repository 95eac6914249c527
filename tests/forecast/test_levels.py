"""Levels, caps and orders: monotone, and the cap never raises an order."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.forecasts import Break, OrderRule
from stockbook.forecast.distributions import Distribution, always, of_chances, together
from stockbook.forecast.levels import (
    expiry_cap,
    fill_rate,
    fill_rate_level,
    level_held,
    newsvendor,
    newsvendor_cost,
    order_up_to,
)
from stockbook.forecast.ordering import (
    chance_last_expires,
    chance_short,
    in_packs,
    order_quantity,
    position,
    price_of,
)
from stockbook.forecast.pgf import counted, distribution_of, poisson

laws = st.builds(lambda m, f: distribution_of(counted(m, f)), st.floats(0, 60), st.floats(0, 0.3))
service = st.floats(0.5, 0.9999)
breaks = st.lists(st.builds(Break, st.integers(1, 80), st.integers(1, 30)), max_size=3).map(tuple)
rules = st.builds(OrderRule, st.integers(1, 20), st.integers(0, 60), breaks)


@given(laws, service)
def test_a_level_is_the_smallest_that_reaches_its_service(law: Distribution, wanted: float) -> None:
    level = order_up_to(law, wanted)
    assert law.at_most(level) >= wanted - 1e-11
    assert level == 0 or law.at_most(level - 1) < wanted


@given(laws, service)
def test_a_fill_level_is_the_smallest_that_serves_its_share(
    law: Distribution, wanted: float
) -> None:
    level = fill_rate_level(law, wanted)
    assert fill_rate(law, level) >= wanted - 1e-9
    assert level == 0 or fill_rate(law, level - 1) < wanted


@given(st.floats(0.5, 30), st.floats(0.5, 30), service)
def test_what_was_short_before_the_cycle_is_not_counted_again(
    lead: float, review: float, wanted: float
) -> None:
    before, cycle = distribution_of(poisson(lead)), distribution_of(poisson(review))
    whole = together([before, cycle])
    level = fill_rate_level(whole, wanted, before)
    assert fill_rate(whole, level, before) >= wanted - 1e-9
    assert fill_rate(whole, level + 1, before) >= fill_rate(whole, level, before) - 1e-9


def test_nothing_wanted_is_served_in_full() -> None:
    assert (fill_rate(always(0), 0), fill_rate_level(always(0), 0.99)) == (1.0, 0)


@given(laws, st.floats(0.5, 0.99))
def test_the_cap_is_the_largest_that_is_used_in_time(law: Distribution, sure: float) -> None:
    cap = expiry_cap(law, sure)
    assert cap == 0 or law.more_than(cap - 1) >= sure - 1e-11
    assert law.more_than(cap) < sure


def test_a_standby_minimum_stands_above_the_cap() -> None:
    held = level_held(forecast=0, standby=2, cap=0)
    assert (held.level, held.ceiling, held.is_capped) == (2, 2, False)
    held = level_held(forecast=30, standby=2, cap=12)
    assert (held.level, held.ceiling, held.is_capped) == (12, 12, True)
    assert level_held(5).ceiling is None


@given(st.integers(0, 200), st.integers(-20, 220), rules, st.integers(0, 250), st.integers(0, 250))
def test_a_cap_never_raises_an_order(
    level: int, at: int, rule: OrderRule, one: int, other: int
) -> None:
    low, high = sorted((one, other))
    strict, loose, free = (order_quantity(level, at, rule, cap).units for cap in (low, high, None))
    assert strict <= loose <= free


@given(st.integers(0, 200), st.integers(-20, 220), rules, st.none() | st.integers(0, 250))
def test_an_order_is_what_the_supplier_sells_and_reaches_what_it_may(
    level: int, at: int, rule: OrderRule, cap: int | None
) -> None:
    found = order_quantity(level, at, rule, cap)
    assert found.units % rule.pack == 0
    assert found.units == 0 or found.units >= rule.least
    assert (found.units > 0) == (found.needed > 0)
    if cap is None:
        assert at + found.units >= level
    elif found.units > in_packs(max(rule.least, 1), rule.pack):
        assert at + found.units <= cap


def test_more_is_bought_where_it_costs_no_more() -> None:
    rule = OrderRule(10, 0, (Break(1, 100), Break(50, 80)))
    assert [order_quantity(n, 0, rule).units for n in (30, 40, 50)] == [30, 50, 50]
    assert order_quantity(40, 0, rule).reasons == ("50 cost no more than 40",)
    assert order_quantity(40, 0, rule, cap=45).units == 40
    assert price_of(5, (Break(10, 90),)) == 90


def test_a_position_below_nothing_is_filled_from_there() -> None:
    assert position(usable=0, on_order=0, reserved=3) == -3
    assert order_quantity(5, -3).units == 8


def test_the_chances_of_the_page_are_those_of_the_law() -> None:
    law = of_chances([0.25, 0.25, 0.5])
    assert [chance_short(law, at) for at in (-1, 0, 1, 2)] == [1, 0.75, 0.5, 0]
    assert [chance_last_expires(law, at) for at in (0, 1, 2, 3)] == [0, 0.25, 0.5, 1]


@given(laws, st.floats(0.1, 5), st.floats(0.1, 20))
def test_no_other_quantity_is_cheaper_than_the_newsvendors(
    law: Distribution, h: float, p: float
) -> None:
    best, cost = newsvendor(law, h, p)
    for other in (best - 2, best - 1, best + 1, best + 2):
        assert other < 0 or newsvendor_cost(law, other, h, p) >= cost - 1e-9


@pytest.mark.parametrize(("mean", "level"), [(4, 8), (9, 14)])
def test_poisson_levels_at_95_in_100(mean: int, level: int) -> None:
    law = distribution_of(poisson(mean))
    assert order_up_to(law, 0.95) == level
    assert law.at_most(level - 1) < 0.95 <= law.at_most(level)
