"""What the forecast expects to be left of lots at their expiry, all lots of an item in turn."""

import sqlite3
from collections.abc import Collection, Sequence

from stockbook.domain.days import NO_EXPIRY, days_between
from stockbook.domain.deliveries import DeliveryLine, lot_of, priced
from stockbook.domain.foresight import LotAhead
from stockbook.domain.picking import ShelfRow
from stockbook.domain.places import SITE_KINDS
from stockbook.domain.records import LeftLine, Received
from stockbook.forecast.outlook import whole_units
from stockbook.forecast.year_ahead import YEAR
from stockbook.jobs.prospecting import prospects_of
from stockbook.jobs.prospects import Prospect
from stockbook.ledger.opening import Book
from stockbook.ledger.stock import next_lot, on_hand, places_of_kind

Left = dict[tuple[str, int], int]
"""By place and lot, finest steps."""


def left_of_items(
    db: sqlite3.Connection, day: str, items: Collection[str], more: Sequence[ShelfRow] = ()
) -> Left:
    """Of every lot of these items that expires within a year and has a basis, what is left.

    `more` is what would lie there besides.
    """
    found = prospects_of(db, day, only=items)
    places = [place.code for place in places_of_kind(db, *SITE_KINDS)]
    shelves: dict[str, list[ShelfRow]] = {code: [] for code in items}
    for row in (*on_hand(db, items=items, places=places), *more):
        shelves[row.lot.item].append(row)
    left: Left = {}
    for one in found.known:
        left |= _left(one, shelves.get(one.item.code, ()), day)
    return left


def _left(one: Prospect, rows: Sequence[ShelfRow], day: str) -> Left:
    """A lot serves until its expiry less the days that must be left at use."""
    least = one.item.least_days_left
    ending = sorted(
        (
            (days_between(day, row.lot.expires_on) - least, row) for row in rows
            if row.lot.expires_on != NO_EXPIRY and row.quantity > 0
        ),
        key=lambda pair: (pair[0], pair[1].lot.received_on, pair[1].lot.code, pair[1].place),
    )  # fmt: skip
    inside = [(days, row) for days, row in ending if 0 <= days < YEAR]
    lots = [LotAhead(row.quantity, days) for days, row in inside]
    expected = one.left(lots) if lots else []
    return {
        (row.place, row.lot.code): min(row.quantity, whole_units(units))
        for (_, row), units in zip(inside, expected, strict=True)
    }


def left_of_line(db: sqlite3.Connection, day: str, line: DeliveryLine, place: str) -> int | None:
    """What is expected to be left of a line at its expiry if it is taken in; none: no basis."""
    lot = lot_of(priced(line, None), next_lot(db), day, "", None)
    row = ShelfRow(place, lot, line.quantity, 0)
    return left_of_items(db, day, {line.item.code}, [row]).get((place, lot.code))


def left_of_delivery(book: Book, day: str, received: Received) -> tuple[LeftLine, ...]:
    """What is expected to be left of the lots of a delivery that are short-dated or given."""
    wanted = [
        line for line in received.lines
        if not line.line.place and (line.line.reason or line.line.terms != "bought")
    ]  # fmt: skip
    if not wanted:
        return ()
    with book.reading() as db:
        left = left_of_items(db, day, {line.lot.item for line in wanted})
    return tuple(
        LeftLine(line.line.item, line.lot, left.get((received.place, line.lot.code)))
        for line in wanted
    )
