"""What the hand already holds: lots named instead of picked, and units the book lacks."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from stockbook.domain import texts
from stockbook.domain.amounts import half_even
from stockbook.domain.days import expiry_from_text
from stockbook.domain.entries import Signature
from stockbook.domain.facts import Item, Lot
from stockbook.domain.finishing import Scanned
from stockbook.domain.picking import Draw, Shelf, ShelfRow, why_not_usable
from stockbook.domain.places import DIFFERENCE
from stockbook.domain.reasons import AT_USE, reason_from
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_item, quantity_of
from stockbook.jobs.preparing import Prepared
from stockbook.ledger.stock import last_price, lots_named, next_lot, on_hand, places_of_kind


@dataclass(frozen=True, slots=True)
class Hand:
    """Named lots as (item, lot); found units as (item, lot, expiry, quantity)."""

    lots: tuple[tuple[str, str], ...] = ()
    found: tuple[tuple[str, str, str, str], ...] = ()


NOTHING_IN_HAND = Hand()


@dataclass
class HandDraws:
    """The draws made by hand, lots the book did not have, and why each was out of the rule."""

    draws: list[Draw] = field(default_factory=list)
    new_lots: list[Lot] = field(default_factory=list)
    reasons: dict[tuple[str, int], str] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)


def draws_in_hand(
    db: sqlite3.Connection, signature: Signature, prepared: Prepared, hand: Hand, shelf: Shelf, *,
    happened: bool = False,
) -> HandDraws:  # fmt: skip
    """Draw what was named and found; a lot that breaks a rule only when it already happened."""
    made = HandDraws()
    late = happened or signature.happened_on < signature.today
    for item_text, number in hand.lots:
        _named(known_item(db, item_text), number, prepared, shelf, made, signature, late=late)
    for item_text, number, expiry, amount in hand.found:
        item = known_item(db, item_text)
        _found(db, item, number, expiry, quantity_of(item, amount), prepared, shelf, made,
               signature, late=late)  # fmt: skip
    return made


def _wanted(prepared: Prepared, item: Item, made: HandDraws) -> int:
    """How much of an item the case needs and no hand holds yet."""
    wanted = sum(n.quantity for n in prepared.needs if item.code in n.items and not n.standby)
    return wanted - sum(d.quantity for d in made.draws if d.lot.item == item.code)


def _named(
    item: Item, number: str, prepared: Prepared, shelf: Shelf, made: HandDraws,
    signature: Signature, *, late: bool,
) -> None:  # fmt: skip
    wanted = _wanted(prepared, item, made)
    if wanted <= 0:
        raise InputError(
            f"--lot {item.code} {number}: the case needs none of it (any more). "
            f"Add it with --extra {item.code} QTY."
        )
    rows = rows_named(shelf, item.code, number, prepared.wish.places)
    if not rows:
        raise Refused(
            f"--lot {item.code} {number}: no such lot lies in {' or '.join(prepared.wish.places)}. "
            "Use --found when the pack is in your hand."
        )
    _take(rows, wanted, prepared, shelf, made, signature, late=late)


def rows_named(shelf: Shelf, item: str, number: str, places: Sequence[str]) -> list[ShelfRow]:
    """Rows of a printed lot number or serial, in the order of the places."""
    order = {place: n for n, place in enumerate(places)}
    rows = [
        row for row in shelf.rows(item)
        if number in (row.lot.number, row.lot.serial) and row.place in order
    ]  # fmt: skip
    return sorted(rows, key=lambda r: (order[r.place], r.lot.expires_on, r.lot.code))


def _take(
    rows: Sequence[ShelfRow], wanted: int, prepared: Prepared, shelf: Shelf, made: HandDraws,
    signature: Signature, *, late: bool, reason: str | None = None,
) -> int:  # fmt: skip
    """Draw from the rows until enough; what breaks a rule needs a reason, or is refused."""
    for row in rows:
        if not wanted:
            break
        why = why_not_usable(row.lot, row.place, prepared.wish)
        if why:
            reason = _reason_for(row, why, signature, late=late)
            made.warnings.append(f"{row.lot.item} lot {row.lot.number} was {why} ({reason}).")
        part = min(wanted, row.quantity)
        made.draws.append(shelf.take(row, part, seen=True))
        if reason:
            made.reasons[(row.place, row.lot.code)] = reason
        wanted -= part
    return wanted


def _reason_for(row: ShelfRow, why: str, signature: Signature, *, late: bool) -> str:
    name = f"{row.lot.item} lot {row.lot.number}"
    if not late:
        raise Refused(f"{name} in {row.place} must not be used: {why}. Take another lot.")
    return used_all_the_same(row.lot, why, signature)


def used_all_the_same(lot: Lot, why: str, signature: Signature) -> str:
    """The reason for which a lot was used against a rule: recorded, never left out (rule 6)."""
    if signature.reason is None:
        raise Refused(
            f"{lot.item} lot {lot.number} was not to be used: {why}. If it was used all the same, "
            f"record it with --reason: {', '.join(AT_USE)}."
        )
    return reason_from(signature.reason, AT_USE, "--reason")


def _found(
    db: sqlite3.Connection, item: Item, number: str, expiry: str, quantity: int,
    prepared: Prepared, shelf: Shelf, made: HandDraws, signature: Signature, *, late: bool,
) -> None:  # fmt: skip
    """Units in the hand: from where the book shows that lot, else found, from difference."""
    elsewhere = [p.code for p in places_of_kind(db, "theatre", "store", "quarantine")]
    places = list(dict.fromkeys((*prepared.wish.places, *elsewhere)))
    for row in on_hand(db, items=[item.code], places=places, number=number):
        if not any(r.lot.code == row.lot.code and r.place == row.place
                   for r in shelf.rows(item.code)):  # fmt: skip
            shelf.put(row)
    rows = rows_named(shelf, item.code, number, places)
    left = _take(rows, quantity, prepared, shelf, made, signature, late=late,
                 reason="found-at-use")  # fmt: skip
    if left:
        _from_difference(db, item, number, expiry, left, prepared, made, signature, late=late)


def draw_lot(
    db: sqlite3.Connection, signature: Signature, prepared: Prepared, shelf: Shelf,
    made: HandDraws, unit: Scanned,
) -> None:  # fmt: skip
    """Units read from their pack: from where the book shows that lot in reach, else found."""
    item = known_item(db, unit.item)
    number = str(unit.lot)
    rows = rows_named(shelf, item.code, number, prepared.wish.places)
    left = _take(rows, unit.quantity, prepared, shelf, made, signature, late=True)
    if not left:
        return
    if unit.expiry is None and not lots_named(db, number, item.code):
        raise Refused(
            f"{item.code} lot {number} is not in this book and its expiry was not read. "
            f"Record it with --found {item.code} {number} EXPIRY QTY."
        )
    expiry = unit.expiry or lots_named(db, number, item.code)[0].expires_on
    _found(db, item, number, expiry, left, prepared, shelf, made, signature, late=True)


def _from_difference(
    db: sqlite3.Connection, item: Item, number: str, expiry: str, quantity: int,
    prepared: Prepared, made: HandDraws, signature: Signature, *, late: bool,
) -> None:  # fmt: skip
    lot = _lot_found(db, item, number, expiry, quantity, signature)
    lot = replace(lot, code=lot.code + len(made.new_lots))
    why = why_not_usable(lot, DIFFERENCE, prepared.wish)
    if why:
        row = ShelfRow(DIFFERENCE, lot, quantity, 0)
        made.warnings.append(
            f"{item.code} lot {number} was {why} ({_reason_for(row, why, signature, late=late)})."
        )
    made.new_lots.append(lot)
    made.draws.append(Draw(DIFFERENCE, lot, quantity, lot.price or 0, seen=True))
    made.reasons[(DIFFERENCE, lot.code)] = "found-at-use"
    made.warnings.append(
        f"{item.code} lot {number} was not in the book: recorded as found at use, "
        "price provisional, until it is counted."
    )


def _lot_found(
    db: sqlite3.Connection, item: Item, number: str, expiry: str, quantity: int, sign: Signature
) -> Lot:
    """A lot for units the book lacks, at the last price (none known: nothing), provisional."""
    printed = texts.required_text(number, "lot", 40)
    if item.by_serial and quantity != 10**item.unit_places:
        raise InputError(f"--found {item.code}: wanted one unit for one serial.")
    expires_on, precision = expiry_from_text(expiry)
    before = next(iter(lots_named(db, printed, item.code)), None)
    price = last_price(db, item.code)
    value = half_even(price[0] * quantity, price[1]) if price else 0
    return Lot(
        next_lot(db), item.code, before.number if before else printed,
        printed if item.by_serial else None, expires_on, precision, sign.happened_on,
        before.supplier if before else None, "bought", quantity,
        price=value, price_quantity=quantity, provisional=True,
    )  # fmt: skip
