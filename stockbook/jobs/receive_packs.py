"""What is known of a pack at the desk: all of it, or what has to be asked next."""

import sqlite3
from dataclasses import replace

from stockbook.domain.facts import Item, PackSize
from stockbook.domain.lenses import power_text
from stockbook.domain.receiving import Learned, OpenPack, TakenPack
from stockbook.domain.scan_facts import Scan
from stockbook.domain.scans import merge, read_symbol
from stockbook.errors import InputError, Refused, ScanRefused
from stockbook.jobs.finding import lens_item, shown
from stockbook.jobs.receive_dates import check_date, reason_of
from stockbook.jobs.receive_desk import Desk, Wanted
from stockbook.jobs.receive_prices import priced_pack
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.stock import serials_on_hand
from stockbook.ledger.unpackings import confirmations

NOTHING = Scan("", "typed", "typed")
"""What no symbol says."""


def taken(desk: Desk, pack: OpenPack) -> TakenPack:
    """The pack with all that has to be known of it; raises Wanted for what is not."""
    scan = scan_of(desk, pack)
    size = size_of(desk, pack, scan)
    item = _item(desk, pack, size)
    scan = _without_doubtful_lot(item, scan)
    serial = _serial(desk, pack, scan, item, size)
    number = pack.lot or scan.lot or (None if scan.hidden_serial else serial or scan.serial)
    if number is None:
        raise Wanted("lot", f"{_name(item)}: scan its other symbol, or type the printed lot.")
    _check_repeated(desk, scan, item, serial)
    expires_on, precision = _expiry(pack, scan, item, number)
    made = TakenPack(
        item.code, size.code or None, size.level, size.units, scan.count or 1, number, serial,
        expires_on, precision, scan.raw or None,
        desk.unpacking.price_of(item.code, size.units), None, pack.door, pack.place,
        _learned(desk, pack, size, item),
    )  # fmt: skip
    if pack.door is None:
        check_date(desk, pack, scan, item, made)
        made = replace(made, reason=reason_of(desk, pack, item, made))
    return priced_pack(desk, pack, item, made) if desk.unpacking.is_opening else made


def rejected(desk: Desk, pack: OpenPack, reason: str) -> TakenPack:
    """The pack as it goes back, with as much as is known of it."""
    try:
        scan = scan_of(desk, pack)
        size = size_of(desk, pack, scan)
    except Wanted as wanted:
        if wanted.name == "symbol":
            raise InputError(f"Of what is this the label? {wanted.words}") from None
        scan = scan_of(desk, pack)
        size = PackSize(str(scan.identifier), "", "each", 1)
    item = find(desk.db, Item, size.item) or _lens(desk.db, size.item, pack.power)
    serial = pack.serial or scan.serial if item and item.by_serial else None
    return TakenPack(
        item.code if item else None, size.code or None, size.level, size.units if item else 1,
        scan.count or 1, pack.lot or scan.lot or serial, serial, pack.expiry or scan.expires_on,
        pack.precision or scan.expiry_precision, scan.raw or None, door=reason,
    )  # fmt: skip


def scan_of(desk: Desk, pack: OpenPack) -> Scan:
    """All symbols of the pack as one; nothing where it was typed."""
    if not pack.symbols:
        return NOTHING
    scans = [read_symbol(text, desk.signature.today, desk.separator) for text in pack.symbols]
    try:
        whole = merge(scans)
    except ScanRefused as refused:
        if refused.name != "AI_REQUIRES":
            raise
        if pack.item is None or len(scans) > 1:
            raise Wanted("symbol", f"{refused.message} Or type its item.") from None
        whole = scans[0]
    return replace(whole, raw="\n".join(pack.raws))


def size_of(desk: Desk, pack: OpenPack, scan: Scan) -> PackSize:
    """Which item or lens model it is and how much of it, by its identifier or as it was said."""
    known = known_size(desk, scan)
    if known is not None:
        return replace(known, item=_model_of(desk.db, known)) if pack.all_powers else known
    if scan.identifier is None and pack.item is None:
        raise Wanted("symbol", "no product is in this symbol. Scan the pack's other one.")
    if pack.item is None:
        raise Wanted(
            "item",
            f"{scan.identifier}: no pack size of this book. Which item is it (a lens: its model, "
            "or model and power)? Then how it is packed, as in VISC outer 10; or reject it.",
        )
    if pack.level is not None:
        return PackSize(scan.identifier or "", pack.item, pack.level, pack.units)
    if scan.identifier is None:
        return PackSize("", pack.item, "each", 10 ** _places(desk.db, pack.item))
    raise Wanted(
        "units", f"{pack.item}: how is it packed? Type each, inner or outer, and the units in it."
    )


def known_size(desk: Desk, scan: Scan) -> PackSize | None:
    """What the sitting or the book knows under the scan's identifiers."""
    for identifier in scan.identifiers:
        said = desk.unpacking.known(identifier)
        if said is not None:
            return PackSize(identifier, said.item, said.level, said.units)
        size = find(desk.db, PackSize, identifier)
        if size is not None:
            return size
    return None


def _places(db: sqlite3.Connection, item: str) -> int:
    found = find(db, Item, item)
    return found.unit_places if found else 0


def _model_of(db: sqlite3.Connection, size: PackSize) -> str:
    item = find(db, Item, size.item)
    return str(item.lens_model) if item and item.lens_model else size.item


def _lens(db: sqlite3.Connection, model: str, power: int | None) -> Item | None:
    found = all_of(db, Item, lens_model=model, power=power) if power is not None else []
    return found[0] if found else None


def _item(desk: Desk, pack: OpenPack, size: PackSize) -> Item:
    """The item; a lens whose power its identifier does not say for sure by the printed one."""
    item = find(desk.db, Item, size.item)
    if item is None or item.lens_model is None:
        return item or _lens_by_box(desk, pack, size.item)
    if not size.code or (pack.power is None and _is_confirmed(desk.db, size)):
        return item
    if pack.power is None:
        raise Wanted("power", f"{item.lens_model}: which power is printed on the box?")
    if pack.power != item.power:
        raise Wanted(
            "all_powers",
            f"{size.code} was {item.code} before, and this box says {power_text(pack.power)}. Read "
            f"it again. Does {item.lens_model} bear one identifier for all powers (yes or no)?",
        )
    return item


def _lens_by_box(desk: Desk, pack: OpenPack, model: str) -> Item:
    if pack.power is None:
        raise Wanted("power", f"{model}: which power is printed on the box?")
    return lens_item(desk.db, model, pack.power)


def _is_confirmed(db: sqlite3.Connection, size: PackSize) -> bool:
    """Whether two people on two days read the power of this identifier from a box."""
    said = confirmations(db, size)
    return any(by != who and day != when for by, day in said for who, when in said)


def _learned(desk: Desk, pack: OpenPack, size: PackSize, item: Item) -> tuple[Learned, ...]:
    """What this pack says of its identifier that the book does not know, or has confirmed."""
    if not size.code:
        return ()
    by, day = desk.signature.by, desk.day
    said = Learned(size.code, size.item, size.level, size.units, by, day)
    before = desk.unpacking.known(size.code)
    in_book = find(desk.db, PackSize, size.code)
    was = in_book.item if in_book else None
    if before is None and in_book != size:
        return (replace(said, was=was),)
    if before is not None and before.item != size.item:
        return (replace(said, was=was),)
    read = pack.power is not None and size.item == item.code
    return (replace(said, was=was),) if read else ()


def _without_doubtful_lot(item: Item, scan: Scan) -> Scan:
    """Where the separator is lost, a lot of a lens may hide its serial: then neither is known."""
    if item.by_serial and scan.hidden_serial and scan.serial is None:
        return replace(scan, lot=None)
    return scan


def _serial(desk: Desk, pack: OpenPack, scan: Scan, item: Item, size: PackSize) -> str | None:
    """The printed serial of an item kept by serial; one that is nowhere on hand."""
    if not item.by_serial:
        return None
    if size.units * (scan.count or 1) != 10**item.unit_places:
        raise Refused(
            f"{size.level} pack of {shown(item, size.units * (scan.count or 1))} {item.code}, "
            "which is kept by serial. Scan each one by itself."
        )
    serial = pack.serial or scan.serial
    if serial is None:
        lost = "the separator may be lost; " if scan.hidden_serial else ""
        words = f"{lost}scan its other symbol, or type the printed serial."
        raise Wanted("serial", f"{_name(item)}: {words}")
    if pack.door is None and serials_on_hand(desk.db, item.code, [serial]):
        raise Refused(
            f"{item.code}: serial {serial} is on hand already. Read the label again; look with "
            f"'stockbook trace {serial}'."
        )
    return serial


def _check_repeated(desk: Desk, scan: Scan, item: Item, serial: str | None) -> None:
    """One serial is one pack, whether the book keeps its item by serial or not."""
    for one in desk.unpacking.packs:
        same = serial is not None and (one.item, one.serial) == (item.code, serial)
        if same or (scan.serial and one.scan == scan.raw):
            raise Refused(
                f"{item.code}: serial {serial or scan.serial} was scanned before. One serial, one "
                "pack."
            )


def _expiry(pack: OpenPack, scan: Scan, item: Item, number: str) -> tuple[str, str]:
    if pack.expiry is not None:
        return pack.expiry, str(pack.precision)
    if scan.expires_on is None:
        raise Wanted(
            "expiry",
            f"{item.code} lot {number}: scan its other symbol, or type the printed expiry (a day, "
            "a month, or none).",
        )
    return scan.expires_on, "month" if scan.expiry_precision == "month" else "day"


def _name(item: Item) -> str:
    return f"{item.code} {item.name}"
