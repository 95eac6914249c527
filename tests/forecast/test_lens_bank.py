"""The bank: greedy is the best there is, more lenses never serve worse, money is never exceeded."""

import math
import random
from collections.abc import Iterator, Sequence
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockbook.forecast.lens_bank import (
    NOTHING,
    all_served_exactly,
    all_served_poisson,
    beside_spare,
    best_bank,
    best_for_budget,
    chances_of,
    chances_of_more,
    expected_served,
)
from stockbook.forecast.lens_shares import published_shape

ALIKE = 1e-9
rates_of_four = st.lists(st.floats(0.02, 6), min_size=1, max_size=4)
spares = st.booleans()


def served(rates: Sequence[float], bank: Sequence[int], *, spare: bool) -> float:
    return expected_served(rates, beside_spare(bank) if spare else bank)


def banks(cells: int, size: int) -> Iterator[tuple[int, ...]]:
    """Every way to lay at most so many lenses into so many cells."""
    return (b for b in product(range(size + 1), repeat=cells) if sum(b) <= size)


@given(rates=rates_of_four, size=st.integers(0, 7), spare=spares)
@settings(max_examples=60)
def test_the_best_bank_is_what_trying_every_bank_finds(
    rates: list[float], size: int, *, spare: bool
) -> None:
    bank = best_bank(rates, size, spare=spare)
    assert sum(bank) <= size
    best = max(served(rates, one, spare=spare) for one in banks(len(rates), size))
    assert served(rates, bank, spare=spare) == pytest.approx(best, abs=ALIKE)


@given(
    rates_of_four.flatmap(lambda rates: st.tuples(
        st.just(rates), st.lists(st.integers(1, 5), min_size=len(rates), max_size=len(rates)),
        st.lists(st.integers(0, 2), min_size=len(rates), max_size=len(rates)),
    )),
    st.integers(0, 15),
)  # fmt: skip
@settings(max_examples=60)
def test_a_budget_is_used_within_one_lenss_price_of_the_best(
    given_: tuple[list[float], list[int], list[int]], budget: int
) -> None:
    """Never more is spent; nothing that gains is left to be paid; all but one price is best used.

    No way to spend a budget that is smaller by the dearest lens serves more.
    """
    rates, prices, stock = given_
    added = best_for_budget(rates, prices, budget, stock)
    spent = sum(a * p for a, p in zip(added, prices, strict=True))
    assert spent <= budget
    wanted = [len(chances_of_more(r)) > s + a for r, s, a in zip(rates, stock, added, strict=True)]
    assert budget - spent < min([p for p, w in zip(prices, wanted, strict=True) if w] or [99])
    found = expected_served(rates, [s + a for s, a in zip(stock, added, strict=True)])
    small = budget - max(prices)
    tried = [
        expected_served(rates, [s + a for s, a in zip(stock, more, strict=True)])
        for more in banks(len(rates), max(0, small))
        if sum(a * p for a, p in zip(more, prices, strict=True)) <= small
    ]
    assert found >= max(tried, default=0) - ALIKE


@given(rates_of_four, st.integers(0, 30), st.integers(1, 4))
def test_a_budget_with_a_spare_is_never_exceeded_and_leaves_no_lens_alone(
    rates: list[float], budget: int, price: int
) -> None:
    prices: list[int | None] = [price] * len(rates)
    added = best_for_budget(rates, prices, budget, [0] * len(rates), spare=True)
    spent = price * sum(added)
    assert spent <= budget
    assert 1 not in added, "a lens that is only a spare serves nobody"
    wanted = any(len(chances_of_more(r)) > a - 1 for r, a in zip(rates, added, strict=True) if a)
    assert budget - spent < (price if wanted else 2 * price) or all(added)


def test_at_one_price_a_budget_buys_the_best_bank() -> None:
    rates = [20 * share for share in published_shape(range(1000, 3050, 50), 2100, 300)]
    added = best_for_budget(rates, [7] * 41, 7 * 40 + 6, [0] * 41)
    assert added == best_bank(rates, 40)


def test_a_lens_without_a_price_is_not_bought() -> None:
    assert best_for_budget([5, 1], [None, 2], 5, [0, 0]) == [0, 2]


def test_where_money_reaches_for_a_pair_alone_a_pair_is_bought() -> None:
    assert best_for_budget([6.0], [10], 25, [0], spare=True) == [2]
    assert best_for_budget([6.0], [10], 19, [0], spare=True) == [0]


shelves = st.lists(st.tuples(st.floats(0.01, 1), st.integers(0, 4)), min_size=1, max_size=6)


@given(cells=shelves, patients=st.integers(1, 25), where=st.integers(0, 5), spare=spares)
def test_a_lens_more_never_lowers_a_chance(
    cells: list[tuple[float, int]], patients: int, where: int, *, spare: bool
) -> None:
    whole = sum(share for share, _ in cells)
    shares, stock = [share / whole for share, _ in cells], [lenses for _, lenses in cells]
    more = list(stock)
    more[where % len(more)] += 1
    before = chances_of(shares, stock, patients, spare=spare)
    after = chances_of(shares, more, patients, spare=spare)
    assert after.finds >= before.finds
    assert after.served >= before.served
    assert after.all_exactly >= before.all_exactly
    assert after.all_poisson >= before.all_poisson


@given(shelves, st.integers(1, 25))
def test_with_a_spare_no_chance_is_higher_than_without(
    cells: list[tuple[float, int]], patients: int
) -> None:
    whole = sum(share for share, _ in cells)
    shares, stock = [share / whole for share, _ in cells], [lenses for _, lenses in cells]
    plain, spare = (chances_of(shares, stock, patients, spare=s) for s in (False, True))
    assert spare.finds <= plain.finds
    assert spare.served <= plain.served
    assert spare.all_exactly <= plain.all_exactly
    assert spare.all_poisson <= plain.all_poisson


@given(shelves, st.integers(1, 4))
def test_exactly_so_many_is_what_trying_every_list_finds(
    cells: list[tuple[float, int]], patients: int
) -> None:
    whole = sum(share for share, _ in cells)
    shares, stock = [share / whole for share, _ in cells], [lenses for _, lenses in cells]
    chance = 0.0
    for needed in product(range(len(shares)), repeat=patients):
        if all(needed.count(cell) <= lenses for cell, lenses in enumerate(stock)):
            chance += math.prod(shares[cell] for cell in needed)
    assert all_served_exactly(shares, stock, patients) == pytest.approx(chance, abs=ALIKE)


def test_a_simulation_finds_the_same_within_four_standard_errors() -> None:
    grid = range(1000, 3050, 50)
    shares = published_shape(grid, 2150, 198)
    bank = best_bank([15 * share for share in shares], 70)
    exact = all_served_exactly(shares, bank, 15)
    dice, runs = random.Random(7), 4_000  # noqa: S311 a simulation, no secret
    full = 0
    for _ in range(runs):
        needed = dice.choices(range(len(shares)), shares, k=15)
        full += all(needed.count(cell) <= bank[cell] for cell in set(needed))
    assert abs(full / runs - exact) <= 4 * math.sqrt(exact * (1 - exact) / runs)


@given(st.floats(0.001, 60))
def test_chances_of_more_fall_and_sum_to_the_rate(rate: float) -> None:
    found = chances_of_more(rate)
    assert found == sorted(found, reverse=True)
    assert sum(found) == pytest.approx(rate, rel=1e-9, abs=1e-9)
    assert found[0] == pytest.approx(-math.expm1(-rate), rel=1e-12)


def test_what_nobody_wants_is_not_added() -> None:
    bank = best_bank([0.5, 0.0], 1_000)
    assert bank[1] == 0
    assert sum(bank) < 30
    assert chances_of_more(0) == []
    assert NOTHING > 0


def test_an_empty_bank_serves_nobody_and_a_full_one_everybody() -> None:
    assert all_served_poisson([2.0], [0]) == pytest.approx(math.exp(-2))
    assert all_served_exactly([1.0], [0], 3) == 0
    assert all_served_exactly([0.5, 0.5], [3, 3], 3) == pytest.approx(1)
