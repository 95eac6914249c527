"""Places: shown, all or one."""

from stockbook.domain.facts import Place
from stockbook.jobs.finding import known
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
