"""A fixed sum: never overspent, never above the bound, near the best by brute force."""

from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.forecasts import Offer
from stockbook.forecast.budget import offer, spend
from stockbook.forecast.pgf import distribution_of, poisson

some_offers = st.lists(
    st.tuples(
        st.lists(st.floats(0, 9), min_size=1, max_size=3).map(lambda g: sorted(g, reverse=True)),
        st.integers(1, 9),
    ),
    min_size=1, max_size=4,
).map(
    lambda given: [
        Offer(f"I{n}", tuple(gains), (cost,) * len(gains)) for n, (gains, cost) in enumerate(given)
    ]
)  # fmt: skip


def best(offers: list[Offer], budget: int) -> float:
    """The most that any choice gains."""
    choices = product(*(range(len(one.gains) + 1) for one in offers))
    return max(
        sum(sum(one.gains[:n]) for one, n in zip(offers, choice, strict=True))
        for choice in choices
        if sum(sum(one.costs[:n]) for one, n in zip(offers, choice, strict=True)) <= budget
    )


@given(some_offers, st.integers(0, 60))
def test_a_sum_is_never_overspent_and_the_best_lies_within_the_gap(
    offers: list[Offer], budget: int
) -> None:
    found = spend(offers, budget)
    assert found.cost <= budget
    assert found.cost == sum(sum(one.costs[: found.steps[one.item]]) for one in offers)
    assert found.gain == pytest.approx(
        sum(sum(one.gains[: found.steps[one.item]]) for one in offers)
    )
    assert found.gain - 1e-9 <= best(offers, budget) <= found.bound + 1e-9
    assert found.gap == pytest.approx(max(found.bound - found.gain, 0))


@given(some_offers)
def test_a_sum_for_everything_buys_everything_without_a_gap(offers: list[Offer]) -> None:
    found = spend(offers, 10**6)
    assert found.steps == {one.item: len(one.gains) for one in offers}
    assert found.gap == 0


@given(st.floats(0.1, 40), st.integers(0, 20), st.integers(1, 60), st.integers(1, 12))
def test_packs_of_an_order_gain_less_and_less(mean: float, at: int, units: int, pack: int) -> None:
    demand = distribution_of(poisson(mean))
    found = offer("A", demand, at, units, pack, 7)
    worth = [gain / cost for gain, cost in zip(found.gains, found.costs, strict=True)]
    assert all(a >= b - 1e-12 for a, b in pairwise(worth))
    assert sum(found.costs) == 7 * units
    served = demand.expected_beyond(at) - demand.expected_beyond(at + units)
    assert sum(found.gains) == pytest.approx(served, abs=1e-9)


def test_nothing_offered_and_nothing_to_spend() -> None:
    assert spend([], 100).gain == 0
    assert spend([Offer("A", (), ())], 100).steps == {"A": 0}
    none = spend([Offer("A", (5.0,), (2,))], 0)
    assert (none.steps, none.gain, none.bound) == ({"A": 0}, 0, 0)
    assert spend([Offer("GIFT", (5.0,), (0,))], 0).gain == 5
