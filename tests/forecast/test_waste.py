"""What is left of lots at their expiry: exact, and as a simulation finds it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockbook.forecast.distributions import Distribution, always
from stockbook.forecast.pgf import distribution_of, negative_binomial, poisson
from stockbook.forecast.waste import expected_waste

RUNS = 40_000
some_lots = st.lists(
    st.tuples(st.integers(0, 30), st.floats(0.1, 30), st.floats(1, 3)), min_size=1, max_size=4
)


def laws(given: list[tuple[int, float, float]]) -> tuple[list[int], list[Distribution]]:
    lots = [lot for lot, _, _ in given]
    return lots, [distribution_of(negative_binomial(m, m * ratio)) for _, m, ratio in given]


def simulated(lots: list[int], between: list[Distribution], seed: int) -> np.ndarray:
    """Units left of each lot in many runs, every lot walked by itself."""
    rng = np.random.default_rng(seed)
    left = np.tile(np.array(lots), (RUNS, 1))
    waste = np.zeros_like(left)
    for k, law in enumerate(between):
        wanted = rng.choice(len(law.chances), RUNS, p=law.chances)
        for lot in range(k, len(lots)):
            used = np.minimum(left[:, lot], wanted)
            left[:, lot] -= used
            wanted = wanted - used
        waste[:, k] = left[:, k]
    return waste


@given(some_lots, st.integers(0, 2**32 - 1))
@settings(max_examples=15, derandomize=True)
def test_it_lies_within_four_standard_errors_of_a_simulation(
    lots: list[tuple[int, float, float]], seed: int
) -> None:
    sizes, between = laws(lots)
    runs = simulated(sizes, between, seed)
    error = runs.std(axis=0) / RUNS**0.5
    gap = np.abs(runs.mean(axis=0) - expected_waste(sizes, between))
    assert (gap <= 4 * error + 10 * max(sizes) / RUNS).all()


@given(some_lots)
def test_what_is_wasted_is_never_more_than_there_is(lots: list[tuple[int, float, float]]) -> None:
    sizes, between = laws(lots)
    waste = expected_waste(sizes, between)
    assert all(-1e-9 <= left <= size + 1e-9 for left, size in zip(waste, sizes, strict=True))


def test_without_demand_everything_is_left_and_with_much_nothing() -> None:
    assert expected_waste([3, 2], [always(0), always(0)]) == [3, 2]
    assert expected_waste([3, 2], [always(5), always(0)]) == [0, 0]
    assert expected_waste([3, 2], [always(4), always(0)]) == [0, 1]
    assert expected_waste([], []) == []


def test_one_lot_is_the_loss_of_its_demand() -> None:
    law = distribution_of(poisson(20))
    assert expected_waste([25], [law]) == pytest.approx([law.expected_left(25)])
