"""Packs that were scanned in theatre: seen where presumed, else exchanged, else used besides."""

import sqlite3
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stockbook.domain.entries import Movement
from stockbook.domain.finishing import Ending, Scanned, Trolley
from stockbook.domain.kits import Need
from stockbook.domain.places import waste_place
from stockbook.jobs.exchanging import exchanged
from stockbook.jobs.preparing import Prepared


def see_scanned(
    db: sqlite3.Connection, prepared: Prepared, trolley: Trolley, units: Sequence[Scanned]
) -> tuple[list[Movement], list[Scanned]]:
    """What was scanned lies on the trolley, seen; what has to be drawn besides is left over.

    A presumed unit whose place is taken by one that no place holds goes back: it was not used.
    """
    left = [(unit, unit.quantity - _seen(trolley, unit)) for unit in _by_lot(units)]
    moves: list[Movement] = []
    besides = []
    for unit, quantity in left:
        while quantity and (presumed := trolley.presumed(unit.item)):
            made = exchanged(db, prepared, trolley, presumed[0], str(unit.lot), quantity)
            if not made:
                break
            moves += made
            quantity -= made[0].quantity
        moves += _given_back(trolley, unit.item, quantity)
        if quantity:
            besides.append(replace(unit, quantity=quantity))
    return moves, besides + _without_lot(trolley, units)


def _given_back(trolley: Trolley, item: str, quantity: int) -> list[Movement]:
    """As many presumed units as there are, up to so many, are where they were drawn from."""
    moves: list[Movement] = []
    while quantity and (presumed := trolley.presumed(item)):
        part = min(quantity, presumed[0].quantity)
        moves += trolley.end(Ending(item, part, presumed[0].drawn_from, "lots-exchanged"))
        quantity -= part
    return moves


def _by_lot(units: Sequence[Scanned]) -> list[Scanned]:
    """All units of one printed lot taken together, in the order in which they were first read."""
    sums: dict[tuple[str, str], Scanned] = {}
    for unit in units:
        if unit.lot is None:
            continue
        before = sums.get((unit.item, unit.lot))
        quantity = unit.quantity + (before.quantity if before else 0)
        expiry = (before.expiry if before else None) or unit.expiry
        sums[unit.item, unit.lot] = Scanned(unit.item, quantity, unit.lot, expiry)
    return list(sums.values())


def _seen(trolley: Trolley, unit: Scanned) -> int:
    return trolley.see(unit.item, str(unit.lot), unit.quantity)


def _without_lot(trolley: Trolley, units: Sequence[Scanned]) -> list[Scanned]:
    """Packs of which no lot was read: they are the presumed ones, and besides them extras."""
    wanted = Counter[str]()
    for unit in units:
        if unit.lot is None:
            wanted[unit.item] += unit.quantity
    there = {item: sum(u.quantity for u in trolley.presumed(item)) for item in wanted}
    return [Scanned(item, n - there[item]) for item, n in wanted.items() if n > there[item]]


def needs_besides(units: Sequence[Scanned]) -> list[Need]:
    """What has to be drawn for the packs that the trolley lacked."""
    return [Need((unit.item,), unit.quantity) for unit in units]


def scanned_endings(units: Sequence[Scanned], category: str | None) -> list[Ending]:
    """Where each pack that was not used went."""
    return [
        Ending(
            unit.item, unit.quantity,
            "returned" if unit.what == "returned" else waste_place(category),
            None if unit.what == "returned" else unit.what, unit.lot,
        )
        for unit in units if unit.what != "used"
    ]  # fmt: skip


def as_asked(units: Sequence[Scanned]) -> list[Mapping[str, object]]:
    """The packs as part of what was asked."""
    return [
        {"item": u.item, "quantity": u.quantity, "lot": u.lot, "expiry": u.expiry, "what": u.what}
        for u in units
    ]
