"""What was recorded, entry by entry."""

import sqlite3

from stockbook.domain.entries import Entry, Movement
from stockbook.domain.records import ShownEntry, ShownMove
from stockbook.domain.roles import COMMAND_OF_ENTRY
from stockbook.errors import InputError
from stockbook.ledger import history
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry
from stockbook.ledger.stock import items_by_code, lots_by_code

ENTRY_KINDS = (*COMMAND_OF_ENTRY, "reversal")


def recent_entries(
    book: Book, *, most: int = 20, kind: str | None = None, document: str | None = None,
    day: str | None = None,
) -> list[Entry]:  # fmt: skip
    """The newest entries that the filters keep, oldest first."""
    if kind is not None and kind not in ENTRY_KINDS:
        raise InputError(f"--kind: found {kind!r}, wanted one of: {', '.join(ENTRY_KINDS)}.")
    with book.reading() as db:
        return history.entries(db, most=most, kind=kind, document=document, happened_on=day)


def entry_in_full(book: Book, number: int) -> ShownEntry:
    """One entry with all its lines."""
    with book.reading() as db:
        entry = history.entry(db, number)
        if entry is None:
            raise InputError(
                f"entry {number} is not in this book; the last is {last_entry(db)[0]}."
            )
        moves = shown_moves(db, history.movements_of(db, number))
        return ShownEntry(
            entry, tuple(moves), tuple(history.changes_of(db, number)),
            history.reversed_by(db, number),
        )  # fmt: skip


def shown_moves(db: sqlite3.Connection, moves: list[Movement]) -> list[ShownMove]:
    """Movements with their lots and items."""
    codes = {move.lot for move in moves}
    lots = lots_by_code(db, codes)
    items = items_by_code(db, {lot.item for lot in lots.values()})
    return [ShownMove(m, lots[m.lot], items[lots[m.lot].item]) for m in moves]
