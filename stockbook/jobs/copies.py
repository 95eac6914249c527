"""Backup, restore and export of a whole book; nothing is called a backup before it is verified."""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from stockbook.domain.auditing import Verdict
from stockbook.errors import BookDamaged, BookUnusable, InputError, Refused
from stockbook.ledger import audit, copies
from stockbook.ledger.opening import Book, open_book
from stockbook.ledger.settings import book_id, last_entry

Tell = Callable[[int, int], None]


def back_up(book: Book, target: Path, tell: Tell) -> Verdict:
    """The target is a verified copy of the book; an older copy of this very book is replaced."""
    _check_target(target, book.path)
    if target.exists():
        _check_older(book, target)
    with _apart(target) as copy:
        copies.copy_to(book, copy)
        verdict = _verified(copy, tell)
        copy.replace(target)
    return verdict


def restore(path: Path, backup: Path, tell: Tell) -> Verdict:
    """The backup is the book; what stood there is refused when it is newer, kept when damaged."""
    if path.exists() and backup.exists() and path.samefile(backup):
        raise InputError(f"{backup}: this is the book itself. Name a backup.")
    _check_target(path, backup)
    verdict = _verified(backup, tell)
    with _apart(path) as copy:
        with _opened(backup) as source:
            copies.copy_to(source, copy)
        kept = _make_way(path, backup)
        try:
            copy.replace(path)
        except OSError:
            if kept:
                kept.replace(path)
            raise
    return verdict


def export_lines(book: Book) -> Iterator[str]:
    """The book's id, then one line an entry: checksum, a space, the chained text."""
    with book.reading() as db:
        yield f"{book_id(db)}\n"
        for found, text in copies.chained(db):
            yield f"{found} {text}\n"


def checker() -> bytes:
    """The program that checks an export on its own."""
    package = Path(__file__).resolve().parent.parent
    return package.joinpath("files", "check_export.py").read_bytes()


@contextmanager
def _apart(target: Path) -> Iterator[Path]:
    """A file beside the target that is gone afterwards unless it took the target's place."""
    with tempfile.TemporaryDirectory(dir=target.parent, prefix=".stockbook-") as folder:
        yield Path(folder).joinpath(target.name)


@contextmanager
def _opened(path: Path) -> Iterator[Book]:
    book = open_book(path, check_schema=False)
    try:
        yield book
    finally:
        book.close()


def _verified(path: Path, tell: Tell) -> Verdict:
    with _opened(path) as book:
        verdict = audit.verify(book, tell)
    if verdict.faults:
        fault = verdict.faults[0]
        raise BookDamaged(
            f"{path}: {len(verdict.faults)} faults, the first: {fault.where} {fault.what}. "
            "Nothing was put in place."
        )
    return verdict


def _check_target(target: Path, other: Path) -> None:
    """A plain file in a folder that is there, and not the other book under another name."""
    if not target.resolve().parent.is_dir():
        raise InputError(f"{target}: there is no such folder. Make it first.")
    if target.exists() and not target.is_file():
        raise InputError(f"{target}: this is not a plain file. Choose another name.")
    if target.exists() and other.exists() and target.samefile(other):
        raise InputError(f"{target}: this is the book itself. Choose another name.")


def _check_older(book: Book, target: Path) -> None:
    """Only a copy of this book, with no entry that the book lacks, is replaced."""
    with _opened(target) as old:
        same = book_id(old.db) == book_id(book.db)
        number, checksum, _, _ = last_entry(old.db)
        chained = same and (not number or copies.checksum_of(book.db, number) == checksum)
    if not chained:
        raise Refused(
            f"{target}: there is another book, or one with other entries (its last is {number}). "
            "It stays as it is. Choose another name."
        )


def _make_way(path: Path, backup: Path) -> Path | None:
    """The way is free: nothing there, an older state of the same book, or a damaged one kept."""
    if not path.exists():
        return None
    with _opened(backup) as copy:
        wanted, (last, _, _, _) = book_id(copy.db), last_entry(copy.db)
    try:
        found, there = _identity(path)
    except BookUnusable:
        if path.stat().st_size:
            raise
        path.unlink()
        return None
    except BookDamaged:
        kept = path.with_name(f"{path.name}.damaged")
        path.replace(kept)
        return kept
    if found != wanted:
        raise Refused(
            f"{path}: another book is here (id {found[:12]}, the backup's is {wanted[:12]}). "
            "It stays as it is. Restore to another name with --book."
        )
    if there > last:
        raise Refused(
            f"{path}: the book has {there} entries, the backup only {last}; restoring would "
            "lose the newer ones. It stays as it is. Restore to another name with --book."
        )
    return None


def _identity(path: Path) -> tuple[str, int]:
    """A readable book's id and how many entries it has; a damaged one raises."""
    with _opened(path) as book:
        if audit.verify(book, lambda *_: None).faults:
            raise BookDamaged(f"{path}: damaged.")
        return book_id(book.db), last_entry(book.db)[0]
