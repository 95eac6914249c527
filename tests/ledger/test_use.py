"""Recent use of an item: what cases took, minus what came back."""

import pytest
from desk import Desk

from ledger.books import opened, record
from stockbook.domain.facts import PastUse
from stockbook.domain.leftover import RecentUse
from stockbook.ledger.use import recent_use


def use(desk: Desk, item: str = "KNIFE", day: str = "2027-03-10", days: int = 10) -> RecentUse:
    with opened(desk.path) as book:
        return recent_use(book.db, {item}, day, days)[item]


def test_used_and_wasted_on_cases_counts_and_what_came_back_does_not(desk: Desk) -> None:
    """C1 uses two of its three VISC and wastes one; C2 returns its two."""
    desk.ok("finish C1 --as-kit --by NU --extra VISC 1 --wasted VISC 1 dropped")
    desk.ok("finish C2 --as-kit --by NU --returned VISC 2")
    assert use(desk, "VISC") == RecentUse(3, 10)


def test_what_is_discarded_from_a_shelf_or_moved_is_no_use(desk: Desk) -> None:
    desk.ok("discard DYE 2 --from STORE --reason expired --by KE")
    desk.ok("move DYE 1 --from STORE --to OT1 --by KE")
    assert use(desk, "DYE") == RecentUse(0, 10)


def test_a_reversed_finish_is_no_use_even_when_it_lies_outside_the_days(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.ok("finish C1 --as-kit --by NU")
    number = desk.last()[0]
    desk.ok(f"reverse {number} --reason wrong-case --by NU", today="2027-03-20")
    assert use(desk, day="2027-03-10") == RecentUse(0, 10)
    assert use(desk, day="2027-03-25") == RecentUse(0, 10)


@pytest.mark.parametrize(("days", "used"), [(9, 0), (10, 1), (11, 1)])
def test_the_days_end_with_the_day_itself(desk: Desk, days: int, used: int) -> None:
    """Ten days through 10 March begin on the 1st, when the case was operated."""
    desk.ok("finish C1 --as-kit --by NU")
    assert use(desk, days=days) == RecentUse(used, days)


def test_a_young_book_has_no_more_days_than_it_has_had(desk: Desk) -> None:
    """The opening stock came on 1 February: 38 days through 10 March."""
    desk.ok("finish C1 --as-kit --by NU")
    assert use(desk, days=90) == RecentUse(1, 38)


@pytest.mark.parametrize(("days", "past"), [(68, False), (69, True), (70, True)])
def test_whole_months_of_past_use_before_the_book_count(
    desk: Desk, days: int, *, past: bool
) -> None:
    """69 days through 10 March begin on 1 January; February is the book's own."""
    facts = (PastUse("KNIFE/2027-01", "KNIFE", "2027-01", 31),
             PastUse("KNIFE/2027-02", "KNIFE", "2027-02", 99))  # fmt: skip
    record(desk, facts=facts, kind="facts")
    assert use(desk, days=days) == (RecentUse(31, 69) if past else RecentUse(0, 38))
