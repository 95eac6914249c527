"""Places: shown, all or one; one made, or changed in what is given."""

from collections.abc import Mapping

from stockbook.domain.entries import Signature
from stockbook.domain.facts import Place
from stockbook.domain.importing import Imported
from stockbook.jobs.finding import known
from stockbook.jobs.one_fact import record_one
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.opening import Book


def all_places(book: Book) -> list[Place]:
    """Every place of the book by code, with those that follow from other facts."""
    with book.reading() as db:
        return all_of(db, Place)


def one_place(book: Book, text: str) -> Place:
    """The place of a code; `trolley/OT1` and the like are codes nobody can make."""
    with book.reading() as db:
        return find(db, Place, text.strip()) or known(db, Place, text, "place")


def new_place(
    book: Book, signature: Signature, code: str, given: Mapping[str, str], *, keep: bool = True
) -> Imported:
    """A place of a new code is in the book; `given` is column to text, as in a file."""
    return record_one(book, signature, "place", {"place": code, **given}, new=True, keep=keep)


def change_place(
    book: Book, signature: Signature, code: str, given: Mapping[str, str], *, keep: bool = True
) -> Imported:
    """A place of the book has what is given; the rest stays as it was."""
    return record_one(book, signature, "place", {"place": code, **given}, new=False, keep=keep)
