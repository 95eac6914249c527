"""Packs that are carried from place to place: what a scan names, and what it is drawn from."""

import sqlite3
from collections.abc import Mapping
from dataclasses import replace

from stockbook.domain.amounts import quantity_from_text
from stockbook.domain.carrying import Asked, CarriedLine, CarriedPack, Carrying
from stockbook.domain.entries import Signature
from stockbook.domain.facts import Item, Lot, Place
from stockbook.domain.levels import wrong_storage
from stockbook.domain.meanings import Meaning
from stockbook.domain.picking import Draw, Shelf
from stockbook.domain.scans import read
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_item, quantity_of
from stockbook.jobs.moving import rows_to_move, shelf_at, take, wish_at
from stockbook.jobs.scan import what_is
from stockbook.ledger.facts import find

_MOST_TYPED = 2
"""Item and lot, typed."""


def pack_read(
    db: sqlite3.Connection, text: str, today: str, separator: str | None = None
) -> CarriedPack:
    """The pack that a scan names, or ITEM LOT as it is typed (a serial in place of the lot)."""
    words = text.split()
    code = words[0].upper() if words and words[0].isascii() else ""
    item = find(db, Item, code) if code else None
    if item is None:
        return _scanned(what_is(db, read(text, today, separator), today))
    if len(words) > _MOST_TYPED:
        raise InputError(f"{text!r}: wanted ITEM LOT, or ITEM alone.")
    return _pack(item, words[1] if len(words) > 1 else None, 10**item.unit_places)


def _scanned(meaning: Meaning) -> CarriedPack:
    scan, item = meaning.scan, meaning.item
    if isinstance(meaning.own, Lot) and item is not None:
        lot = meaning.own
        return _pack(item, lot.serial or lot.number, 10**item.unit_places)
    if scan.scheme == "own":
        raise InputError(f"{scan.raw}: no pack. Scan what is on the pack, or its lot's label.")
    if item is None and meaning.model is not None:
        raise InputError(
            f"{scan.identifier}: a lens {meaning.model}, of which power no symbol says. Type ITEM "
            "SERIAL."
        )
    if item is None:
        name = scan.identifier or "no product in this symbol"
        raise InputError(f"{name}: no item of this book has this identifier. Type ITEM LOT.")
    number = scan.serial if item.by_serial else scan.lot
    units = meaning.pack.units if meaning.pack else 10**item.unit_places
    pack = _pack(item, number, units * (scan.count or 1))
    return replace(pack, is_pack=meaning.pack is not None)


def _pack(item: Item, number: str | None, units: int) -> CarriedPack:
    if item.by_serial and number is None:
        raise InputError(f"{item.code} is kept by serial: scan its serial, or type ITEM SERIAL.")
    return CarriedPack(item.code, number, units, by_serial=item.by_serial)


def check_twice(carrying: Carrying, pack: CarriedPack) -> None:
    """One serial is one pack."""
    if pack.by_serial and any(one.asked == pack.asked for one in carrying.packs):
        raise Refused(
            f"{pack.item}: serial {pack.number} was scanned before. One serial, one pack."
        )


def so_many(db: sqlite3.Connection, pack: CarriedPack, text: str) -> CarriedPack:
    """The pack so many times; of an item that was named and is measured, so much of its unit."""
    if pack.by_serial:
        raise Refused(f"{pack.item} is kept by serial: one scan, one pack.")
    item = known_item(db, pack.item)
    if pack.is_pack or not item.unit_places:
        return replace(pack, count=quantity_from_text(text, 0, "qty, in packs"))
    return replace(pack, units=quantity_of(item, text))


def drawn(
    db: sqlite3.Connection, signature: Signature, carrying: Carrying, target: Place,
    only: str | None = None,
) -> dict[Asked, CarriedLine]:  # fmt: skip
    """What each lot that was read is drawn from, exactly as if it had been typed to `move`.

    Raises what speaks against it: not there, expired, quarantined, too few.
    """
    found: dict[Asked, CarriedLine] = {}
    shelves: dict[str, tuple[Item, Shelf]] = {}
    for (code, number), quantity in carrying.wanted(only).items():
        if code not in shelves:
            item = known_item(db, code)
            shelves[code] = (item, shelf_at(db, carrying.from_place, item))
        item, shelf = shelves[code]
        wish = wish_at(db, signature.happened_on, carrying.from_place, item)
        rows = rows_to_move(shelf, item, wish, number, any_condition=target.kind != "theatre")
        draws = tuple(take(shelf, rows, item, quantity))
        left = sum(row.quantity for row in rows) - quantity
        found[code, number] = CarriedLine(item, number, draws, left, wrong_storage(item, target))
    return found


def all_draws(lines: Mapping[Asked, CarriedLine]) -> list[tuple[Draw, bool]]:
    """Every draw, and whether its lot was seen."""
    return [(draw, line.number is not None) for line in lines.values() for draw in line.draws]
