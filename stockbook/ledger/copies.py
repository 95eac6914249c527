"""Copies of a whole book, taken under load and put in a place; its entries as chained."""

import errno
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from itertools import pairwise
from pathlib import Path

from stockbook.domain.entries import HEAD, entry_text
from stockbook.errors import BookUnusable
from stockbook.ledger.opening import Book, translated

PAGES = 1024
"""How many pages are copied before other work gets its turn."""
PATIENCE = 3
"""How often a copy begins anew because somebody posted, before it holds the book till its end."""
BESIDE = ("-journal", "-wal")
"""What SQLite keeps beside a book with unfinished work; it belongs to that very file."""


class _TooBusyError(Exception):
    """Every turn given to others made the copy begin anew."""


def copy_to(book: Book, target: Path) -> None:
    """The target, a new file, is one state of the book, whatever is posted meanwhile.

    Raises OSError where the target has no space.
    """
    with translated(book.path), closing(sqlite3.connect(target)) as copy:
        try:
            try:
                book.file.backup(copy, pages=PAGES, progress=_watch(book.path))
            except _TooBusyError:
                book.file.backup(copy, progress=_watch(book.path))
        except sqlite3.OperationalError as error:
            if getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_FULL:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)) from error
            raise
        copy.execute("PRAGMA journal_mode = DELETE")
    on_disk(target)


def _watch(path: Path) -> Callable[[int, int, int], None]:
    """Ends a copy that waits for ever or begins anew too often."""
    left: list[int] = []

    def watch(status: int, remaining: int, _: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise BookUnusable(f"{path}: another posting has held the book too long. Try again.")
        left.append(remaining)
        if sum(later > earlier for earlier, later in pairwise(left)) > PATIENCE:
            raise _TooBusyError

    return watch


def on_disk(path: Path) -> None:
    """A file, or the names in a folder, are on the disk and not only on their way there."""
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def put(copy: Path, place: Path) -> None:
    """The copy stands in the place at once, readable by those who could read what was there."""
    if place.exists():
        copy.chmod(place.stat().st_mode & 0o777)
    copy.replace(place)
    with suppress(OSError):
        on_disk(place.parent)


def set_aside(place: Path) -> Path:
    """What lies in the place, with its unfinished work, is kept under a new name beside it."""
    kept, count = place.with_name(f"{place.name}.damaged"), 1
    while any(kept.with_name(f"{kept.name}{ending}").exists() for ending in ("", *BESIDE)):
        count += 1
        kept = place.with_name(f"{place.name}.damaged.{count}")
    _rename(place, kept)
    return kept


def put_aside_back(kept: Path, place: Path) -> None:
    """What was set aside is in its place again."""
    _rename(kept, place)


def _rename(old: Path, new: Path) -> None:
    for ending in (*BESIDE, ""):
        file = old.with_name(f"{old.name}{ending}")
        if file.exists() and (file.stat().st_size or not ending):
            file.replace(new.with_name(f"{new.name}{ending}"))


@contextmanager
def held(book: Book) -> Iterator[sqlite3.Connection]:
    """The file of the book, which nobody reads or changes meanwhile; nothing is changed in it."""
    if not book.writable:
        raise BookUnusable(f"{book.path}: this book can only be read here. It stays as it is.")
    with translated(book.path):
        book.file.execute("BEGIN EXCLUSIVE")
        try:
            yield book.file
        finally:
            book.file.execute("ROLLBACK")


def checksum_of(db: sqlite3.Connection, number: int) -> str | None:
    """The checksum of an entry, or none."""
    row = db.execute("SELECT checksum FROM entry WHERE number = ?", (number,)).fetchone()
    return str(row[0]) if row else None


def chained(db: sqlite3.Connection, first: int, last: int) -> list[tuple[str, str]]:
    """The checksums of some entries, each with the very text that it covers, in order."""
    heads = db.execute(
        f"SELECT {', '.join(HEAD)}, checksum FROM entry WHERE number BETWEEN ? AND ? "
        "ORDER BY number", (first, last),
    )  # fmt: skip
    return [(str(found), _text(db, head)) for *head, found in heads.fetchall()]


def _text(db: sqlite3.Connection, head: list[int | str | None]) -> str:
    moves = db.execute(
        "SELECT lot, quantity, value, from_place, to_place, case_code, reason, seen "
        "FROM movement WHERE entry = ? ORDER BY line", (head[0],),
    )  # fmt: skip
    changes = db.execute(
        "SELECT kind, code, body FROM change WHERE entry = ? ORDER BY line", (head[0],)
    )
    return entry_text(head, moves.fetchall(), changes.fetchall())
