"""Backup, restore and export of a whole book; nothing is called a backup before it is verified."""

import errno
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from stockbook.domain.auditing import Verdict
from stockbook.domain.today import COPIED, Upkeep
from stockbook.errors import BookDamaged, BookUnusable, InputError, Refused
from stockbook.jobs.book import book_is_kept
from stockbook.ledger import audit, copies
from stockbook.ledger.opening import Book, open_book
from stockbook.ledger.settings import book_id, last_entry

Tell = Callable[[int, int], None]
BATCH = 1000
"""So many entries of an export are read at a time; posting goes on in between."""
_NO_SPACE = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


@dataclass(frozen=True, slots=True)
class Restored:
    """The book that was put back, and the name under which a damaged one is kept."""

    verdict: Verdict
    kept: Path | None


@dataclass(frozen=True, slots=True)
class Exported:
    """How many entries were written, the last one's checksum, and where the checker lies."""

    entries: int
    checksum: str
    checker: Path


def back_up(
    book: Book, target: Path, tell: Tell, now: Callable[[Book], str] | None = None
) -> Verdict:
    """The target is a verified copy of the book; an older copy of this very book is replaced.

    With a clock, the book notes when; the copy holds the same entries and not this note.
    """
    place = _place_for(target, book.path)
    if place.exists():
        _check_older(book, target)
    with _apart(target, place) as copy:
        verdict = _verified_copy(book, copy, tell)
        copies.put(copy, place)
    if now is not None:
        book_is_kept(book, Upkeep(COPIED, now(book), verdict.entries))
    return verdict


def restore(path: Path, backup: Path, tell: Tell) -> Restored:
    """The backup is the book; what stood there is refused when it is newer, kept when damaged."""
    place = _place_for(path, backup)
    if not backup.is_file():
        raise BookUnusable(f"{backup}: there is no such backup. Name the file it was written to.")
    with _opened(backup) as source, _apart(path, place) as copy:
        verdict = _verified_copy(source, copy, tell)
        return Restored(verdict, _take_place(path, place, copy))


def export_lines(book: Book, tell: Tell) -> Iterator[str]:
    """The book's id, then one line an entry: checksum, a space, the chained text."""
    with book.reading() as db:
        first_line, total = f"{book_id(db)}\n", last_entry(db)[0]
    yield first_line
    for first in range(1, total + 1, BATCH):
        last = min(first + BATCH - 1, total)
        with book.reading() as db:
            lines = [f"{found} {text}\n" for found, text in copies.chained(db, first, last)]
        yield from lines
        tell(last, total)


def export(book: Book, target: Path, tell: Tell) -> Exported:
    """The target holds every entry as it was chained, the program that checks them beside it."""
    checker = target.with_name(f"{target.name}.check.py")
    text = _checker()
    with book.reading() as db:
        first_line = f"{book_id(db)}\n".encode()
    place = _place_for(target, book.path, starts_with=first_line)
    check_place = _place_for(checker, book.path, starts_with=text.split(b"\n")[0])
    with _apart(target, place) as copy, _apart(checker, check_place) as check:
        check.write_bytes(text)
        count, checksum = _written(copy, export_lines(book, tell))
        copies.put(check, check_place)
        copies.put(copy, place)
    return Exported(count, checksum, checker)


def _written(copy: Path, lines: Iterator[str]) -> tuple[int, str]:
    """The lines are on the disk; how many entries they are, and the last one's checksum."""
    count, line = -1, ""
    with copy.open("w", encoding="utf-8", newline="") as file:
        for line in lines:
            count += 1
            file.write(line)
    copies.on_disk(copy)
    return count, line.partition(" ")[0]


def _checker() -> bytes:
    """The program that checks an export by itself; it uses nothing of this one."""
    return Path(__file__).parents[1].joinpath("files", "check_export.py").read_bytes()


@contextmanager
def _apart(target: Path, place: Path) -> Iterator[Path]:
    """A file beside the place that is gone afterwards unless it took the place."""
    try:
        with tempfile.TemporaryDirectory(dir=place.parent, prefix=".stockbook-") as folder:
            yield Path(folder, place.name)
    except OSError as error:
        words = f"{target}: cannot be written ({error.strerror}). Nothing was left behind."
        raise (BookUnusable if error.errno in _NO_SPACE else InputError)(words) from error


@contextmanager
def _opened(path: Path) -> Iterator[Book]:
    book = open_book(path, check_schema=False)
    try:
        yield book
    finally:
        book.close()


def _verified_copy(source: Book, copy: Path, tell: Tell) -> Verdict:
    """The copy is there and sound: what was verified is what will be put in place."""
    copies.copy_to(source, copy)
    with _opened(copy) as book:
        verdict = audit.verify(book, tell)
    if verdict.faults:
        fault = verdict.faults[0]
        raise BookDamaged(
            f"{source.path}: damaged, {len(verdict.faults)} found; the first: {fault.where} "
            f"{fault.what}. Nothing was put in place. 'stockbook book verify' names them all."
        )
    return verdict


def _place_for(target: Path, other: Path, *, starts_with: bytes | None = None) -> Path:
    """Where the target really lies: a plain file or nothing yet, in a folder that is there.

    Neither the other file under another name, nor a file that begins otherwise than it should.
    """
    try:
        place = target.resolve()
        there = place.exists()
    except (OSError, RuntimeError, ValueError):
        raise InputError(f"{target}: no file can have this name. Choose another.") from None
    if not place.parent.is_dir():
        raise InputError(f"{target}: there is no such folder. Make it first.")
    if there and not place.is_file():
        raise InputError(f"{target}: this is not a plain file. Choose another name.")
    if there and other.exists() and place.samefile(other):
        raise InputError(f"{target}: {other} is this very file. Choose another name.")
    if there and starts_with is not None and not _starts(place, starts_with):
        raise InputError(f"{target}: there is another file. It stays as it is; choose a new name.")
    return place


def _starts(place: Path, wanted: bytes) -> bool:
    with place.open("rb") as file:
        return file.read(len(wanted)) == wanted


def _check_older(book: Book, target: Path) -> None:
    """Only a copy of this book, with no entry that the book lacks, is replaced."""
    try:
        with _opened(target) as old, old.reading() as db:
            found, (number, checksum, _, _) = book_id(db), last_entry(db)
    except (BookUnusable, BookDamaged):
        raise InputError(
            f"{target}: there is a file that is no copy of this book. It stays as it is; "
            "choose a new name."
        ) from None
    with book.reading() as db:
        same, last, here = found == book_id(db), last_entry(db)[0], copies.checksum_of(db, number)
    if not same:
        raise Refused(f"{target}: there is another book (id {found[:12]}). It stays as it is.")
    if number and here != checksum:
        raise Refused(
            f"{target}: there is a copy of this book with entries that are not in it (its last "
            f"is {number}, the book's {last}). It stays as it is; choose a new name."
        )


def _take_place(path: Path, place: Path, copy: Path) -> Path | None:
    """The copy is the book; the name under which a damaged one is kept, if there was one."""
    try:
        if place.exists() and place.stat().st_size:
            with _opened(place) as there:
                _check_sound(there)
                with copies.held(there) as db:
                    _check_newer(path, copy, book_id(db), *last_entry(db)[:2])
                    copies.put(copy, place)
            return None
    except BookDamaged:
        damaged = True
    else:
        damaged = False
    kept = copies.set_aside(place)
    try:
        copies.put(copy, place)
    except BaseException:
        copies.put_aside_back(kept, place)
        raise
    return kept if damaged else None


def _check_sound(book: Book) -> None:
    if audit.verify(book, lambda *_: None).faults:
        raise BookDamaged(f"{book.path}: damaged.")


def _check_newer(path: Path, copy: Path, found: str, number: int, checksum: str) -> None:
    """The copy is the same book with all the entries of the one in place."""
    with _opened(copy) as book, book.reading() as db:
        wanted, last, there = book_id(db), last_entry(db)[0], copies.checksum_of(db, number)
    stays = "It stays as it is. Restore to another name with --book."
    if found != wanted:
        raise Refused(
            f"{path}: another book is here (id {found[:12]}, the backup's is {wanted[:12]}). "
            f"{stays}"
        )
    if number > last:
        raise Refused(
            f"{path}: the book has {number} entries, the backup only {last}; restoring would "
            f"lose the newer ones. {stays}"
        )
    if number and there != checksum:
        raise Refused(
            f"{path}: its {number} entries are others than the backup's {last}; both went on "
            f"from the same beginning. {stays}"
        )
