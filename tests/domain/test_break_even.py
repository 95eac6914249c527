"""At the volume found the mix bears the fixed cost to the last fraction."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.break_even import Earner, break_even, carried_by_one, payers_for_one
from stockbook.errors import InputError

MONEY = st.integers(0, 10**7)
MIXES = st.lists(st.tuples(st.integers(1, 50), MONEY, MONEY), min_size=1, max_size=5)


def mix_of(rows: list[tuple[int, int, int]]) -> list[Earner]:
    return [Earner(str(n), *row) for n, row in enumerate(rows)]


@given(st.integers(0, 10**10), MIXES)
def test_the_result_at_the_volume_found_is_nothing(
    fixed: int, rows: list[tuple[int, int, int]]
) -> None:
    mix = mix_of(rows)
    found = break_even(fixed, mix)
    if found is None:
        assert sum(one.weight * one.contribution for one in mix) <= 0
        return
    earned = sum(n * one.contribution for n, one in zip(found.cases, mix, strict=True))
    assert earned == fixed
    assert found.whole_units - 1 < found.composite_units <= found.whole_units


@given(MONEY, MONEY, st.integers(0, 10**5), MONEY)
def test_cases_carried_by_one_payer_and_payers_for_one_case_are_inverse(
    price: int, cost: int, free_price: int, free_cost: int
) -> None:
    paid, free = Earner("paid", 1, price, cost), Earner("free", 1, free_price, free_cost)
    carried, payers = carried_by_one(paid, free), payers_for_one(paid, free)
    if carried is None:
        assert payers == 0
    elif carried == 0:
        assert payers is None
    else:
        assert carried * payers == 1
        assert carried * free.contribution + paid.contribution == Fraction(0)


def test_a_mix_of_nothing_and_a_fixed_cost_below_nothing_are_refused() -> None:
    for fixed, rows in ((-1, [(1, 2, 1)]), (1, [(0, 2, 1)]), (1, [(-1, 2, 1), (5, 2, 1)])):
        with pytest.raises(InputError, match="break-even"):
            break_even(fixed, mix_of(rows))


def test_a_tariff_below_cost_never_breaks_even() -> None:
    assert break_even(1, [Earner("paid", 1, 10, 10)]) is None
