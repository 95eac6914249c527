"""Making a book and checking one."""

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from stockbook.domain import texts
from stockbook.domain.auditing import Verdict
from stockbook.domain.entries import Draft, Request, Signature, digest_of
from stockbook.domain.facts import Category, Fact, Setting, StaffCode
from stockbook.domain.money import currency
from stockbook.domain.places import COMMON, places_of_book, places_of_category
from stockbook.domain.today import VERIFIED, Upkeep
from stockbook.errors import BookUnusable, InputError
from stockbook.ledger import audit
from stockbook.ledger.opening import Book, new_book, open_book, remove
from stockbook.ledger.posting import posting
from stockbook.ledger.upkeep import note_upkeep


@dataclass(frozen=True, slots=True)
class Founding:
    """What a new book starts with."""

    site: str
    currency: str
    time_zone: str
    categories: tuple[str, ...] = ("free", "paid")
    reference_pattern: str | None = None
    demonstration_day: str | None = None
    book_id: str | None = None


def found_book(path: Path, founding: Founding, signature: Signature) -> int:
    """A new book exists with its settings, places, categories and first manager in entry 1."""
    facts = _founding_facts(founding, signature.by)
    book = new_book(path, book_id=founding.book_id)
    try:
        asked = [founding.site, founding.currency, founding.time_zone]
        draft = Draft("book", signature, Request("book", digest_of(asked)), facts=facts)
        with posting(book) as post:
            return post.post(draft).number
    except BaseException:
        book.close()
        remove(path)
        raise
    finally:
        book.close()


def _founding_facts(founding: Founding, manager: str) -> list[Fact]:
    categories = [texts.word(c, "category") for c in founding.categories]
    if COMMON in categories or len(set(categories)) != len(categories):
        raise InputError("category: each once, and 'common' is the book's own.")
    settings = {
        "site": texts.name(founding.site, "site"),
        "currency": currency(founding.currency).code,
        "time_zone": known_time_zone(founding.time_zone),
    }
    if founding.reference_pattern:
        settings["reference_pattern"] = texts.pattern(founding.reference_pattern)
    if founding.demonstration_day:
        settings |= {"demonstration": "yes", "today": founding.demonstration_day}
    return [
        *(Setting(code, value) for code, value in settings.items()),
        *places_of_book(),
        *(Category(c, c) for c in categories),
        *(place for c in categories for place in places_of_category(c)),
        StaffCode(texts.code(manager, "staff code (--by)"), "manager"),
    ]


def known_time_zone(name: str) -> str:
    """A time zone of the IANA database."""
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError(
            f"time zone: found {name!r}, wanted a name such as Africa/Nairobi."
        ) from None
    return name


def verify_book(
    path: Path, tell: Callable[[int, int], None], now: Callable[[Book], str] | None = None
) -> Verdict:
    """Everything derived is rebuilt and compared; each fault is named.

    With a clock, a sound book notes when it was found so.
    """
    book: Book = open_book(path, check_schema=False)
    try:
        verdict = audit.verify(book, tell)
        if now is not None and not verdict.faults:
            book_is_kept(book, Upkeep(VERIFIED, now(book), verdict.entries))
        return verdict
    finally:
        book.close()


def book_is_kept(book: Book, done: Upkeep) -> None:
    """Today shows it; a book that is read-only, older or busy is left as it is."""
    if not book.writable or book.is_older:
        return
    with contextlib.suppress(BookUnusable), book.writing() as db:
        note_upkeep(db, done)
