"""A site's calendar of what is planned otherwise than usual: outreach camps, closures, targets."""

from collections.abc import Sequence
from dataclasses import dataclass

from stockbook.domain.days import days_between


@dataclass(frozen=True, slots=True)
class PlannedSpan:
    """So many cases of a category are planned over these days together; none at all: closed."""

    first_day: str
    last_day: str
    category: str
    cases: int

    @property
    def days(self) -> int:
        """How many days it has."""
        return days_between(self.first_day, self.last_day) + 1


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
