"""What is scanned or typed in theatre: a case, an act, a pack; and what speaks against a pack."""

import sqlite3
from typing import NoReturn

from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case, Item, Lot
from stockbook.domain.lenses import power_text
from stockbook.domain.meanings import Meaning
from stockbook.domain.own_codes import ACTS, own_parts
from stockbook.domain.picking import why_not_usable
from stockbook.domain.places import trolley_place
from stockbook.domain.scans import read
from stockbook.domain.sitting import Pack, Said, Sitting
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import lens_item, shown
from stockbook.jobs.preparing import Shared, list_of, wish_for
from stockbook.jobs.scan import what_is
from stockbook.ledger.cases import case_rows, kinds_recorded, seen_for
from stockbook.ledger.facts import find
from stockbook.ledger.stock import lots_by_code, lots_named, on_hand

TYPED = (*ACTS, "LEAVE")
"""Words that mean the same typed as their symbol on the card."""

_WORDS = 3
"""Item, lot and expiry, typed."""

WAITING_FOR_PACK = ("OPENED", "RETURNED", "DROPPED")
"""Acts that are about the next pack."""


def said(db: sqlite3.Connection, text: str, today: str) -> Said:
    """An act, a case, a staff code or a pack; what is none of them is refused by name."""
    typed = _typed(db, text.strip("\r\n\t"))
    return typed or _scanned(what_is(db, read(text, today), today))


def _typed(db: sqlite3.Connection, text: str) -> Said | None:
    """Words from a keyboard: an act, a case, or an item with its lot and expiry."""
    words = text.split()
    if not words or own_parts(text) is not None:
        return None
    first, argument = words[0].upper(), " ".join(words[1:]) or None
    if first in TYPED:
        return Said("act", first, argument)
    if find(db, Case, first) is not None and argument is None:
        return Said("case", first)
    item = find(db, Item, first)
    if item is None:
        return None
    if len(words) > _WORDS:
        raise InputError(f"{text!r}: wanted ITEM LOT EXPIRY.")
    lot, expiry = (*words[1:], None, None)[:2]
    return Said("pack", item.code, None, lot, expiry, 10**item.unit_places)


def _scanned(meaning: Meaning) -> Said:
    """What a scan means in this sitting."""
    scan = meaning.scan
    if scan.scheme == "own":
        return _own(meaning)
    if meaning.item is None:
        raise InputError(
            f"{scan.identifier}: no item of this book has this identifier. Type ITEM LOT EXPIRY."
        )
    lot = scan.serial if meaning.item.by_serial and scan.serial else scan.lot
    one = 10**meaning.item.unit_places
    pack = meaning.pack
    if pack is not None and pack.level != "each" and pack.units != one:
        raise InputError(
            f"{pack.level} pack of {shown(meaning.item, pack.units)} {meaning.item.code}. Scan the "
            f"unit's own pack, or type {meaning.item.code} LOT."
        )
    return Said("pack", meaning.item.code, None, lot, scan.expiry, pack.units if pack else one)


def _own(meaning: Meaning) -> Said:
    kind, code = meaning.scan.kind, meaning.scan.code
    if kind == "act":
        return Said("act", code[0])
    if kind in ("staff", "kit"):
        return Said(kind, code[0])
    if meaning.own is None:
        raise InputError(f"{meaning.scan.raw}: not in this book. Is the strip of another one?")
    if isinstance(meaning.own, Case):
        return Said("case", meaning.own.code)
    if isinstance(meaning.own, Lot) and meaning.item is not None:
        lot = meaning.own
        return Said("pack", lot.item, None, lot.serial or lot.number, lot.expires_on,
                    10**meaning.item.unit_places)  # fmt: skip
    raise InputError(f"{meaning.scan.raw}: no case, pack or act. Scan a strip, a pack or the card.")


def check_pack(
    db: sqlite3.Connection, signature: Signature, case: Case, sitting: Sitting, what: Said,
    item: Item,
) -> tuple[int, str]:  # fmt: skip
    """How many units a pack stands for and what it is to the case, in words.

    The wrong lens and a lot that must not be used are refused; what was used all the same is
    recorded by hand, with its reason.
    """
    check_lens(db, case, item)
    _check_usable(db, signature, case, item, what.lot)
    _check_serial(db, case, sitting, item, what.lot)
    staged = staged_of(db, case, item.code)
    there = sum(quantity for _, quantity in staged)
    before = _scanned_before(case, sitting, what, item)
    units = what.units or 1
    if item.unit_places:
        units = there - before
        if units <= 0:
            raise InputError(_how_much(case, item))
    if sitting.act == "RETURNED" and before + units > there and _issued(db, case):
        raise Refused(
            f"{item.code}: {shown(item, there)} on the trolley, none of it left to return. Put "
            "this pack back where it lay."
        )
    if sitting.act in WAITING_FOR_PACK:
        return units, str(sitting.act).lower()
    count = f" ({shown(item, before + units)} of {shown(item, there)})" if there > units else ""
    if before + units > there:
        return units, f"besides the kit{count}" if there or before else _extra(case, item)
    presumed = any(what.lot in (lot.number, lot.serial) for lot, _ in staged)
    if presumed or what.lot is None:
        return units, f"as presumed{count}"
    return units, f"instead of the presumed lot{count}"


def _issued(db: sqlite3.Connection, case: Case) -> bool:
    return "issue" in kinds_recorded(db, case.code)


def staged_of(db: sqlite3.Connection, case: Case, item: str) -> list[tuple[Lot, int]]:
    """Lots of an item that lie on the case's trolley, with how much."""
    rows = case_rows(db, case.code, trolley_place(list_of(db, case).theatre), item)
    lots = lots_by_code(db, {row.lot for row in rows}) if rows else {}
    return [(lots[row.lot], row.quantity) for row in rows]


def _scanned_before(case: Case, sitting: Sitting, what: Said, item: Item) -> int:
    """How much of an item was scanned; a pack that is now said to be waste or back left out."""
    units = [u for u in sitting.of_case(case.code) if u.item == item.code]
    twins = (u.quantity for u in units if u.what == "used" and u.lot == what.lot)
    twin = next(twins, 0) if sitting.act in WAITING_FOR_PACK else 0
    return sum(u.quantity for u in units) - twin


def _how_much(case: Case, item: Item) -> str:
    """A bottle confirms what the kit took of it; how much more was used no scan says."""
    return (
        f"{item.code}: nothing of the kit is left to confirm, and a scan says no {item.unit}. "
        f"First stockbook issue {case.code} --extra {item.code} QTY, then scan it."
    )


def _extra(case: Case, item: Item) -> str:
    missing = any(gap.item == item.code for gap in case.missing)
    return "was missing at the issue: drawn now" if missing else "not in the kit: an extra"


def scanned_already(case: Case, sitting: Sitting, what: Said, item: Item) -> str | None:
    """What to say of a pack that is one of its kind and was read before; none of any other.

    Two packs of one lot are two; a serial is one lens however often the scanner reads it, and a
    bottle confirms what the kit took of it once.
    """
    if sitting.act in WAITING_FOR_PACK:
        return None
    twins = [u for u in sitting.of_case(case.code) if (u.item, u.lot) == (item.code, what.lot)]
    if not twins or not (item.unit_places or (item.by_serial and what.lot)):
        return None
    lot = f" lot {what.lot}" if what.lot else ""
    return f"{item.code}{lot}: scanned before, counted once."


def _check_serial(
    db: sqlite3.Connection, case: Case, sitting: Sitting, item: Item, number: str | None
) -> None:
    """A lens of its own serial is one lens: not another case's, and not one that was used."""
    if not item.by_serial or number is None:
        return
    others = {p.case for p in sitting.packs if (p.unit.item, p.unit.lot) == (item.code, number)}
    if others - {case.code}:
        raise Refused(f"{item.code} {number} was scanned for {min(others)}. One lens, one case.")
    lots = [lot for lot in lots_named(db, number, item.code) if lot.serial == number]
    rows = on_hand(db, lots={lot.code for lot in lots}) if lots else []
    if lots and not rows:
        raise Refused(f"{item.code} {number} was used or wasted before. Read the pack again.")
    for owner in seen_for(db, {row.lot.code for row in rows}) - {case.code}:
        raise Refused(f"{item.code} {number} was seen for {owner}. One lens, one case.")


def check_lens(db: sqlite3.Connection, case: Case, item: Item) -> None:
    """A lens that is not exactly the case's own is never taken silently."""
    if item.lens_model is None:
        return
    if case.lens_model is None or case.power is None:
        _not_the_lens(case, item, "no lens is planned for it")
    if lens_item(db, case.lens_model, case.power).code != item.code:
        _not_the_lens(case, item, f"planned is {case.lens_model} {power_text(case.power)}")


def _not_the_lens(case: Case, item: Item, words: str) -> NoReturn:
    raise Refused(
        f"NOT THE LENS of case {case.code}: {item.code} in the hand, {words}. Stop and read the "
        "signed lens plan. A plan that was changed: stockbook case change."
    )


def _check_usable(
    db: sqlite3.Connection, signature: Signature, case: Case, item: Item, number: str | None
) -> None:
    theatre = list_of(db, case).theatre
    wish = wish_for(signature, case, theatre, {item.code: item}, Shared(db))
    lots = lots_named(db, number, item.code) if number else []
    reasons = [why_not_usable(lot, theatre, wish) for lot in lots]
    if reasons and all(reasons):
        raise Refused(
            f"{item.code} lot {number} MUST NOT BE USED: {reasons[0]}. Take another one. If it "
            "was used all the same: stockbook finish with --lot and --reason."
        )


def pack_said(item: Item, pack: Pack, words: str) -> str:
    """A pack in one line."""
    lot = f" lot {pack.unit.lot}" if pack.unit.lot else ""
    return f"{item.code}{lot}, {shown(item, pack.unit.quantity)}: {words}."


def signed_in(text: str) -> str:
    """The staff code of a badge's symbol, or as it was typed."""
    parts = own_parts(text.strip())
    if parts and parts[0] != "STAFF":
        raise InputError(f"{text.strip()}: nobody sits here yet. Scan your badge first.")
    return parts[1][0] if parts and parts[0] == "STAFF" else text.strip().upper()
