"""The codes a person may be about to type."""

from stockbook.domain.codec import KINDS
from stockbook.ledger.facts import codes
from stockbook.ledger.opening import Book


def codes_like(book: Book, kind: str, start: str) -> list[str]:
    """The codes of a kind of fact that begin with a text, whatever its case."""
    return [c for c in codes(book.db, KINDS[kind]) if c.upper().startswith(start.upper())]
