"""Suppliers: shown, all or one; one made, or changed in what is given."""

import sqlite3
from collections.abc import Mapping

from stockbook.domain.entries import Signature
from stockbook.domain.facts import Supplier
from stockbook.domain.importing import Imported
from stockbook.domain.order_answers import AboutSupplier, Offer
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.supply_record import supply_record
from stockbook.jobs.finding import known_supplier
from stockbook.jobs.one_fact import record_one
from stockbook.jobs.supply_lines import ordered_lines
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
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
            supplier, tuple(_offers(db, supplier=supplier.code)), supply_record(lines, day),
            items_by_code(db, {line.item for line in lines}), int(setting(db, "short_dated_days")),
        )  # fmt: skip


def offers(book: Book, text: str | None = None) -> list[Offer]:
    """How all suppliers, or one, sell what they sell."""
    with book.reading() as db:
        return _offers(db, **({"supplier": known_supplier(db, text).code} if text else {}))


def _offers(db: sqlite3.Connection, **wanted: str) -> list[Offer]:
    terms = all_of(db, SupplyTerms, **wanted)
    items = items_by_code(db, {one.item for one in terms})
    return [Offer(one, items[one.item]) for one in terms]


def new_supplier(
    book: Book, signature: Signature, code: str, given: Mapping[str, str], *, keep: bool = True
) -> Imported:
    """A supplier of a new code is in the book; `given` is column to text, as in a file."""
    return record_one(book, signature, "supplier", {"supplier": code, **given}, new=True, keep=keep)


def change_supplier(
    book: Book, signature: Signature, code: str, given: Mapping[str, str], *, keep: bool = True
) -> Imported:
    """A supplier of the book has what is given; the rest stays as it was."""
    return record_one(
        book, signature, "supplier", {"supplier": code, **given}, new=False, keep=keep
    )
