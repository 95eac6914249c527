"""Whose book this is and what day it has, for headings and the clock."""

from stockbook.domain.answers import Site
from stockbook.jobs.finding import money_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import book_id, last_entry, people, setting


def site_of(book: Book) -> Site:
    """The site's name and money, and the names beside the staff codes."""
    db = book.db
    demonstration = setting(db, "demonstration") == "yes"
    return Site(
        setting(db, "site"), money_of(db), demonstration, people(db), book_id(db),
        setting(db, "paper"),
    )  # fmt: skip


def demonstration_day(book: Book) -> str | None:
    """A demonstration's own today; none in a real book."""
    if setting(book.db, "demonstration") != "yes":
        return None
    return setting(book.db, "today")


def time_zone(book: Book) -> str:
    """The site's time zone."""
    return setting(book.db, "time_zone")


def last_recorded_at(book: Book) -> str:
    """When the last entry was recorded."""
    return last_entry(book.db)[3]
