"""What a case cost in full, and what a period's cases cost by category."""

import sqlite3
from collections import defaultdict

from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.costs import (
    CaseCost,
    CategoryCost,
    CostLine,
    Ended,
    PeriodCost,
    PeriodLine,
    category_cost,
)
from stockbook.domain.facts import OperatingList
from stockbook.domain.places import COMMON
from stockbook.domain.site_rules import classes_from_text
from stockbook.jobs.finding import known_case
from stockbook.jobs.list_shares import share_of_case, shares_of_period, used_by_services
from stockbook.ledger import money
from stockbook.ledger.as_of import BOOKED, lay_over, reading_as_of
from stockbook.ledger.cases import CaseRow, case_rows, seen_lots, unfinished, waste_reasons
from stockbook.ledger.facts import find
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import categories, last_entry, setting
from stockbook.ledger.stock import items_by_code, lots_by_code


def cost_of_case(book: Book, code: str, as_of: AsOf | None = None) -> CaseCost:
    """Every lot a case used or wasted, seen or presumed, with its value; money goes by booking."""
    with reading_as_of(book, as_of, BOOKED) as db:
        case = known_case(db, code)
        found = find(db, OperatingList, case.list)
        rows = case_rows(db, case.code)
        ended = [row for row in rows if row.place.startswith(("used/", "waste/"))]
        return CaseCost(
            case, found.day if found else "", found.theatre if found else "",
            tuple(_lines(db, case.code, ended)),
            any(row.place.startswith("trolley/") for row in rows), share_of_case(db, case),
            *last_entry(db)[:2],
        )  # fmt: skip


def _lines(db: sqlite3.Connection, case: str, rows: list[CaseRow]) -> list[CostLine]:
    codes = {row.lot for row in rows}
    lots = lots_by_code(db, codes)
    items = items_by_code(db, {lot.item for lot in lots.values()})
    seen = seen_lots(db, case)
    reasons = waste_reasons(db, case)
    lines = [
        CostLine(
            items[lots[row.lot].item], lots[row.lot], row.lot in seen,
            row.place.startswith("waste/"), reasons.get(row.lot) if "waste/" in row.place else None,
            row.quantity, row.value,
        )
        for row in rows
    ]  # fmt: skip
    return sorted(lines, key=lambda x: (x.wasted, x.item.item_class, x.item.code, x.lot.code))


def cost_of_period(
    book: Book, first_day: str, last_day: str, as_of: AsOf | None = None
) -> PeriodCost:
    """Cost by category of what was booked from `first_day` through `last_day`.

    As of a day the period ends with that day at the latest; as of an entry it is the very page
    that was printed then, its proof included.
    """
    last_day = period_end(first_day, last_day, as_of)
    with reading_as_of(book, as_of if as_of and as_of.entry else None) as db:
        ended = money.ended(db, first_day, last_day)
        cases = {line.case for line in ended.lines if line.case}
        began = money.first_used(db, cases, first_day, last_day)
        shares, key = shares_of_period(db, ended.lines, last_day), setting(db, "list_share")
        return PeriodCost(
            first_day, last_day,
            tuple(_categories(_names(db), ended, began, (first_day, last_day))),
            ended.provisional,
            money.proof(db, first_day, last_day),
            tuple(_unfinished(db, as_of)), shares, key, used_by_services(db, ended.lines),
            classes_from_text(setting(db, "main_supplies")),
        )  # fmt: skip


def _unfinished(db: sqlite3.Connection, as_of: AsOf | None) -> list[str]:
    """Cases on a trolley as far as was booked by the day asked; asked last, for it lays over."""
    if as_of and not as_of.entry:
        lay_over(db, as_of, BOOKED)
    return unfinished(db)


def _names(db: sqlite3.Connection) -> list[str]:
    return [*(category.code for category in categories(db)), COMMON]


def _categories(
    names: list[str], ended: Ended, began: dict[str, str], period: tuple[str, str]
) -> list[CategoryCost]:
    by_category: dict[str, list[PeriodLine]] = defaultdict(list)
    for line in ended.lines:
        by_category[line.category].append(line)
    return [
        category_cost(name, by_category[name], began, period, ended.shadows.get(name, 0))
        for name in names
    ]
