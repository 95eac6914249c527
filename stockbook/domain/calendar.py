"""A site's calendar of what is planned otherwise than usual: outreach camps, closures, targets."""

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
