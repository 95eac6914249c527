"""What will be left at its expiry: against a day-by-day simulation in exact fractions.

The rule (recent use a day, soonest expiry first) is common practice; there is no source to name.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.facts import Lot
from stockbook.domain.leftover import RecentUse, expected_left, left_over
from stockbook.domain.picking import ShelfRow

lots = st.lists(st.tuples(st.integers(-5, 60), st.integers(1, 200)), min_size=1, max_size=6).map(
    sorted
)
uses = st.builds(RecentUse, st.integers(0, 500), st.integers(1, 120))


def simulated(shelf: list[tuple[int, int]], use: RecentUse) -> list[Fraction]:
    """Every day its use is taken from what is in date, soonest expiry first."""
    left = [Fraction(steps) for _, steps in shelf]
    for day in range(61):
        wanted = Fraction(use.quantity, use.days)
        for number, (days_left, _) in enumerate(shelf):
            if days_left >= day:
                taken = min(wanted, left[number])
                left[number] -= taken
                wanted -= taken
    return left


@given(lots, uses)
def test_it_is_what_a_day_by_day_walk_leaves(shelf: list[tuple[int, int]], use: RecentUse) -> None:
    assert expected_left(shelf, use) == [round(part) for part in simulated(shelf, use)]


@given(lots, uses)
def test_never_more_than_there_is_never_less_than_nothing(
    shelf: list[tuple[int, int]], use: RecentUse
) -> None:
    left = expected_left(shelf, use)
    assert all(0 <= part <= steps for part, (_, steps) in zip(left, shelf, strict=True))


def test_the_expiry_day_is_a_day_of_use() -> None:
    """Ten a day: a lot of 10 that expires today is used up, one of 11 leaves one."""
    a_day = RecentUse(10, 1)
    assert expected_left([(0, 10)], a_day) == [0]
    assert expected_left([(0, 11)], a_day) == [1]
    assert expected_left([(0, 9)], a_day) == [0]


def test_what_is_past_its_day_is_left_whole_and_takes_no_use() -> None:
    assert expected_left([(-1, 5), (0, 10)], RecentUse(10, 1)) == [5, 0]


def test_a_later_lot_waits_for_the_sooner_one() -> None:
    assert expected_left([(9, 10), (9, 10)], RecentUse(1, 1)) == [0, 10]


def row(code: int, quantity: int, expires: str, value: int = 0) -> ShelfRow:
    lot = Lot(code, "VISC", f"V{code}", None, expires, "day", "2027-01-01", None, "bought", 999)
    return ShelfRow("STORE", lot, quantity, value or quantity * 100)


def left(rows: list[ShelfRow], use: RecentUse, least: int = 0) -> list[tuple[int | None, ...]]:
    found = left_over(rows, use, "2027-03-01", least)
    return [(one.row.lot.code, one.quantity, one.value) for one in found]


def test_lots_are_used_up_soonest_expiry_first_whatever_their_order() -> None:
    """One a day from 1 March on: 10 by the 10th, 10 more by the 20th."""
    rows = [row(2, 15, "2027-03-20"), row(1, 12, "2027-03-10"), row(3, 5, "9999-12-31")]
    assert left(rows, RecentUse(90, 90)) == [(1, 2, 200), (2, 5, 500)]


@pytest.mark.parametrize(("least", "units"), [(9, 11), (10, 12), (11, 12)])
def test_days_that_must_be_left_at_use_are_no_days_of_use(least: int, units: int) -> None:
    assert left([row(1, 12, "2027-03-10")], RecentUse(1, 1), least) == [(1, units, units * 100)]


@given(uses, st.integers(2800, 3100))
def test_use_a_month_is_the_exact_rate_rounded_once(use: RecentUse, month: int) -> None:
    exact = Fraction(use.quantity, use.days) * Fraction(month, 100)
    assert use.a_month(month) == (round(exact) if use.quantity else None)


def test_without_any_use_there_is_none_a_month() -> None:
    assert [RecentUse(*none).a_month(3040) for none in ((0, 90), (-1, 90), (5, 0))] == [None] * 3


def test_without_any_use_nothing_is_known_but_what_is_expired_is_left() -> None:
    rows = [row(1, 12, "2027-03-10"), row(2, 3, "2027-02-28")]
    for use in (RecentUse(0, 90), RecentUse(-1, 90), RecentUse(5, 0)):
        assert left(rows, use) == [(2, 3, 300), (1, None, None)]


def test_units_are_rounded_once_half_even_and_value_is_that_of_the_units() -> None:
    """Half a unit a day: of 3 worth 1.00 that serve one day 2.5 are left: 2 units, 0.67."""
    assert left([row(1, 3, "2027-03-01", 100)], RecentUse(1, 2)) == [(1, 2, 67)]
