"""What a scan is and means, in one line for people or one object for programs."""

from typing import Any

from stockbook.domain.days import expiry_text
from stockbook.domain.facts import Case, Kit, Lot, OperatingList, Shelf, StaffCode
from stockbook.domain.meanings import Meaning
from stockbook.domain.own_codes import ACTS
from stockbook.domain.scan_facts import Scan, scan_json
from stockbook.errors import ScanRefused
from stockbook.reports.amounts import amount, lot_name
from stockbook.reports.tables import plural

_NOTES = {
    "DAY_00": "printed without a day: the month's last",
    "RESTRICTED_CIRCULATION_PREFIX": "a number for use inside a shop or a region",
    "HIBC_UNKNOWN_DATA": "more is in the symbol than is read",
    "EXPIRY_LONG_PAST": "expired more than ten years ago: is it read right?",
    "EXPIRY_FAR_AHEAD": "expires more than fifteen years ahead: is it read right?",
    "EXPIRY_NOT_AFTER_PRODUCTION": "expires before it was made: is it read right?",
    "EXPIRY_NOT_AS_IN_BOOK": "the book has another expiry for this lot",
}
_NAMED = frozenset(("00", "01", "02", "10", "11", "15", "17", "21", "37", "7003", "8008"))


def scan_line(meaning: Meaning) -> str:
    """The scan in one line: what it is, which lot, how long it may be used, what to mind."""
    scan = meaning.scan
    if scan.scheme == "own":
        return _own_line(meaning)
    parts = [_what(meaning), _lot(meaning), _expiry(meaning)]
    parts.append(f"made {scan.produced}" if scan.produced else "")
    parts.append(f"best before {scan.best_before}" if scan.best_before else "")
    parts.append(f"{scan.quantity} in it as printed" if scan.quantity is not None else "")
    parts += [f"({ai}){value}" for ai, value in scan.elements if ai not in _NAMED]
    parts += [_NOTES[name] for name in (*scan.warn, *meaning.doubts)]
    parts.append(f"sent as ]{scan.symbology}" if scan.symbology else "")
    return "; ".join(part for part in parts if part)


def refused_line(refused: ScanRefused) -> str:
    """Why a scan was not read, with the name of the reason."""
    return f"Refused, {refused.name}: {refused.message}"


def scan_object(meaning: Meaning) -> dict[str, Any]:
    """What the scan says under its stable names; under `book` what the book says to it."""
    said = scan_json(meaning.scan)
    if meaning.days_left is not None:
        said |= {"days_left": meaning.days_left, "expired": meaning.is_expired}
    if meaning.doubts:
        said["doubts"] = meaning.doubts
    if meaning.asked:
        said["book"] = _in_book(meaning)
    return said


def refused_object(refused: ScanRefused, raw: str) -> dict[str, Any]:
    """The refusal under its stable names."""
    return {
        "ok": False, "error": refused.name, **refused.fields,
        "message": refused.message, "raw": raw,
    }  # fmt: skip


def _in_book(meaning: Meaning) -> dict[str, Any]:
    """Item, pack size and lots; quantities in finest steps."""
    thing = meaning.own or meaning.scan.kind == "act"
    known = thing if meaning.scan.scheme == "own" else meaning.item or meaning.lots
    found: dict[str, Any] = {"known": bool(known)}
    if meaning.item:
        found |= {"item": meaning.item.code, "unit_places": meaning.item.unit_places}
    if meaning.model:
        found |= {"known": True, "lens_model": meaning.model}
    if meaning.pack:
        found |= {"level": meaning.pack.level, "units": meaning.pack.units}
    if meaning.scan.lot or meaning.scan.serial or meaning.lots:
        found["lots"] = [_lot_object(lot) for lot in meaning.lots]
    return found


def _lot_object(lot: Lot) -> dict[str, Any]:
    return {
        "lot": lot.code, "item": lot.item, "number": lot.number, "serial": lot.serial,
        "expires_on": lot.expires_on,
    }  # fmt: skip


def _what(meaning: Meaning) -> str:
    """The item and how much of it; or the identifier as it was read."""
    scan, item, pack = meaning.scan, meaning.item, meaning.pack
    name = _identifier(scan)
    if item and pack:
        name = f"{item.code} {item.name}, {pack.level} of {amount(item, pack.units)}"
    elif meaning.model and pack:
        name = f"lens model {meaning.model}, {pack.level}; its power is printed on the box alone"
    elif scan.identifier and meaning.asked:
        name += " is no pack size of this book"
    return f"{name}, {plural(scan.count, 'pack')} in it" if scan.count is not None else name


def _identifier(scan: Scan) -> str:
    """What was read, in words."""
    if scan.gtin14:
        return f"GTIN {scan.gtin14}"
    if scan.content_gtin14:
        return f"contents GTIN {scan.content_gtin14}"
    if scan.lic:
        return f"HIBC {scan.identifier}"
    if scan.kind == "secondary":
        return f"HIBC second symbol (of the one that ends in {scan.link!r})"
    return f"logistic unit {scan.sscc}" if scan.sscc else "GS1 data without a product"


def _lot(meaning: Meaning) -> str:
    """The printed lot and serial, and whether the book has them."""
    scan = meaning.scan
    words = " ".join(
        [f"{what} {name}" for what, name in (("lot", scan.lot), ("serial", scan.serial)) if name]
    )
    if not words or not meaning.asked or (scan.identifier and not meaning.item):
        return words
    if not meaning.lots:
        return f"{words}, new to this book"
    items = "" if meaning.item else f" ({', '.join(sorted({lot.item for lot in meaning.lots}))})"
    return f"{words}, in this book{items}"


def _expiry(meaning: Meaning) -> str:
    """The expiry as printed, and how far away it is."""
    scan, left = meaning.scan, meaning.days_left
    if scan.expiry is None or left is None:
        return ""
    words = expiry_text(scan.expiry, str(scan.expiry_precision))
    if left < 0:
        return f"EXPIRED {words}, {plural(-left, 'day')} ago"
    return f"expires {words}, {plural(left, 'day')} left"


def _own_line(meaning: Meaning) -> str:
    """A code of the site's own, in words."""
    kind, parts = meaning.scan.kind, meaning.scan.code
    if kind == "act":
        return f"{parts[0]}: {ACTS[parts[0]]}"
    name = f"{kind} {' '.join(parts)}"
    if not meaning.asked:
        return name
    words = _own_words(meaning)
    return f"{name}: {words or 'not in this book'}"


def _own_words(meaning: Meaning) -> str:
    """What the book knows of the thing; nothing of a patient."""
    own = meaning.own
    if isinstance(own, Case):
        words = [f"list {own.list}", own.procedure, own.category]
        return ", ".join([w for w in (*words, "cancelled" if own.cancelled else None) if w])
    if isinstance(own, Kit):
        return "a procedure that has a kit"
    if isinstance(own, OperatingList):
        return f"{own.day}, {own.theatre}, {own.part}"
    if isinstance(own, Lot) and meaning.item:
        expiry = expiry_text(own.expires_on, own.expiry_precision)
        return f"{meaning.item.code} {meaning.item.name}, lot {lot_name(own)}, expiry {expiry}"
    if isinstance(own, Shelf):
        return f"{meaning.item.name if meaning.item else own.item}, label {own.label}"
    return own.role if isinstance(own, StaffCode) else ""
