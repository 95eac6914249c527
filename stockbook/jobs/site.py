"""Whose book this is, for the headings."""

from stockbook.domain.answers import Site
from stockbook.jobs.finding import money_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import people, setting


def site_of(book: Book) -> Site:
    """The site's name and money, and the names beside the staff codes."""
    db = book.db
    demonstration = setting(db, "demonstration") == "yes"
    return Site(setting(db, "site"), money_of(db), demonstration, people(db))
