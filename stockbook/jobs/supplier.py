"""Suppliers: shown, all or one; what they sell no longer."""

import sqlite3
from collections.abc import Collection, Sequence

from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import Supplier
from stockbook.domain.order_answers import AboutSupplier, Offer, Withdrawn
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.supply_record import supply_record
from stockbook.errors import InputError
from stockbook.jobs.finding import item_or_pack, known_supplier
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.jobs.supply_lines import at_the_door, ordered_lines
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting
from stockbook.ledger.settings import setting
from stockbook.ledger.stock import items_by_code


def all_suppliers(book: Book) -> list[Supplier]:
    """Every supplier of the book, by code."""
    with book.reading() as db:
        return all_of(db, Supplier)


def about_supplier(book: Book, text: str, day: str) -> AboutSupplier:
    """The supplier of a code, what they sell, and how their orders went through a day."""
    with book.reading() as db:
        supplier = known_supplier(db, text)
        lines = ordered_lines(db, supplier.code)
        return AboutSupplier(
            supplier, tuple(_offers(db, supplier=supplier.code)),
            supply_record(lines, day, at_the_door(db, supplier.code)),
            items_by_code(db, {line.item for line in lines}), int(setting(db, "short_dated_days")),
        )  # fmt: skip


def offers(book: Book, text: str | None = None) -> list[Offer]:
    """How all suppliers, or one, sell what they sell."""
    with book.reading() as db:
        return _offers(db, **({"supplier": known_supplier(db, text).code} if text else {}))


def _offers(db: sqlite3.Connection, **wanted: str) -> list[Offer]:
    terms = [one for one in all_of(db, SupplyTerms, **wanted) if not one.closed]
    items = items_by_code(db, {one.item for one in terms})
    return [Offer(one, items[one.item]) for one in terms]


def withdraw_terms(
    book: Book, signature: Signature, code: str, typed: Sequence[str], *, keep: bool = True
) -> Withdrawn:
    """The supplier sells these items no longer; what its terms were stays in the history."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "supplier")
        supplier = known_supplier(post.db, code).code
        items = sorted({item_or_pack(post.db, text)[0].code for text in typed})
        known = {one.item: one for one in all_of(post.db, SupplyTerms, supplier=supplier)}
        _check_sold(supplier, items, known)
        gone = [known[item].withdrawn() for item in items if not known[item].closed]
        left = [
            one for one in all_of(post.db, SupplyTerms, item=items)
            if one.supplier != supplier and not one.closed
        ]  # fmt: skip
        number = None
        if gone:
            asked = fresh_request(post.db, "supplier", ["without", supplier, items])
            number = post.post(Draft("facts", signature, asked, facts=gone)).number
        return Withdrawn(supplier, tuple(one.item for one in gone), tuple(left), number)


def _check_sold(supplier: str, items: Sequence[str], known: Collection[str]) -> None:
    for item in items:
        if item not in known:
            raise InputError(
                f"--without: the book has no terms of {supplier} for {item}. Look with "
                f"'stockbook supplier show {supplier}'."
            )
