"""Tracing: every case a lot reached, certain and possible apart; everything a case was given."""

import sqlite3
from collections.abc import Collection

from stockbook.domain import texts
from stockbook.domain.asking import AsOf
from stockbook.domain.facts import Case, Item, Lot, OperatingList
from stockbook.domain.records import CaseTrace
from stockbook.domain.tracing import LotTrace, TracedMove, trace_lot
from stockbook.errors import InputError
from stockbook.jobs.entries import shown_moves
from stockbook.jobs.finding import known_item, near
from stockbook.ledger import history
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.facts import find
from stockbook.ledger.opening import Book
from stockbook.ledger.stock import lot_numbers, lots_named


def trace_case(book: Book, text: str, as_of: AsOf | None = None) -> CaseTrace | None:
    """A case's movements entry by entry; none when the text is no case."""
    with reading_as_of(book, as_of) as db:
        case = find(db, Case, text.strip().upper())
        if case is None:
            return None
        found = find(db, OperatingList, case.list)
        rows = []
        for number in history.entries_of_case(db, case.code):
            entry = history.entry(db, number)
            moves = [m for m in history.movements_of(db, number) if m.case == case.code]
            rows += [(entry, shown) for shown in shown_moves(db, moves) if entry]
        return CaseTrace(
            case, found.day if found else "", found.theatre if found else "", tuple(rows)
        )


def trace_printed_lot(
    book: Book, text: str, item: str | None = None, as_of: AsOf | None = None
) -> list[tuple[Item, LotTrace]]:
    """One trace for each item that has a lot or serial of this printed number."""
    number = texts.required_text(text, "lot")
    with reading_as_of(book, as_of) as db:
        wanted = known_item(db, item).code if item else None
        lots = lots_named(db, number, wanted)
        if not lots:
            raise InputError(
                f"{number} is no case, lot or serial here.{near(number, lot_numbers(db))}"
            )
        by_item: dict[str, list[Lot]] = {}
        for lot in lots:
            by_item.setdefault(lot.item, []).append(lot)
        return [
            (known_item(db, code), trace_lot(found, _moves(db, code, found)))
            for code, found in by_item.items()
        ]


def _moves(db: sqlite3.Connection, item: str, lots: Collection[Lot]) -> list[TracedMove]:
    return history.moves_of_item(db, item, [lot.code for lot in lots])
