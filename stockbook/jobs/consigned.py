"""Consigned stock: when it is used, wasted or lost, its agreed price follows in the same entry."""

import sqlite3
from collections.abc import Mapping, Sequence

from stockbook.domain.amounts import value_of_part
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Lot
from stockbook.domain.places import DIFFERENCE, supplier_place
from stockbook.ledger.stock import consigned_left


def _is_charged(place: str) -> bool:
    return place.startswith(("used/", "waste/")) or place == DIFFERENCE


def charges_for(
    db: sqlite3.Connection, lots: Mapping[int, Lot], moves: Sequence[Movement]
) -> list[Movement]:
    """The agreed price of consigned units that end here, from the supplier to where they went.

    Each part takes its share of what is not yet charged (rule 4), so that a lot used up
    costs exactly its agreed price. Units that came back earlier in the entry, and what was
    credited for them, are to be charged again.
    """
    left: dict[int, tuple[int, int]] = {}
    made = []
    for move in moves:
        lot = lots[move.lot]
        if lot.terms != "consigned" or lot.supplier is None:
            continue
        into, out = _is_charged(move.to_place), _is_charged(move.from_place)
        credited = move.value if move.to_place == supplier_place(lot.supplier) else 0
        if into == out and not credited:
            continue
        quantity, value = left.get(lot.code) or consigned_left(db, lot)
        if not into:
            left[lot.code] = (quantity + move.quantity, value + credited)
            continue
        charge = value_of_part(value, quantity, move.quantity) if move.quantity else 0
        left[lot.code] = (quantity - move.quantity, value - charge)
        if charge:
            origin = supplier_place(lot.supplier)
            made.append(
                Movement(lot.code, 0, charge, origin, move.to_place, move.case, "agreed-price")
            )
    return made


def credit_for(lot: Lot, value: int, place: str, case: str) -> Movement | None:
    """What was charged for consigned units that came back to the trolley goes to the supplier."""
    if lot.terms != "consigned" or lot.supplier is None or not value:
        return None
    return Movement(lot.code, 0, value, place, supplier_place(lot.supplier), case, "agreed-price")
