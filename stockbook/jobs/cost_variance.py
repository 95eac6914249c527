"""A period's cases beside their standard kits, and one case line by line."""

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, field

from stockbook.domain import texts
from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.cost_groups import WAYS
from stockbook.domain.facts import Case
from stockbook.domain.variance import (
    Amounts,
    CaseVariance,
    PeriodVariance,
    Standard,
    grouped_variances,
    split_of,
)
from stockbook.jobs.cost_groups import group_names
from stockbook.jobs.standards import Standards, standard_prices
from stockbook.ledger import money
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry
from stockbook.ledger.variance import ended_items

WAYS_SHOWN = tuple(way for way in WAYS if way != "surgeon")
"""Standards judge kits and prices, not people."""

BATCH = 2000
"""So many cases are looked up at once."""


@dataclass(slots=True)
class Ended:
    """What one case used of each item in a period, in which category, and what was wasted on it."""

    code: str
    used: dict[str, Amounts] = field(default_factory=dict)
    category: str = ""
    wasted: int = 0

    def take(self, item: str, place: str, quantity: int, value: int) -> None:
        """One item at one place; the category is where units of it are."""
        if place.startswith("waste/"):
            self.wasted += value
        elif quantity or value:
            before = self.used.get(item)
            both = (before.quantity + quantity, before.value + value) if before else None
            self.used[item] = Amounts(*(both or (quantity, value)))
            if quantity > 0 or not self.category:
                self.category = place.partition("/")[2]


def cost_variance(
    book: Book, first_day: str, last_day: str, by: str = "category", as_of: AsOf | None = None
) -> PeriodVariance:
    """Patients' cases first used in the period beside the kits in force for them."""
    way = texts.one_of(by, WAYS_SHOWN, "--per")
    last_day = period_end(first_day, last_day, as_of)
    with reading_as_of(book, as_of if as_of and as_of.entry else None) as db:
        standards = Standards(db, standard_prices(db, first_day, last_day))
        found: list[CaseVariance] = []
        without: list[str] = []
        wanted: set[str] = set()
        for case, group, ended in _counted(db, (first_day, last_day), way):
            standard = standards.of(case)
            if standard is None:
                without.append(case.code)
                continue
            wanted |= ended.used.keys()
            found.append(_beside(case, group, standard, ended, standards))
        number, checksum, _, _ = last_entry(db)
    return PeriodVariance(
        way, first_day, last_day, *grouped_variances(found), tuple(found), tuple(without),
        tuple(sorted((wanted | standards.items) - standards.prices.keys())), number, checksum,
    )  # fmt: skip


def _counted(
    db: sqlite3.Connection, period: tuple[str, str], way: str
) -> Iterator[tuple[Case, str, Ended]]:
    """Every case that the period counts, with its group and what it used, by code."""
    waiting = [Ended("")]
    for code, item, place, quantity, value in ended_items(db, *period):
        if waiting[-1].code != code:
            if len(waiting) == BATCH:
                yield from _looked_up(db, waiting, period, way)
                waiting = []
            waiting.append(Ended(code))
        waiting[-1].take(item, place, quantity, value)
    yield from _looked_up(db, waiting, period, way)


def _looked_up(
    db: sqlite3.Connection, waiting: list[Ended], period: tuple[str, str], way: str
) -> Iterator[tuple[Case, str, Ended]]:
    ended = {one.code: one for one in waiting if one.used}
    began = money.first_used(db, ended, *period) if ended else {}
    counted = [code for code, day in began.items() if period[0] <= day <= period[1]]
    cases = all_of(db, Case, code=counted, kind="patient") if counted else []
    groups = group_names(db, cases, way)
    for case in cases:
        one = ended[case.code]
        yield case, one.category if way == "category" else groups[case.code], one


def _beside(
    case: Case, group: str, standard: Standard, ended: Ended, standards: Standards
) -> CaseVariance:
    split = split_of(standard, ended.used, standards.is_lens, standards.prices)
    return CaseVariance(
        case.code, group, case.procedure or "", ended.category, standard.cost,
        sum(one.value for one in ended.used.values()), split, ended.wasted,
    )  # fmt: skip
