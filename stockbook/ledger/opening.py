"""Opening a book: what it must be, and what is said when it is not."""

import os
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from stockbook.errors import BookDamaged, BookUnusable
from stockbook.ledger import schema
from stockbook.ledger.migrations import MIGRATIONS, Migration, migrate

BUSY_SECONDS = 30.0
TELL_AFTER_SECONDS = 2.0
_STRICT_SETTINGS = {"foreign_keys": 1, "recursive_triggers": 1, "trusted_schema": 0,
                    "cell_size_check": 1}  # fmt: skip


class Book:
    """An open book: questions read it as it is, `writing` holds it for one transaction."""

    def __init__(
        self, path: Path, file: sqlite3.Connection, *, writable: bool,
        migrations: tuple[Migration, ...], say: Callable[[str], None],
    ) -> None:  # fmt: skip
        """Take over an opened connection; use `open_book` or `new_book`.

        Questions to an older book are answered from a migrated copy in memory.
        """
        self.path = path
        self.file = file
        self.db = file if version_of(file) >= target(migrations) else _in_memory(file, migrations)
        self.writable = writable
        self._migrations = migrations
        self._say = say

    @property
    def is_older(self) -> bool:
        """Whether questions are answered from a migrated copy, the file being of an old version."""
        return self.db is not self.file

    def close(self) -> None:
        """The file is let go."""
        self.db.close()
        self.file.close()

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Several questions asked of one state of the book."""
        with translated(self.path):
            self.db.execute("BEGIN")
            try:
                yield self.db
            finally:
                if self.db.in_transaction:
                    self.db.execute("ROLLBACK")

    @contextmanager
    def writing(self, *, keep: bool = True) -> Iterator[sqlite3.Connection]:
        """One transaction, all or nothing; with `keep` false it is only tried."""
        if not self.writable:
            raise BookUnusable(
                f"{self.path}: this book can only be read here, so nothing can be recorded. "
                "Check who owns the file and whether the disk is mounted read-only."
            )
        with translated(self.path):
            if keep:
                self._upgrade()
            _begin(self.db, self.path, self._say)
            try:
                yield self.db
                self.db.execute("COMMIT" if keep else "ROLLBACK")
            finally:
                if self.db.in_transaction:
                    self.db.execute("ROLLBACK")

    def _upgrade(self) -> None:
        """An older book is copied beside itself and brought to this version."""
        if not self.is_older:
            return
        _begin(self.file, self.path, self._say)
        try:
            if version_of(self.file) < target(self._migrations):
                copy_beside(self.file, self.path)
                migrate(self.file, self._migrations)
            self.file.execute("COMMIT")
        finally:
            if self.file.in_transaction:
                self.file.execute("ROLLBACK")
        self.db.close()
        self.db = self.file


def target(migrations: tuple[Migration, ...]) -> int:
    """The version this program works with."""
    return max((m.to_version for m in migrations), default=schema.VERSION)


def version_of(db: sqlite3.Connection) -> int:
    """The version a book was written by."""
    return int(db.execute("PRAGMA user_version").fetchone()[0])


def copy_beside(db: sqlite3.Connection, path: Path) -> Path:
    """The book as it is, copied to a name that says its version; an older copy is kept."""
    copy = path.with_name(f"{path.name}.version-{version_of(db)}")
    count = 1
    while copy.exists():
        count += 1
        copy = path.with_name(f"{path.name}.version-{version_of(db)}.{count}")
    source = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)
    to = sqlite3.connect(copy)
    try:
        source.backup(to)
    finally:
        source.close()
        to.close()
    return copy


@contextmanager
def translated(path: Path) -> Iterator[None]:
    """What SQLite says becomes what a person can act on."""
    try:
        yield
    except sqlite3.OperationalError as error:
        raise _unusable(path, error) from error
    except sqlite3.DatabaseError as error:
        if isinstance(error, sqlite3.IntegrityError):
            raise
        raise BookDamaged(f"{path}: {error}. Restore the last verified copy.") from error


def _unusable(path: Path, error: sqlite3.OperationalError) -> BookUnusable | BookDamaged:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    advice = {
        sqlite3.SQLITE_BUSY: "another posting has held the book too long. Try again.",
        sqlite3.SQLITE_LOCKED: "another posting has held the book too long. Try again.",
        sqlite3.SQLITE_FULL: "no space is left. Nothing was recorded. Free some and try again.",
        sqlite3.SQLITE_READONLY: "the book or its folder cannot be written. Nothing was recorded.",
        sqlite3.SQLITE_CANTOPEN: "the file cannot be opened. Check its folder and who owns it.",
        sqlite3.SQLITE_IOERR: "the disk failed to read or write. Nothing was recorded.",
    }.get(code)
    if advice is None:
        return BookDamaged(f"{path}: {error}. Run 'stockbook book verify'.")
    return BookUnusable(f"{path}: {advice}")


@contextmanager
def _short_wait(db: sqlite3.Connection) -> Iterator[None]:
    db.execute("PRAGMA busy_timeout = 250")
    try:
        yield
    finally:
        db.execute(f"PRAGMA busy_timeout = {int(BUSY_SECONDS * 1000)}")


def _begin(db: sqlite3.Connection, path: Path, say: Callable[[str], None]) -> None:
    """BEGIN IMMEDIATE, waiting for another posting and saying so after a while."""
    started = time.monotonic()
    told = False
    while True:
        try:
            with _short_wait(db):
                db.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as error:
            if getattr(error, "sqlite_errorcode", 0) & 0xFF != sqlite3.SQLITE_BUSY:
                raise
            waited = time.monotonic() - started
            if waited > BUSY_SECONDS:
                raise BookUnusable(
                    f"{path}: another posting has held the book for {BUSY_SECONDS:.0f} seconds. "
                    "Nothing was recorded. Look who else works in it and try again."
                ) from error
            if waited > TELL_AFTER_SECONDS and not told:
                say("Another posting is in progress; waiting.")
                told = True
        else:
            return


def open_book(
    path: Path,
    *,
    migrations: tuple[Migration, ...] = MIGRATIONS,
    say: Callable[[str], None] = lambda _: None,
    check_schema: bool = True,
) -> Book:
    """An existing book, opened for questions and, where the file allows, for posting."""
    _check_file(path)
    with translated(path):
        db, writable = _connect(path)
        try:
            version = _check_version(db, path, target(migrations))
            whole = schema.digest_of_schema(db) == _wanted_digest(migrations)
            if check_schema and version == target(migrations) and not whole:
                raise BookDamaged(
                    f"{path}: its tables or triggers were changed by another program. "
                    "Restore the last verified copy; do not post into this file."
                )
            return Book(path, db, writable=writable, migrations=migrations, say=say)
        except BaseException:
            db.close()
            raise


def _wanted_digest(migrations: tuple[Migration, ...]) -> str:
    return migrations[-1].digest if migrations else schema.DIGEST


def _in_memory(file: sqlite3.Connection, migrations: tuple[Migration, ...]) -> sqlite3.Connection:
    memory = sqlite3.connect(":memory:", isolation_level=None)
    file.backup(memory)
    memory.execute("BEGIN")
    migrate(memory, migrations)
    memory.execute("COMMIT")
    return memory


def _check_file(path: Path) -> None:
    if not path.exists():
        raise BookUnusable(
            f"{path}: there is no book here. Name it with --book FILE, make one with "
            "'stockbook book new', or try 'stockbook demo'."
        )
    if not path.is_file():
        raise BookUnusable(f"{path}: this is not a file. Name the book with --book FILE.")
    if path.stat().st_size == 0:
        raise BookUnusable(f"{path}: the file is empty, so it is not a book. Restore a copy.")


def _connect(path: Path) -> tuple[sqlite3.Connection, bool]:
    """A connection with every setting read back; a database of another program is left alone."""
    with path.open("rb") as file:
        header = file.read(100)
    if header[:16] != b"SQLite format 3\0":
        raise BookUnusable(f"{path}: this file is not a book. Nothing was changed in it.")
    if int.from_bytes(header[68:72]) != schema.APPLICATION_ID:
        raise BookUnusable(
            f"{path}: this is a database of another program, not a book. Nothing was changed in it."
        )
    writable = _can_write(path)
    mode = "rw" if writable else "ro"
    db = sqlite3.connect(f"{path.resolve().as_uri()}?mode={mode}", uri=True, isolation_level=None)
    try:
        _configure(db, path, writable=writable)
    except BaseException:
        db.close()
        raise
    return db, writable


def _can_write(path: Path) -> bool:
    """A file nobody may write stays as it is, whoever asks."""
    if not path.stat().st_mode & 0o222:
        return False
    try:
        with path.open("r+b"):
            return True
    except OSError:
        return False


def _configure(db: sqlite3.Connection, path: Path, *, writable: bool = True) -> None:
    """The settings the ledger depends on, each read back."""
    db.execute(f"PRAGMA busy_timeout = {int(BUSY_SECONDS * 1000)}")
    for name, value in _STRICT_SETTINGS.items():
        db.execute(f"PRAGMA {name} = {value}")
        if int(db.execute(f"PRAGMA {name}").fetchone()[0]) != value:
            raise BookUnusable(f"{path}: this SQLite does not know {name}; a newer one is needed.")
    if writable:
        db.execute("PRAGMA journal_mode = TRUNCATE")
        db.execute("PRAGMA synchronous = FULL")


def _check_version(db: sqlite3.Connection, path: Path, newest: int) -> int:
    version = version_of(db)
    if version > newest:
        raise BookUnusable(
            f"{path}: written by a newer Stockbook (book version {version}, this one knows "
            f"{newest}). Use the newer program."
        )
    return version


def new_book(path: Path, *, book_id: str | None = None) -> Book:
    """An empty book in a file that was not there before; the caller posts entry 1."""
    if path.exists():
        raise BookUnusable(
            f"{path}: there is a file already and it stays as it is. Choose another name."
        )
    if not path.parent.is_dir():
        raise BookUnusable(f"{path.parent}: there is no such folder. Make it first.")
    with translated(path):
        db = sqlite3.connect(path, isolation_level=None)
        try:
            _configure(db, path)
            db.execute("BEGIN IMMEDIATE")
            schema.create(db, book_id or os.urandom(16).hex())
            db.execute("COMMIT")
            return Book(path, db, writable=True, migrations=MIGRATIONS, say=lambda _: None)
        except BaseException:
            db.close()
            remove(path)
            raise


def remove(path: Path) -> None:
    """A book that could not be made is gone, with what SQLite keeps beside it."""
    for name in (path.name, f"{path.name}-journal"):
        path.with_name(name).unlink(missing_ok=True)
