"""What a scan means in a book: the one way from a read scan to item, pack size and lots."""

import sqlite3

from stockbook.domain.facts import Case, Item, Kit, Lot, OperatingList, PackSize, Shelf, StaffCode
from stockbook.domain.meanings import Meaning
from stockbook.domain.scan_facts import Scan
from stockbook.domain.scan_refusals import refusal
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.stock import lots_named

_OWN = {"case": Case, "list": OperatingList, "shelf": Shelf, "staff": StaffCode}


def what_is(db: sqlite3.Connection, scan: Scan, today: str) -> Meaning:
    """The item and lots that a scan names, or the site's own thing; unknown ones are none.

    A lot that may hide a serial is refused for an item kept by serial.
    """
    if scan.scheme == "own":
        return _own(db, scan, today)
    pack = _pack(db, scan)
    item = find(db, Item, pack.item) if pack else None
    if pack and item is None:
        return _of_model(db, scan, pack, today)
    if item and item.by_serial and scan.hidden_serial and scan.serial is None:
        lot, serial = scan.hidden_serial
        hint = [["10", lot], ["21", serial]]
        split = f"(10){lot}(21){serial}"
        raise refusal("GS_MISSING_OR_LOT_TOO_LONG", ai="10", hint=hint, split=split)
    lots = () if scan.identifier and not item else _lots(db, scan, item)
    return Meaning(scan, today, item=item, pack=pack, lots=lots)


def _of_model(db: sqlite3.Connection, scan: Scan, pack: PackSize, today: str) -> Meaning:
    """A lens of an identifier that all powers bear: which it is its serial says, or nothing."""
    powers = {item.code: item for item in all_of(db, Item, lens_model=pack.item)}
    named = _lots(db, scan, None) if scan.serial else ()
    lots = tuple(lot for lot in named if lot.item in powers)
    items = {lot.item for lot in lots}
    item = powers[items.pop()] if len(items) == 1 else None
    return Meaning(scan, today, item=item, pack=pack, lots=lots, model=pack.item)


def _pack(db: sqlite3.Connection, scan: Scan) -> PackSize | None:
    """The pack size of the first identifier that the book knows."""
    for identifier in scan.identifiers:
        pack = find(db, PackSize, identifier)
        if pack:
            return pack
    return None


def _lots(db: sqlite3.Connection, scan: Scan, item: Item | None) -> tuple[Lot, ...]:
    """The lots that bear the printed serial; where none is printed, the printed lot number."""
    name = scan.serial or scan.lot
    named = lots_named(db, name, item.code if item else None) if name else []
    return tuple(lot for lot in named if name == (lot.serial if scan.serial else lot.number))


def _own(db: sqlite3.Connection, scan: Scan, today: str) -> Meaning:
    """The thing that a code of the site's own names, with the item it belongs to."""
    if scan.kind == "lot":
        lot = find(db, Lot, int(scan.code[0]))
        item = find(db, Item, lot.item) if lot else None
        return Meaning(scan, today, item=item, lots=(lot,) if lot else (), own=lot)
    if scan.kind == "kit":
        return Meaning(scan, today, own=next(iter(all_of(db, Kit, procedure=scan.code[0])), None))
    if scan.kind not in _OWN:
        return Meaning(scan, today)
    own = find(db, _OWN[scan.kind], "/".join(scan.code))
    item = find(db, Item, scan.code[1]) if scan.kind == "shelf" else None
    return Meaning(scan, today, item=item, own=own)
