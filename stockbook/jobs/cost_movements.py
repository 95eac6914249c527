"""Every movement behind the figures of a cost page, in one answer."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain import texts
from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.cost_groups import WAYS
from stockbook.domain.cost_movements import CostMovements, EndedMove, Named, Traced, traced
from stockbook.domain.costs import USED, WASTED, figure_of
from stockbook.domain.list_shares import Part
from stockbook.domain.overhead import CaseOverhead
from stockbook.domain.places import COMMON
from stockbook.errors import InputError
from stockbook.jobs.cost_groups import Grouped, grouped
from stockbook.jobs.finding import known_case, near
from stockbook.jobs.list_shares import parts_of_period
from stockbook.jobs.overhead import overhead_of_case, overheads
from stockbook.ledger import money
from stockbook.ledger.as_of import BOOKED, reading_as_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry
from stockbook.ledger.stock import items_by_code, lots_by_code


def movements_of_case(book: Book, code: str, as_of: AsOf | None = None) -> CostMovements:
    """What one case used and wasted, movement by movement."""
    with reading_as_of(book, as_of, BOOKED) as db:
        case = known_case(db, code)

        def named(_: EndedMove, place: str) -> tuple[str, str]:
            return (WASTED if place.startswith("waste/") else USED), case.code

        rows = traced(money.ended_moves_of_case(db, case.code), named)
        borne = overhead_of_case(db, case)
        return _answer(
            db, f"case {case.code}", "case", rows, (), [borne] if borne is not None else []
        )  # fmt: skip


def movements_of_period(
    book: Book, first_day: str, last_day: str, way: str | None = None, only: str | None = None,
    as_of: AsOf | None = None,
) -> CostMovements:  # fmt: skip
    """Behind a period's page by category; with a way of grouping, behind the groups' page.

    `only` keeps one category or group.
    """
    by = texts.one_of(way, WAYS, "--per") if way else "category"
    last_day = period_end(first_day, last_day, as_of)
    period = (first_day, last_day)
    with reading_as_of(book, as_of if as_of and as_of.entry else None) as db:
        found = grouped(db, *period, by)
        named = _by_group(found) if way else _by_category(found, period)
        rows = traced(money.ended_moves(db, *period), named)
        name_of = found.counted
        borne = list(overheads(db, {code: found.began[code] for code in name_of}).values())
        parts = parts_of_period(db, found.ended.lines, last_day)
        if only is not None:
            _check_name(only, {one.name for one in rows})
            rows = [one for one in rows if one.name == only]
            borne = [one for one in borne if name_of[one.case] == only]
            parts = [one for one in parts if only in (name_of.get(one.case), COMMON)]
        title = f"{first_day} to {last_day}{f', {only}' if only else ''}"
        return _answer(db, title, by, rows, parts, borne)


def _check_name(name: str, known: set[str]) -> None:
    if name not in known:
        raise InputError(f"--only: {name} has no movement here.{near(name, sorted(known))}")


def _by_category(found: Grouped, period: tuple[str, str]) -> Named:
    """The figures of the page by category, by the very rule that sums them."""

    def named(move: EndedMove, place: str) -> tuple[str, str]:
        end, _, category = place.partition("/")
        began = found.began.get(move.case) if move.case else period[0]
        return figure_of(began, period, wasted=end == "waste"), category

    return named


def _by_group(found: Grouped) -> Named:
    """The figures of the groups' page: what counted cases used and wasted."""
    counted = found.counted

    def named(move: EndedMove, place: str) -> tuple[str, str] | None:
        group = counted.get(move.case or "")
        if group is None:
            return None
        return (WASTED if place.startswith("waste/") else USED), group

    return named


def _answer(
    db: sqlite3.Connection, title: str, by: str, rows: Sequence[Traced],
    parts: Sequence[Part], borne: Sequence[CaseOverhead],
) -> CostMovements:  # fmt: skip
    lots = lots_by_code(db, {one.move.lot for one in rows})
    items = items_by_code(db, {lot.item for lot in lots.values()})
    return CostMovements(
        title, by, tuple(rows), lots, items, tuple(borne), tuple(parts), *last_entry(db)[:2]
    )
