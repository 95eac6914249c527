"""Receiving a delivery by lot: each line a lot, exactly its value, recorded once."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.days import days_between, expiry_text
from stockbook.domain.deliveries import (
    NO_CHARGES,
    Charges,
    DeliveryLine,
    PricedLine,
    charge_weights,
    delivery_movements,
    lot_of,
    priced,
)
from stockbook.domain.entries import Draft, Request, Signature, digest_of
from stockbook.domain.reasons import SHORT_DATED, reason_from
from stockbook.domain.records import Received, ReceivedLine
from stockbook.errors import InputError, NeedsAnswer, Refused
from stockbook.jobs.delivery_orders import (
    agreed_price,
    expected_orders,
    named_orders,
    received_orders,
)
from stockbook.jobs.finding import known_place, known_supplier
from stockbook.jobs.signing import check_person
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, find_request, natural_key, posting
from stockbook.ledger.settings import setting
from stockbook.ledger.stock import last_price, next_lot, serials_on_hand


@dataclass(frozen=True, slots=True)
class Delivery:
    """A delivery as it was typed or read."""

    supplier: str
    lines: Sequence[DeliveryLine]
    note: str | None = None
    place: str = "STORE"
    charges: Charges = NO_CHARGES
    order: str | None = None
    """The order of every line that names none itself."""
    another: bool = False
    """A like delivery of the same day without a note is really another one."""


def receive_delivery(
    book: Book, signature: Signature, delivery: Delivery, *, keep: bool = True
) -> Received:
    """The delivery is on the shelf, lot by lot; the same note with the same lines stays one."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "receive")
        delivery = _with_orders(delivery)
        supplier = known_supplier(post.db, delivery.supplier).code
        place = known_place(post.db, delivery.place, ("store", "theatre", "quarantine")).code
        request = _request(post.db, supplier, place, delivery, signature)
        known = find_request(post.db, request)
        if known is not None:
            return Received(known, True, supplier, delivery.note, place, (), delivery.charges)
        _check_lines(post.db, delivery.lines, signature.happened_on)
        return _record(post, signature, request, supplier, place, delivery)


def _with_orders(delivery: Delivery) -> Delivery:
    """The delivery with its order on every line that names none."""
    order = texts.code(delivery.order, "--order") if delivery.order else None
    lines = [replace(line, order=line.order or order) for line in delivery.lines]
    return replace(delivery, lines=lines)


def _record(
    post: Posting, signature: Signature, request: Request, supplier: str, place: str,
    delivery: Delivery,
) -> Received:  # fmt: skip
    db = post.db
    orders = named_orders(db, supplier, delivery.lines, signature.happened_on)
    lines = [
        priced(line, agreed_price(orders, line) or last_price(db, line.item.code))
        for line in delivery.lines
    ]
    expected = expected_orders(db, supplier, delivery.lines)
    charges = _charges(db, delivery.charges, lines)
    first = next_lot(db)
    document = delivery.note
    lots = [
        lot_of(line, first + n, signature.happened_on, supplier, document)
        for n, line in enumerate(lines)
    ]
    moves = delivery_movements(lines, lots, charges, supplier, place)
    draft = Draft("delivery", signature, request, moves, tuple(lots), document)
    recorded = post.post(draft)
    values: dict[int, int] = {}
    for move in moves:
        values[move.lot] = values.get(move.lot, 0) + move.value
    shown = [
        ReceivedLine(lot, p.line, values[lot.code], p.provisional)
        for p, lot in zip(lines, lots, strict=True)
    ]
    return Received(
        recorded.number, recorded.already, supplier, document, place, tuple(shown), charges,
        received_orders(db, orders, delivery.lines), expected,
    )  # fmt: skip


def _charges(db: sqlite3.Connection, charges: Charges, lines: Sequence[PricedLine]) -> Charges:
    if charges.freight_by:
        charges = Charges(charges.freight, known_supplier(db, charges.freight_by).code, charges.tax)
    if (charges.freight or charges.tax) and not any(charge_weights(lines)):
        raise Refused(
            "Freight and tax have no line to rest on: every line is consigned and is not ours yet."
        )
    return charges


def _request(
    db: sqlite3.Connection, supplier: str, place: str, delivery: Delivery, signature: Signature
) -> Request:
    """The note names the delivery; without one, supplier, day and digest do."""
    digest = digest_of([_asked(delivery), place])
    if delivery.note:
        return Request(natural_key(db, f"receive/{supplier}/{delivery.note}"), digest)
    base = f"receive/{supplier}/{signature.happened_on}/{digest[:16]}"
    request = Request(natural_key(db, base), digest)
    known = find_request(db, request)
    if known is None:
        return request
    if not delivery.another:
        raise NeedsAnswer(
            f"Entry {known} records a like delivery of {supplier} on {signature.happened_on}, "
            "also without a note. Is this another one?"
        )
    count = 2
    while find_request(db, Request(natural_key(db, f"{base}-{count}"), digest)) is not None:
        count += 1
    return Request(natural_key(db, f"{base}-{count}"), digest)


def _asked(delivery: Delivery) -> list[object]:
    lines = [
        [
            line.item.code, line.paid_quantity, line.bonus_quantity, line.number, line.serial,
            line.expires_on, line.price, line.terms, line.shadow_value, line.agreed_value,
            line.categories, line.sponsors,
        ]
        for line in delivery.lines
    ]  # fmt: skip
    charges = delivery.charges
    orders = [line.order for line in delivery.lines]
    asked = [lines, charges.freight, charges.freight_by, charges.tax]
    return [*asked, orders] if any(orders) else asked


def _check_lines(db: sqlite3.Connection, lines: Sequence[DeliveryLine], day: str) -> None:
    if not lines:
        raise InputError("delivery: no lines. Give --line or --lines FILE.")
    short_days = int(setting(db, "short_dated_days"))
    for number, line in enumerate(lines, start=1):
        _check_expiry(line, day, short_days, number)
    _check_serials(db, lines)


def _check_expiry(line: DeliveryLine, day: str, short_days: int, number: int) -> None:
    left = days_between(day, line.expires_on)
    expiry = expiry_text(line.expires_on, line.expiry_precision)
    if left < 0:
        raise Refused(
            f"Line {number}, {line.item.code} lot {line.number}: its expiry {expiry} lies before "
            f"the delivery ({day}). Read the pack again; if it is right, do not accept the pack."
        )
    if left < short_days and line.reason is None:
        raise Refused(
            f"Line {number}, {line.item.code} lot {line.number}: expiry {expiry} is {left} days "
            f"away, fewer than {short_days}. Give a reason: {', '.join(SHORT_DATED)}."
        )
    if line.reason is not None:
        reason_from(line.reason, SHORT_DATED, "short-dated reason")


def _check_serials(db: sqlite3.Connection, lines: Sequence[DeliveryLine]) -> None:
    by_item: dict[str, list[str]] = {}
    for line in lines:
        if line.serial is not None:
            by_item.setdefault(line.item.code, []).append(line.serial)
    for item, serials in by_item.items():
        twice = {s for s in serials if serials.count(s) > 1} | serials_on_hand(db, item, serials)
        if twice:
            raise Refused(
                f"{item}: serial {', '.join(sorted(twice))} would be on hand twice. "
                "Read the label again; look with 'stockbook trace SERIAL'."
            )
