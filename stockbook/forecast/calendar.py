"""The plan of a calendar, day by day."""

from collections.abc import Sequence

from stockbook.domain.calendar import PlannedSpan


def planned_on(plan: Sequence[PlannedSpan], category: str, day: str) -> float | None:
    """Cases of a category planned on a day, spread evenly over its span; none: as usual.

    >>> camp = PlannedSpan("2027-03-01", "2027-03-04", "free", 40)
    >>> planned_on([camp], "free", "2027-03-02"), planned_on([camp], "paid", "2027-03-02")
    (10.0, None)
    """
    spans = [
        one for one in plan if one.category == category and one.first_day <= day <= one.last_day
    ]
    return sum(one.cases / one.days for one in spans) if spans else None
