"""A staff code by itself: made, or changed in what is given."""

from collections.abc import Mapping

from stockbook.domain.entries import Signature
from stockbook.domain.importing import Imported
from stockbook.jobs.one_fact import record_one
from stockbook.ledger.opening import Book


def new_staff(
    book: Book, signature: Signature, code: str, given: Mapping[str, str], *, keep: bool = True
) -> Imported:
    """A staff code of a new code is in the book; `given` is column to text, as in a file."""
    return record_one(book, signature, "staff", {"staff": code, **given}, new=True, keep=keep)


def change_staff(
    book: Book, signature: Signature, code: str, given: Mapping[str, str], *, keep: bool = True
) -> Imported:
    """A staff code of the book has what is given; the rest stays as it was."""
    return record_one(book, signature, "staff", {"staff": code, **given}, new=False, keep=keep)
