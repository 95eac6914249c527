"""Sponsors: what they pay, all or one."""

from stockbook.domain.finance_facts import Sponsor
from stockbook.jobs.finding import known
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book


def sponsors_of(book: Book, code: str | None = None) -> list[Sponsor]:
    """What the book says of every sponsor, or of one; cases may name others."""
    with book.reading() as db:
        return all_of(db, Sponsor) if code is None else [known(db, Sponsor, code, "sponsor")]
