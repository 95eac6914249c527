"""What will be left at its expiry: against a day-by-day simulation in exact fractions.

The rule (recent use a day, soonest expiry first) is common practice; there is no source to name.
"""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.leftover import RecentUse, expected_left

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
