"""Choosing lots to move or discard by hand: a named one, or those the rule would take."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain.facts import Item
from stockbook.domain.levels import for_someone, usable_by_someone
from stockbook.domain.picking import Draw, Shelf, ShelfRow, Wish, why_not_usable
from stockbook.errors import Missing, NotEnough, Refused
from stockbook.jobs.finding import shown
from stockbook.ledger.stock import on_hand, quarantines


def wish_at(db: sqlite3.Connection, day: str, place: str, item: Item) -> Wish:
    """Picking from one place for no case in particular."""
    least = {item.code: item.least_days_left}
    return Wish(day, (place,), least_days_left=least, quarantines=quarantines(db))


def shelf_at(db: sqlite3.Connection, place: str, item: Item) -> Shelf:
    """What lies of an item at one place."""
    return Shelf(on_hand(db, items=[item.code], places=[place]))


def rows_to_move(
    shelf: Shelf, item: Item, wish: Wish, number: str | None, *, any_condition: bool
) -> list[ShelfRow]:
    """The rows to take from, in order: the named lot, else what the rule picks.

    Without `any_condition` a named lot that must not be used is refused.
    """
    if number is None:
        return usable_by_someone(shelf, item.code, wish)
    rows = [r for r in shelf.rows(item.code) if number in (r.lot.number, r.lot.serial)]
    if not rows:
        raise Refused(f"{item.code} lot {number} does not lie in {wish.places[0]}.")
    for row in rows:
        why = why_not_usable(row.lot, row.place, for_someone(row.lot, wish))
        if why and not any_condition:
            raise Refused(
                f"{item.code} lot {number} in {row.place}: {why}; it must not go where it "
                "would be used. Move it to a quarantine area, or discard it."
            )
    return sorted(rows, key=lambda r: (r.lot.expires_on, r.lot.received_on, r.lot.code))


def take(shelf: Shelf, rows: Sequence[ShelfRow], item: Item, quantity: int) -> list[Draw]:
    """Draw exactly `quantity`, or refuse with what is there."""
    there = sum(row.quantity for row in rows)
    if there < quantity:
        raise NotEnough(
            f"{item.code}: {shown(item, quantity)} asked, {shown(item, there)} there that may "
            "be taken. Nothing was recorded.",
            [Missing("", item.code, item.name, shown(item, quantity), shown(item, there),
                     shown(item, quantity - there), _others(shelf, rows, item))],
        )  # fmt: skip
    draws = []
    for row in rows:
        if quantity:
            part = min(quantity, row.quantity)
            draws.append(shelf.take(row, part))
            quantity -= part
    return draws


def _others(shelf: Shelf, rows: Sequence[ShelfRow], item: Item) -> str:
    taken = {(r.place, r.lot.code) for r in rows}
    others = [
        f"{shown(item, r.quantity)} of lot {r.lot.number} (expiry {r.lot.expires_on})"
        for r in shelf.rows(item.code)
        if (r.place, r.lot.code) not in taken
    ]
    return "; ".join(others) or "none"
