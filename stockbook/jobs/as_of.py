"""As of when people ask: a past day or a past entry, as they type it."""

from stockbook.domain.amounts import whole_from_text
from stockbook.domain.answers import Site
from stockbook.domain.asking import AsOf
from stockbook.domain.days import day_typed
from stockbook.errors import InputError
from stockbook.jobs.site import site_of
from stockbook.ledger.as_of import day_at, first_day, lay_facts_over
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry


def as_of_typed(book: Book, today: str, day: str | None, entry: str | None) -> AsOf:
    """What was typed as an answer's day or last entry; neither is the book as it is."""
    if day is not None and entry is not None:
        raise InputError("Give --as-of DAY or --as-of-entry N, not both.")
    if entry is not None:
        return _at_entry(book, entry)
    if day is None:
        return AsOf(today, is_now=True)
    return _on_day(book, day_typed(day, today, "--as-of"), today)


def _on_day(book: Book, day: str, today: str) -> AsOf:
    if day > today:
        raise InputError(
            f"--as-of: {day} has not come yet; today is {today}. Give a day that is past."
        )
    with book.reading() as db:
        first = first_day(db)
    if day < first:
        raise InputError(
            f"--as-of: this book begins on {first}; it knows nothing of {day}. Give a later day."
        )
    return AsOf(day)


def _at_entry(book: Book, text: str) -> AsOf:
    number = whole_from_text(text, 0, "--as-of-entry")
    with book.reading() as db:
        last = last_entry(db)[0]
        if not 1 <= number <= last:
            raise InputError(
                f"--as-of-entry: entry {number} is not in this book; the last is {last}."
            )
        return AsOf(day_at(db, number), number)


def site_as_of(book: Book, as_of: AsOf) -> Site:
    """The heading's facts as they stood then; the names beside the codes are those of now."""
    with book.reading() as db:
        lay_facts_over(db, as_of)
        return site_of(book)
