"""What a case cost in full, and what a period's cases cost by category."""

import sqlite3
from collections import defaultdict
from collections.abc import Mapping

from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.costs import (
    CaseCost,
    CategoryCost,
    CostLine,
    Ended,
    PeriodCost,
    PeriodLine,
    category_cost,
    shadows_by,
)
from stockbook.domain.facts import OperatingList
from stockbook.domain.full_cost import FullCost, Own, borne_by, full_costs
from stockbook.domain.list_shares import by_category, shares_of
from stockbook.domain.places import COMMON
from stockbook.domain.site_rules import classes_from_text
from stockbook.jobs.finding import known_case
from stockbook.jobs.list_shares import parts_of_period, share_of_case, used_by_services
from stockbook.jobs.overhead import overhead_of_case, overheads
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
            overhead_of_case(db, case), *last_entry(db)[:2],
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
        shares = shares_of(parts_of_period(db, ended.lines, last_day), by_category)
        found = tuple(_categories(_names(db), ended, began, (first_day, last_day)))
        return PeriodCost(
            first_day, last_day, found, sum(ended.provisional.values()),
            money.proof(db, first_day, last_day),
            tuple(_unfinished(db, as_of)), shares, setting(db, "list_share"),
            used_by_services(db, ended.lines), _full(db, found, shares, began),
            classes_from_text(setting(db, "main_supplies")),
        )  # fmt: skip


def _full(
    db: sqlite3.Connection, found: tuple[CategoryCost, ...], shares: Mapping[str, int],
    began: Mapping[str, str],
) -> tuple[FullCost, ...]:  # fmt: skip
    """What each category bears in all; overhead by the cases that are counted there."""
    category_of = {code: one.category for one in found for code in one.counted}
    borne = borne_by(
        overheads(db, {code: began[code] for code in category_of}).values(), category_of.get
    )
    groups = [
        Own(c.category, c.cases, c.used, c.wasted, c.earlier_cases, common=c.category == COMMON)
        for c in found
    ]
    return full_costs(groups, shares, borne)


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
    lines: dict[str, list[PeriodLine]] = defaultdict(list)
    for line in ended.lines:
        lines[line.category].append(line)
    shadows = shadows_by(ended.given, lambda gift: gift.category)
    return [category_cost(name, lines[name], began, period, shadows.get(name, 0)) for name in names]
