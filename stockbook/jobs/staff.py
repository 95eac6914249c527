"""Staff codes: shown, all or one."""

from stockbook.domain.about import Person
from stockbook.domain.facts import StaffCode
from stockbook.jobs.finding import known
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
