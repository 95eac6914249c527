"""Staff codes: shown, all or one; one made, or changed in what is given."""

from collections.abc import Mapping

from stockbook.domain.about import Person
from stockbook.domain.entries import Signature
from stockbook.domain.facts import StaffCode
from stockbook.domain.importing import Imported
from stockbook.jobs.finding import known
from stockbook.jobs.one_fact import record_one
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import people


def all_staff(book: Book) -> list[Person]:
    """Every staff code of the book with its name, also those that may no longer record."""
    with book.reading() as db:
        names = people(db)
        return [Person(staff, names.get(staff.code)) for staff in all_of(db, StaffCode)]


def one_person(book: Book, text: str) -> Person:
    """The person of a code."""
    with book.reading() as db:
        staff = known(db, StaffCode, text, "staff")
        return Person(staff, people(db).get(staff.code))


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
