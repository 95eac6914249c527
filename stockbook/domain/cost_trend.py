"""Months beside one another: what each month's cost page says, from one reading of the book."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from stockbook.domain.amounts import half_even
from stockbook.domain.costs import CategoryCost, PeriodLine, category_cost
from stockbook.domain.days import last_day_of_month, months_from, months_through
from stockbook.domain.places import COMMON

MONTHS = 12


class MonthLine(NamedTuple):
    """A sum of movements booked in a month: one case (or none), category and kind of end."""

    month: str
    case: str | None
    category: str
    wasted: bool
    value: int


@dataclass(frozen=True, slots=True)
class MonthCost:
    """A month's categories as its own page has them; values in minor units."""

    month: str
    first_day: str
    last_day: str
    """The month's, or the day that the trend ends with."""
    categories: tuple[CategoryCost, ...]

    @property
    def cases(self) -> int:
        """Cases first used in the month."""
        return sum(one.cases for one in self.categories)

    @property
    def used(self) -> int:
        """What was used, by cases and in common."""
        return sum(one.used for one in self.categories)

    @property
    def wasted(self) -> int:
        """What was wasted."""
        return sum(one.wasted for one in self.categories)

    @property
    def earlier_cases(self) -> int:
        """What was booked of earlier months' cases."""
        return sum(one.earlier_cases for one in self.categories)

    @property
    def total(self) -> int:
        """All value that ended."""
        return sum(one.total for one in self.categories)

    @property
    def mean(self) -> int | None:
        """What a case cost on average; none where there was none."""
        own = sum(one.used for one in self.categories if one.category != COMMON)
        return half_even(own, self.cases) if self.cases else None


@dataclass(frozen=True, slots=True)
class CostTrend:
    """Months up to a day, the earliest first."""

    last_day: str
    months: tuple[MonthCost, ...]
    last_entry: int
    checksum: str

    @property
    def categories(self) -> tuple[str, ...]:
        """Categories that had a case in any of the months, in the site's order."""
        names = {c.category: None for month in self.months for c in month.categories if c.cases}
        order = [c.category for month in self.months[-1:] for c in month.categories]
        return tuple(name for name in order if name in names)

    def mean_of(self, category: str) -> tuple[int | None, ...]:
        """What a case of the category cost on average, month by month."""
        return tuple(
            next((one.mean for one in month.categories if one.category == category), None)
            for month in self.months
        )


def months_of(last_day: str, begins: str, count: int = MONTHS) -> list[tuple[str, str, str]]:
    """The calendar months that end with a day: name, first and last day of each.

    The last one is cut at the day; months before the book begins are left out.

    >>> months_of("2027-02-20", "2027-01-30")
    [('2027-01', '2027-01-01', '2027-01-31'), ('2027-02', '2027-02-01', '2027-02-20')]
    """
    names = months_from(months_through(last_day, count), count)
    spans = [(n, f"{n}-01", last_day_of_month(int(n[:4]), int(n[5:]))) for n in names]
    return [(n, first, min(last, last_day)) for n, first, last in spans if last >= begins]


def month_costs(
    spans: Sequence[tuple[str, str, str]], names: Sequence[str], lines: Iterable[MonthLine],
    first_used: Callable[[set[str], str, str], Mapping[str, str]],
) -> tuple[MonthCost, ...]:  # fmt: skip
    """Every month by category; `first_used` asks about cases and a month's two days."""
    by_month: dict[str, dict[str, list[PeriodLine]]] = defaultdict(lambda: defaultdict(list))
    for line in lines:
        own = PeriodLine(line.case, line.category, "", line.wasted, line.value)
        by_month[line.month][line.category].append(own)
    found = []
    for month, first, last in spans:
        own_lines = by_month[month]
        cases = {line.case for part in own_lines.values() for line in part if line.case}
        began = first_used(cases, first, last)
        costs = (category_cost(n, own_lines[n], began, (first, last), 0) for n in names)
        found.append(MonthCost(month, first, last, tuple(costs)))
    return tuple(found)
