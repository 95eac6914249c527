"""A named lot at the finish: seen where it was presumed, else exchanged without changing counts."""

import sqlite3
from dataclasses import replace

from stockbook.domain.amounts import value_of_part
from stockbook.domain.entries import Movement
from stockbook.domain.finishing import Ending, Staged, Trolley
from stockbook.domain.picking import Shelf, ShelfRow
from stockbook.errors import InputError, Refused
from stockbook.jobs.hand import rows_named
from stockbook.jobs.preparing import Prepared
from stockbook.ledger.cases import presumed_on_trolley
from stockbook.ledger.stock import on_hand, places_of_kind


def exchange_lot(
    db: sqlite3.Connection, prepared: Prepared, trolley: Trolley, item: str, number: str
) -> list[Movement]:  # fmt: skip
    """The trolley holds a unit of the named lot, seen; no place has more or fewer units."""
    if trolley.see(item, number):
        return []
    presumed = next(iter(trolley.presumed(item)), None)
    if presumed is None:
        raise InputError(f"--lot {item} {number}: nothing of it is presumed on this trolley.")
    moves = exchanged(db, prepared, trolley, presumed, number)
    if not moves:
        raise Refused(
            f"--lot {item} {number}: no place holds that lot. If it was in your hand, "
            f"record it with --found and return the presumed one."
        )
    return moves


def exchanged(
    db: sqlite3.Connection, prepared: Prepared, trolley: Trolley, presumed: Staged, number: str,
    most: int | None = None,
) -> list[Movement]:  # fmt: skip
    """Presumed units give way to those of a printed lot, at most so many; none where it is not."""
    item = presumed.lot.item
    limit = min(presumed.quantity, most or presumed.quantity)
    other = _other_case(db, trolley, item, number)
    if other is not None:
        return _exchanged_with(other, trolley, presumed, limit)
    row = _nearest(db, prepared, item, number, presumed)
    if row is None:
        return []
    quantity = min(limit, row.quantity)
    value = value_of_part(row.value, row.quantity, quantity)
    back = trolley.end(Ending(item, quantity, row.place, "lots-exchanged"))
    onto = Movement(
        row.lot.code, quantity, value, row.place, trolley.place, trolley.case,
        "lots-exchanged", seen=True,
    )  # fmt: skip
    trolley.add(Staged(row.lot, quantity, row.place, seen=True), value)
    return [*back, onto]


def _other_case(
    db: sqlite3.Connection, trolley: Trolley, item: str, number: str
) -> tuple[str, ShelfRow] | None:
    """Another case that presumes the named lot on this trolley, and what it has of it."""
    for case, row in presumed_on_trolley(db, trolley.place, item):
        if case != trolley.case and number in (row.lot.number, row.lot.serial):
            return case, row
    return None


def _exchanged_with(
    other: tuple[str, ShelfRow], trolley: Trolley, presumed: Staged, limit: int
) -> list[Movement]:
    """Both cases give back what they presumed and take the other's; the shelf ends as it was."""
    case, row = other
    shelf = presumed.drawn_from
    quantity = min(limit, row.quantity)
    value = value_of_part(row.value, row.quantity, quantity)
    (back,) = trolley.end(Ending(presumed.lot.item, quantity, shelf, "lots-exchanged"))
    given = Movement(row.lot.code, quantity, value, trolley.place, shelf, case, "lots-exchanged")
    taken = replace(given, from_place=shelf, to_place=trolley.place, case=trolley.case, seen=True)
    instead = replace(back, from_place=shelf, to_place=trolley.place, case=case)
    trolley.add(Staged(row.lot, quantity, shelf, seen=True), value)
    return [back, given, taken, instead]


def _nearest(
    db: sqlite3.Connection, prepared: Prepared, item: str, number: str, presumed: Staged
) -> ShelfRow | None:
    """Where the named lot lies: where the presumed one came from first, then any place."""
    elsewhere = [p.code for p in places_of_kind(db, "theatre", "store", "quarantine")]
    places = list(dict.fromkeys((presumed.drawn_from, *prepared.wish.places, *elsewhere)))
    shelf = Shelf(on_hand(db, items=[item], places=places, number=number))
    rows = rows_named(shelf, item, number, places)
    return rows[0] if rows else None
