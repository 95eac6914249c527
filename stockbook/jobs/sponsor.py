"""Sponsors: what they pay, all or one; one made, or changed in what is given."""

from collections.abc import Mapping

from stockbook.domain.entries import Signature
from stockbook.domain.finance_facts import Sponsor
from stockbook.domain.importing import Imported
from stockbook.jobs.finding import known
from stockbook.jobs.one_fact import record_one
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book


def sponsors_of(book: Book, code: str | None = None) -> list[Sponsor]:
    """What the book says of every sponsor, or of one; cases may name others."""
    with book.reading() as db:
        return all_of(db, Sponsor) if code is None else [known(db, Sponsor, code, "sponsor")]


def new_sponsor(
    book: Book, signature: Signature, code: str, given: Mapping[str, str], *, keep: bool = True
) -> Imported:
    """A sponsor of a new code is in the book; `given` is column to text, as in a file."""
    return record_one(book, signature, "sponsor", {"sponsor": code, **given}, new=True, keep=keep)


def change_sponsor(
    book: Book, signature: Signature, code: str, given: Mapping[str, str], *, keep: bool = True
) -> Imported:
    """A sponsor of the book has what is given; the rest stays as it was."""
    return record_one(book, signature, "sponsor", {"sponsor": code, **given}, new=False, keep=keep)
