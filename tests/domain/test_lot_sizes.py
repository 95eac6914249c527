"""Deliveries over time beside all others; items ordered together."""

from fractions import Fraction
from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.item_classes import counts_a_day
from stockbook.domain.joint_orders import JointItem, joint_orders
from stockbook.domain.lot_sizes import best_deliveries, cost_of_deliveries
from stockbook.domain.order_sizes import cost_of_ordering, economic_order_quantity
from stockbook.errors import InputError

PERIODS = st.lists(
    st.tuples(st.integers(0, 9), st.integers(0, 5)), min_size=1, max_size=5
)  # fmt: skip
COSTS = st.fractions(0, 40, max_denominator=4)


@given(PERIODS, COSTS, COSTS)
def test_no_other_deliveries_cost_less(
    periods: list[tuple[int, int]], order: Fraction, holding: Fraction
) -> None:
    needed, prices = [n for n, _ in periods], [p for _, p in periods]
    costs = {"order_cost": order, "holding_cost": holding, "prices": prices}
    best = best_deliveries(needed, **costs)  # type: ignore[arg-type]
    assert best.cost == cost_of_deliveries(best.quantities, needed, **costs)  # type: ignore[arg-type]
    for chosen in product((False, True), repeat=len(needed) - 1):
        starts = [0, *(n for n, start in enumerate(chosen, 1) if start), len(needed)]
        quantities = [0] * len(needed)
        for start, end in pairwise(starts):
            quantities[start] = sum(needed[start:end])
        assert best.cost <= cost_of_deliveries(quantities, needed, **costs)  # type: ignore[arg-type]


def test_nothing_needed_is_nothing_ordered() -> None:
    best = best_deliveries([0, 0], order_cost=5, holding_cost=1)
    assert (best.quantities, best.cost) == ((0, 0), 0)
    assert best_deliveries([], order_cost=5, holding_cost=1).quantities == ()


def test_deliveries_that_come_too_late_are_refused() -> None:
    with pytest.raises(InputError, match="period 1 lacks 2 units"):
        cost_of_deliveries([0, 5], [2, 3], order_cost=1, holding_cost=1)


@pytest.mark.parametrize(
    ("needed", "costs"), [([-1], {}), ([1], {"order_cost": -1}), ([1], {"prices": [1, 2]})]
)
def test_what_cannot_be_is_refused(needed: list[int], costs: dict[str, object]) -> None:
    with pytest.raises(InputError, match=r"wanted nothing below 0|for 1 periods"):
        best_deliveries(needed, **{"order_cost": 1, "holding_cost": 1, **costs})  # type: ignore[arg-type]


@given(st.integers(1, 50), st.integers(1, 9), st.integers(1, 500), st.integers(0, 50))
def test_one_item_alone_is_ordered_in_its_economic_quantity(
    order: int, holding: int, use: int, shared: int
) -> None:
    found = joint_orders([JointItem(order, holding, use)], shared_cost=shared)
    alone = economic_order_quantity(order_cost=order + shared, holding_cost=holding, use=use)
    assert found.multiples == (1,)
    assert float(found.cycle * use) == pytest.approx(float(alone))
    cost = cost_of_ordering(alone, order_cost=order + shared, holding_cost=holding, use=use)
    assert float(found.cost) == pytest.approx(float(cost))


def test_items_without_use_or_cost_are_refused() -> None:
    for wrong in ([], [JointItem(0, 1, 1)], [JointItem(1, 1, 0)]):
        with pytest.raises(InputError, match="joint orders"):
            joint_orders(wrong, shared_cost=1)


def test_a_class_without_a_cycle_is_refused() -> None:
    with pytest.raises(InputError, match="class B: wanted a cycle"):
        counts_a_day({"A": 1, "B": 2}, {"A": 1})
