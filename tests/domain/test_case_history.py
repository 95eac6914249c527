"""The site's own cases as counts: weeks, weekdays, notice, amounts."""

from collections import Counter

import pytest

from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.case_history import (
    DatedCase,
    amounts_taken,
    by_weekday,
    cases_by_week,
    monday_of,
    notice_of,
    weeks_between,
)
from stockbook.forecast.calendar import planned_on


def case(day: str, known_on: str = "2027-01-01", category: str = "paid") -> DatedCase:
    return DatedCase("C", f"PHACO/{category}", category, day, known_on)


@pytest.mark.parametrize("day", ["2027-03-01", "2027-03-04", "2027-03-07"])
def test_a_week_begins_on_monday(day: str) -> None:
    assert monday_of(day) == "2027-03-01"


@pytest.mark.parametrize(
    ("first", "last", "count"),
    [
        ("2027-03-01", "2027-03-01", 0),
        ("2027-03-01", "2027-03-08", 1),
        ("2027-03-09", "2027-03-01", 0),
    ],
)
def test_whole_weeks_end_before_the_week_that_is_not_over(
    first: str, last: str, count: int
) -> None:
    assert len(weeks_between(first, last)) == count


def test_weeks_without_a_case_count_as_none() -> None:
    weeks = weeks_between("2027-02-15", "2027-03-08")
    cases = [
        case("2027-02-16"),
        case("2027-02-17"),
        case("2027-03-01"),
        case("2027-03-01", category="free"),
    ]
    assert cases_by_week(cases, "paid", weeks) == [2, 0, 1]


def test_weekdays_count_from_monday() -> None:
    assert by_weekday([case("2027-03-01"), case("2027-03-03")]) == [1, 0, 1, 0, 0, 0, 0]


@pytest.mark.parametrize(
    ("known", "weeks"),
    [("2027-03-03", 0), ("2027-03-02", 0), ("2027-03-01", 1), ("2027-02-23", 1),
     ("2027-02-22", 2), ("2027-02-15", 3)],
)  # fmt: skip
def test_notice_is_counted_from_the_first_day_of_the_week_of_the_list(
    known: str, weeks: int
) -> None:
    found = notice_of([case("2027-03-03", known)])
    assert found == [0] * weeks + [1]


def test_amounts_count_cases_and_leave_out_what_came_back_whole() -> None:
    taken = {("C1", "A"): 2, ("C2", "A"): 1, ("C3", "A"): 0, ("C9", "A"): 1}
    kinds = {"C1": "K", "C2": "K", "C3": "K"}
    assert amounts_taken(taken, kinds) == {("K", "A"): Counter({2: 1, 1: 1})}


def test_a_closure_is_no_case_and_spans_add_up() -> None:
    closed = PlannedSpan("2027-03-01", "2027-03-02", "paid", 0)
    camp = PlannedSpan("2027-03-02", "2027-03-03", "paid", 10)
    assert planned_on([closed], "paid", "2027-03-01") == 0
    assert planned_on([closed, camp], "paid", "2027-03-02") == 5
    assert planned_on([closed, camp], "paid", "2027-03-04") is None
