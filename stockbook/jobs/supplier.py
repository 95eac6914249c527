"""Suppliers: shown, all or one; one made, or changed in what is given."""

from collections.abc import Mapping

from stockbook.domain.entries import Signature
from stockbook.domain.facts import Supplier
from stockbook.domain.importing import Imported
from stockbook.jobs.finding import known_supplier
from stockbook.jobs.one_fact import record_one
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book


def all_suppliers(book: Book) -> list[Supplier]:
    """Every supplier of the book, by code."""
    with book.reading() as db:
        return all_of(db, Supplier)


def one_supplier(book: Book, text: str) -> Supplier:
    """The supplier of a code."""
    with book.reading() as db:
        return known_supplier(db, text)


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
