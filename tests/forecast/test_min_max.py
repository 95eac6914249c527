"""The best minimum and maximum, and the best reorder point, beside every other pair."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.forecast.distributions import always, of_chances, together
from stockbook.forecast.min_max import Costs, best_min_max, best_reorder_point

chances = st.lists(st.integers(0, 9), min_size=2, max_size=5).filter(lambda few: any(few[1:]))
costs = st.builds(
    Costs, st.floats(0, 30), st.floats(0.2, 5), st.floats(0.2, 20)
)  # fmt: skip


def mean_cost(weights: list[int], lead: list[int], of: Costs, order_at: int, up_to: int) -> float:
    """The mean cost of a period from the long-run share of each position, by repeated steps."""
    period, covered = of_chances(weights), together([of_chances(weights), of_chances(lead)])
    steps = range(len(weights))
    renewed = {up_to: 1.0}
    visits: dict[int, float] = {}
    for position in range(up_to, order_at, -1):
        share = renewed.get(position, 0.0) / (1 - period.chance_of(0))
        visits[position] = share
        for step in steps[1:]:
            below = position - step
            renewed[below] = renewed.get(below, 0.0) + share * period.chance_of(step)
    spent = sum(share * of.of_level(covered, position) for position, share in visits.items())
    return (of.order + spent) / sum(visits.values())


@given(chances, chances, costs)
def test_no_other_minimum_and_maximum_cost_less(
    weights: list[int], lead: list[int], of: Costs
) -> None:
    period, covered = of_chances(weights), together([of_chances(weights), of_chances(lead)])
    best = best_min_max(period, covered, of)
    own = mean_cost(weights, lead, of, best.order_at, best.up_to)
    assert best.cost == pytest.approx(own)
    for order_at in range(best.order_at - 3, best.order_at + 4):
        for up_to in range(order_at + 1, best.up_to + 4):
            assert best.cost <= mean_cost(weights, lead, of, order_at, up_to) + 1e-9


@given(chances, st.floats(0.1, 5), costs)
def test_no_other_reorder_point_and_quantity_cost_less(
    weights: list[int], use: float, of: Costs
) -> None:
    lead = of_chances(weights)

    def cost(order_at: int, quantity: int) -> float:
        levels = range(order_at + 1, order_at + quantity + 1)
        return (of.order * use + sum(of.of_level(lead, level) for level in levels)) / quantity

    best = best_reorder_point(lead, use, of)
    assert best.cost == pytest.approx(cost(best.order_at, best.quantity))
    for order_at in range(best.order_at - 4, best.order_at + 5):
        for quantity in range(1, best.quantity + 5):
            assert best.cost <= cost(order_at, quantity) + 1e-9


def test_without_demand_no_pair_is_the_best() -> None:
    with pytest.raises(ValueError, match="without any demand"):
        best_min_max(always(0), always(0), Costs(1, 1, 1))


@pytest.mark.parametrize("wrong", [(-1, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_a_cost_below_nothing_is_refused(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="costs"):
        Costs(*wrong)
