"""The site's own cases as counts: how many, of which kind, on which days, known how early."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

DAYS_OF_WEEK = 7


@dataclass(frozen=True, slots=True)
class DatedCase:
    """A patient's case, its list's day and the day on which the book first knew it."""

    code: str
    kind: str
    """Procedure and category, as in the code of its kit."""
    category: str
    day: str
    known_on: str
    lens_model: str | None = None
    power: int | None = None


@dataclass(frozen=True, slots=True)
class History:
    """A year of the site's own cases, and the cases to come."""

    since: str
    done: tuple[DatedCase, ...]
    cancelled: int
    taken: Mapping[tuple[str, str], int]
    """By case and item: steps used and wasted."""
    listed: tuple[DatedCase, ...]
    """On lists from today on, not cancelled and not issued."""
    lenses: frozenset[str] = frozenset()
    """The items that are lenses."""


def monday_of(day: str) -> str:
    """The first day of a day's week.

    >>> monday_of("2027-03-04"), monday_of("2027-03-01")
    ('2027-03-01', '2027-03-01')
    """
    found = date.fromisoformat(day)
    return (found - timedelta(days=found.weekday())).isoformat()


def weeks_between(first: str, last: str) -> list[str]:
    """The Mondays of the whole weeks from a day's week up to, and without, another's.

    >>> weeks_between("2027-02-10", "2027-03-01")
    ['2027-02-08', '2027-02-15', '2027-02-22']
    """
    monday, end = date.fromisoformat(monday_of(first)), date.fromisoformat(monday_of(last))
    count = max(0, (end - monday).days // DAYS_OF_WEEK)
    return [(monday + timedelta(weeks=n)).isoformat() for n in range(count)]


def cases_by_week(cases: Iterable[DatedCase], category: str, weeks: Sequence[str]) -> list[int]:
    """How many cases of a category each week had."""
    found = Counter(monday_of(case.day) for case in cases if case.category == category)
    return [found[week] for week in weeks]


def by_weekday(cases: Iterable[DatedCase]) -> list[int]:
    """How many cases each day of the week had, Monday first.

    >>> by_weekday([DatedCase("C", "K", "paid", "2027-03-03", "2027-03-03")])
    [0, 0, 1, 0, 0, 0, 0]
    """
    found = Counter(date.fromisoformat(case.day).weekday() for case in cases)
    return [found[n] for n in range(DAYS_OF_WEEK)]


def notice_of(cases: Iterable[DatedCase]) -> list[float]:
    """Cases by how early they were known: in their week, by its first day, n weeks before.

    >>> case = DatedCase("C", "K", "paid", "2027-03-04", "2027-02-20")
    >>> notice_of([case])
    [0, 0, 1]
    """
    found: Counter[int] = Counter()
    for case in cases:
        ahead = (date.fromisoformat(monday_of(case.day)) - date.fromisoformat(case.known_on)).days
        found[0 if ahead < 0 else 1 + ahead // DAYS_OF_WEEK] += 1
    return [found[n] for n in range(max(found, default=-1) + 1)]


def amounts_taken(
    taken: Mapping[tuple[str, str], int], kinds: Mapping[str, str]
) -> dict[tuple[str, str], Counter[int]]:
    """By kind of case and item, how many cases took how much (steps above nothing).

    `taken` is by case and item, `kinds` the kind of each case.
    """
    found: dict[tuple[str, str], Counter[int]] = {}
    for (case, item), quantity in taken.items():
        if quantity > 0 and case in kinds:
            found.setdefault((kinds[case], item), Counter())[quantity] += 1
    return found
