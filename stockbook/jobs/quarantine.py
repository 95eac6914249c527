"""Quarantine: a condition under which stock must not be used, until two people release it."""

import sqlite3
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.days import day_from_text
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import Quarantine
from stockbook.domain.picking import is_stopped
from stockbook.domain.places import SITE_KINDS
from stockbook.domain.reasons import QUARANTINE, reason_from
from stockbook.domain.records import QuarantineView
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known, known_item, known_place, known_supplier
from stockbook.jobs.signing import check_person, fresh_request, second_person
from stockbook.ledger.cases import staged_cases
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting
from stockbook.ledger.stock import items_by_code, lots_named, on_hand, quarantines


@dataclass(frozen=True, slots=True)
class Condition:
    """What must not be used, as it was typed; blank parts match all."""

    item: str | None = None
    number: str | None = None
    serial: str | None = None
    supplier: str | None = None
    expires_from: str | None = None
    expires_through: str | None = None
    place: str | None = None


def start_quarantine(
    book: Book, signature: Signature, condition: Condition, *, keep: bool = True
) -> tuple[int, QuarantineView]:
    """What meets the condition is not picked or issued any more; later deliveries included."""
    reason = reason_from(signature.reason, QUARANTINE, "--reason")
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "quarantine")
        made = _quarantine(post.db, condition, reason, signature.happened_on)
        request = fresh_request(post.db, "quarantine", [made.code])
        recorded = post.post(Draft("quarantine", signature, request, facts=[made]))
        return recorded.number, _view(post.db, made)


def _quarantine(db: sqlite3.Connection, asked: Condition, reason: str, day: str) -> Quarantine:
    if asked == Condition():
        raise InputError(
            "quarantine: nothing named. Give at least one of --item, --lot, --serial, "
            "--supplier, --expires-from, --expires-through, --place."
        )
    item = known_item(db, asked.item).code if asked.item else None
    number = texts.required_text(asked.number, "lot") if asked.number else None
    serial = texts.required_text(asked.serial, "serial") if asked.serial else None
    for printed in (number, serial):
        if printed and not lots_named(db, printed) and not item:
            raise InputError(
                f"quarantine: {printed} was never here. To stop it before it comes, "
                "name its item as well."
            )
    first = day_from_text(asked.expires_from, "--expires-from") if asked.expires_from else None
    last = (
        day_from_text(asked.expires_through, "--expires-through") if asked.expires_through else None
    )
    if first and last and first > last:
        raise InputError(f"quarantine: expiry from {first} lies after expiry through {last}.")
    return Quarantine(
        f"Q{len(all_of(db, Quarantine)) + 1}", reason, day, item, number,
        serial,
        known_supplier(db, asked.supplier).code if asked.supplier else None,
        first,
        last,
        known_place(db, asked.place, SITE_KINDS).code if asked.place else None,
    )  # fmt: skip


def release_quarantine(
    book: Book, signature: Signature, code: str, *, keep: bool = True
) -> tuple[int, QuarantineView]:
    """Two named people declare what was stopped fit for use."""
    if not signature.comment:
        raise InputError("release: say why it is fit for use with --comment.")
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "quarantine")
        second_person(signature, "A release")
        quarantine = known(post.db, Quarantine, code, "quarantine")
        if quarantine.released:
            raise Refused(f"quarantine {quarantine.code} is released already.")
        view = _view(post.db, quarantine)
        request = fresh_request(post.db, "release", [quarantine.code])
        released = replace(quarantine, released=True)
        recorded = post.post(Draft("release", signature, request, facts=[released]))
        return recorded.number, replace(view, quarantine=released)


def quarantine_views(book: Book, *, released: bool = False) -> list[QuarantineView]:
    """Every quarantine that stands (or every one), with what it covers now."""
    with book.reading() as db:
        found = all_of(db, Quarantine) if released else quarantines(db)
        return [_view(db, quarantine) for quarantine in found]


def _view(db: sqlite3.Connection, quarantine: Quarantine) -> QuarantineView:
    """What the condition covers now, staged kits first with their case."""
    if quarantine.released:
        return QuarantineView(quarantine, ())
    items = {quarantine.item} if quarantine.item else None
    number = quarantine.number or quarantine.serial
    rows = [
        r for r in on_hand(db, items=items, number=number) if is_stopped(quarantine, r.lot, r.place)
    ]
    known = items_by_code(db, {r.lot.item for r in rows})
    staged = staged_cases(db, {r.lot.code for r in rows})
    shown = [(r, known[r.lot.item], staged.get((r.place, r.lot.code))) for r in rows]
    return QuarantineView(quarantine, tuple(sorted(shown, key=lambda s: s[2] is None)))
