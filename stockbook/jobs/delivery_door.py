"""What is not taken in at the door, or set aside in the quarantine area: typed lines of it."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.amounts import quantity_from_text
from stockbook.domain.days import expiry_from_text
from stockbook.domain.deliveries import DeliveryLine
from stockbook.domain.facts import PackSize, Place
from stockbook.domain.gtin import is_gtin_like
from stockbook.domain.order_facts import Rejection
from stockbook.domain.reasons import DOOR, reason_from
from stockbook.domain.scans import pack_identifier
from stockbook.errors import InputError
from stockbook.jobs.delivery_lines import lines_typed
from stockbook.jobs.finding import item_or_pack, known_place, quantity_of
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.opening import Book

Typed = tuple[str, str, str, str, str]
"""Item or pack, how many, lot, expiry, reason; `-` leaves one out."""


def quarantine_area(db: sqlite3.Connection, named: str | None) -> str:
    """The quarantine area of a code; where none is named, the only one."""
    if named:
        return known_place(db, named, ("quarantine",)).code
    areas = [place.code for place in all_of(db, Place, closed=0, kind="quarantine")]
    if len(areas) == 1:
        return areas[0]
    there = f"name one of {', '.join(areas)}" if areas else "this book has none. Reject it instead"
    raise InputError(f"quarantine area: {there}.")


def lines_set_aside(
    book: Book, typed: Sequence[Typed], area: str | None, more: Mapping[str, str]
) -> list[DeliveryLine]:
    """Typed lines that go to the quarantine area, each with its reason."""
    if not typed:
        return []
    place = quarantine_area(book.db, area)
    lines = []
    for *said, why in typed:
        thing, count, lot, expiry = said
        reason = reason_from(why, DOOR, "--quarantine, reason")
        (line,) = lines_typed(book, [(thing, count, lot, expiry, "-")], more)
        lines.append(replace(line, reason=reason, place=place))
    return lines


def rejections_typed(book: Book, typed: Sequence[Typed]) -> list[Rejection]:
    """Typed lines of what is not taken in; of an unknown pack its identifier alone is kept."""
    return [_rejection(book.db, one) for one in typed]


def _rejection(db: sqlite3.Connection, typed: Typed) -> Rejection:
    thing, count, lot, expiry, why = ("" if part == "-" else part for part in typed)
    reason = reason_from(why, DOOR, "--reject, reason")
    number = texts.clean_text(lot, "lot", 40) or None
    expires_on = expiry_from_text(expiry)[0] if expiry else None
    if _is_unknown(db, thing):
        packs = quantity_from_text(count, 0, "packs")
        return Rejection(
            "", "", reason, packs, None, pack_identifier(thing), number, None, expires_on
        )
    item, pack = item_or_pack(db, thing)
    steps = quantity_from_text(count, 0, "packs") * pack.units if pack else quantity_of(item, count)
    serial = number if item.by_serial else None
    identifier = pack.code if pack else None
    return Rejection("", "", reason, steps, item.code, identifier, number, serial, expires_on)


def _is_unknown(db: sqlite3.Connection, thing: str) -> bool:
    """Whether a text is the identifier of a pack that no item of the book comes in."""
    printed = is_gtin_like(thing) or thing.startswith("+")
    return printed and find(db, PackSize, pack_identifier(thing)) is None
