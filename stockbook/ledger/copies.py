"""Copies of a whole book: taken under load, put in place of another; its entries as chained."""

import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from stockbook.domain.entries import HEAD, entry_text
from stockbook.ledger.opening import Book, translated

PAGES = 1024
"""How many pages are copied before other work gets its turn."""


def copy_to(book: Book, target: Path) -> None:
    """The target holds the book as one state of it, whatever is posted meanwhile."""
    with translated(book.path):
        copy = sqlite3.connect(target)
        try:
            book.file.backup(copy, pages=PAGES)
            copy.execute("PRAGMA journal_mode = DELETE")
        finally:
            copy.close()
    _on_disk(target)


def _on_disk(target: Path) -> None:
    """What was written is on the disk, not only on its way there."""
    with target.open("rb") as file:
        os.fsync(file.fileno())


def checksum_of(db: sqlite3.Connection, number: int) -> str | None:
    """The checksum of an entry, or none."""
    row = db.execute("SELECT checksum FROM entry WHERE number = ?", (number,)).fetchone()
    return str(row[0]) if row else None


def chained(db: sqlite3.Connection) -> Iterator[tuple[str, str]]:
    """Every entry's checksum and the very text that it covers, in order."""
    heads = db.execute(f"SELECT {', '.join(HEAD)}, checksum FROM entry ORDER BY number")
    for *head, found in heads:
        moves = db.execute(
            "SELECT lot, quantity, value, from_place, to_place, case_code, reason, seen "
            "FROM movement WHERE entry = ? ORDER BY line",
            (head[0],),
        ).fetchall()
        changes = db.execute(
            "SELECT kind, code, body FROM change WHERE entry = ? ORDER BY line", (head[0],)
        ).fetchall()
        yield str(found), entry_text(head, moves, changes)
