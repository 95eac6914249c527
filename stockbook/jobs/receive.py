"""Receiving a delivery by lot: each line a lot, exactly its value, recorded once."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockbook.domain import texts
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
from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import Lot
from stockbook.domain.order_facts import Rejection
from stockbook.domain.records import Received, ReceivedLine
from stockbook.errors import InputError, NeedsAnswer, Refused
from stockbook.jobs.delivery_orders import (
    Orders,
    agreed_price,
    expected_orders,
    named_orders,
    price_of_terms,
    received_orders,
)
from stockbook.jobs.finding import known_place, known_supplier
from stockbook.jobs.receive_checks import check_lines
from stockbook.jobs.signing import check_person
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, find_request, natural_key, posting
from stockbook.ledger.stock import items_by_code, last_price, next_lot


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
    rejected: Sequence[Rejection] = ()
    """What came and is not taken in; their codes are given here."""


def receive_delivery(
    book: Book, signature: Signature, delivery: Delivery, *, keep: bool = True
) -> Received:
    """The delivery is on the shelf, lot by lot; the same note with the same lines stays one."""
    with posting(book, keep=keep) as post:
        return receive_within(post, signature, delivery)


def receive_within(post: Posting, signature: Signature, delivery: Delivery) -> Received:
    """The same inside a transaction that is open already."""
    check_person(post.db, signature, "receive")
    delivery = _with_orders(delivery)
    supplier = known_supplier(post.db, delivery.supplier).code
    place = known_place(post.db, delivery.place, ("store", "theatre", "quarantine")).code
    request = _request(post.db, supplier, place, delivery, signature)
    known = find_request(post.db, request)
    if known is not None:
        return Received(known, True, supplier, delivery.note, place, (), delivery.charges)
    if not delivery.lines and not delivery.rejected:
        raise InputError("delivery: no lines. Give --line or --lines FILE.")
    check_lines(post.db, delivery.lines, signature.happened_on, place)
    return _record(post, signature, request, supplier, place, delivery)


def _with_orders(delivery: Delivery) -> Delivery:
    """The delivery with its order on every line that names none."""
    order = texts.code(delivery.order, "--order") if delivery.order else None
    lines = [replace(line, order=line.order or order) for line in delivery.lines]
    rejected = [replace(one, order_code=one.order_code or order) for one in delivery.rejected]
    return replace(delivery, lines=lines, rejected=rejected)


def _record(
    post: Posting, signature: Signature, request: Request, supplier: str, place: str,
    delivery: Delivery,
) -> Received:  # fmt: skip
    db = post.db
    orders = named_orders(db, supplier, delivery.lines, signature.happened_on)
    lines = [priced(line, _known_price(db, supplier, orders, line)) for line in delivery.lines]
    expected = expected_orders(db, supplier, delivery.lines)
    charges = _charges(db, delivery.charges, lines)
    first = next_lot(db)
    document = delivery.note
    lots = [
        lot_of(line, first + n, signature.happened_on, supplier, document)
        for n, line in enumerate(lines)
    ]
    moves = delivery_movements(lines, lots, charges, supplier, place)
    rejected = _rejected(delivery, request, supplier)
    draft = Draft("delivery", signature, request, moves, (*lots, *rejected), document)
    recorded = post.post(draft)
    return Received(
        recorded.number, recorded.already, supplier, document, place,
        _received_lines(lines, lots, moves), charges,
        received_orders(db, orders, delivery.lines), expected, rejected,
        items_by_code(db, {one.item for one in rejected if one.item}),
    )  # fmt: skip


def _known_price(
    db: sqlite3.Connection, supplier: str, orders: Orders, line: DeliveryLine
) -> tuple[int, int] | None:
    """By the order, else the supplier's terms, else what was last paid; for so many steps."""
    return (
        agreed_price(orders, line)
        or price_of_terms(db, supplier, line)
        or last_price(db, line.item.code)
    )


def _rejected(delivery: Delivery, request: Request, supplier: str) -> tuple[Rejection, ...]:
    return tuple(
        replace(one, code=f"{request.key}/{n}", supplier=supplier)
        for n, one in enumerate(delivery.rejected, start=1)
    )


def _received_lines(
    lines: Sequence[PricedLine], lots: Sequence[Lot], moves: Sequence[Movement]
) -> tuple[ReceivedLine, ...]:
    """Each line with its lot and all that its movements are worth."""
    values: dict[int, int] = {}
    for move in moves:
        values[move.lot] = values.get(move.lot, 0) + move.value
    return tuple(
        ReceivedLine(lot, p.line, values[lot.code], p.provisional)
        for p, lot in zip(lines, lots, strict=True)
    )


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
    digest = digest_of([asked_of_delivery(delivery), place])
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


def asked_of_delivery(delivery: Delivery) -> list[object]:
    """What makes two deliveries the same; how they were read is left out."""
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
    return [*asked, *([orders] if any(orders) else []), *_asked_at_the_door(delivery)]


def _asked_at_the_door(delivery: Delivery) -> list[object]:
    """What was set aside or not taken in; nothing where all of it was taken in."""
    aside = [[line.place, line.reason] for line in delivery.lines]
    rejected = [
        [one.reason, one.quantity, one.item, one.identifier, one.number, one.serial, one.expires_on]
        for one in delivery.rejected
    ]
    any_aside = any(place for place, _ in aside)
    return [{"aside": aside, "rejected": rejected}] if any_aside or rejected else []
