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
from stockbook.jobs.finding import known_item, lens_item, shown
from stockbook.jobs.preparing import Shared, list_of, wish_for
from stockbook.jobs.scan import what_is
from stockbook.ledger.cases import case_rows
from stockbook.ledger.facts import find
from stockbook.ledger.stock import lots_by_code, lots_named

TYPED = (*ACTS, "LEAVE")
"""Words that mean the same typed as their symbol on the card."""


_WORDS = 3
"""Item, lot and expiry, typed."""


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
    single = meaning.pack is not None and meaning.pack.level == "each"
    units = meaning.pack.units if single and meaning.pack else one
    return Said("pack", meaning.item.code, None, lot, scan.expiry, units)


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
    db: sqlite3.Connection, signature: Signature, case: Case, sitting: Sitting, what: Said
) -> tuple[int, str]:
    """How many units a pack stands for and what it is to the case, in words.

    The wrong lens and a lot that must not be used are refused; what was used all the same is
    recorded by hand, with its reason.
    """
    item = known_item(db, what.word)
    _check_lens(db, case, item)
    _check_usable(db, signature, case, item, what.lot)
    theatre = list_of(db, case).theatre
    rows = case_rows(db, case.code, trolley_place(theatre))
    lots = lots_by_code(db, {row.lot for row in rows})
    staged = [(lots[row.lot], row.quantity) for row in rows if lots[row.lot].item == item.code]
    there = sum(quantity for _, quantity in staged)
    before = sum(u.quantity for u in sitting.of_case(case.code) if u.item == item.code)
    units = what.units or 1
    if item.unit_places and there > before:
        units = there - before
    if sitting.act in ("OPENED", "RETURNED", "DROPPED"):
        return units, sitting.act.lower()
    if before + units > there:
        return units, "besides the kit" if there or before else "not in the kit: an extra"
    presumed = any(what.lot in (lot.number, lot.serial) for lot, _ in staged)
    return units, "as presumed" if presumed or what.lot is None else "instead of the presumed lot"


def _check_lens(db: sqlite3.Connection, case: Case, item: Item) -> None:
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


def pack_said(db: sqlite3.Connection, pack: Pack, words: str) -> str:
    """A pack in one line."""
    item = known_item(db, pack.unit.item)
    lot = f" lot {pack.unit.lot}" if pack.unit.lot else ""
    return f"{item.code}{lot}, {shown(item, pack.unit.quantity)}: {words}."


def signed_in(text: str) -> str:
    """The staff code of a badge's symbol, or as it was typed."""
    parts = own_parts(text.strip())
    return parts[1][0] if parts and parts[0] == "STAFF" else text.strip().upper()
