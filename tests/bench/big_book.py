"""A book of up to millions of movements, its rows written in bulk and sound all the same."""

import os
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from hashlib import sha256
from pathlib import Path

from big_days import FIRST_DAY, STORE, Days, Happened, Size

from stockbook.domain.entries import (
    HEAD,
    Draft,
    Request,
    Signature,
    change_row,
    checksum,
    digest_of,
    entry_text,
)
from stockbook.domain.facts import Fact
from stockbook.jobs.book import Founding, found_book
from stockbook.ledger import schema
from stockbook.ledger.facts import project
from stockbook.ledger.opening import open_book
from stockbook.ledger.posting import posting

FOLDER = "STOCKBOOK_BENCH_BOOKS"
"""The variable that names the folder where built books are kept; else the system's temporary."""

MANY = int(os.environ.get("STOCKBOOK_BENCH_MOVEMENTS", "2000000"))
"""How many movements a book of years has in the benches."""

FEW = 20_000
BATCH = 5_000
_MARKS = {"entry": len(HEAD) + 4, "movement": 10, "change": 5, "on_hand": 4, "case_balance": 5}


def big_book(size: Size) -> Path:
    """A book of this size, built once and kept; copy it to write into it."""
    folder = Path(os.environ.get(FOLDER) or Path(tempfile.gettempdir()) / "stockbook-bench")
    folder.mkdir(parents=True, exist_ok=True)
    sources = [
        Path(__file__).with_name(name).read_text() for name in ("big_book.py", "big_days.py")
    ]
    name = sha256("".join([schema.DIGEST, repr(size), *sources]).encode()).hexdigest()[:12]
    path = folder / f"{size.movements}-{name}.stockbook"
    if not path.exists():
        part = path.with_suffix(f".{os.getpid()}")
        build(part, size)
        for stale in folder.glob(f"{size.movements}-*.stockbook"):
            stale.unlink()
        part.replace(path)
    return path


def build(path: Path, size: Size) -> Path:
    """A new book of this size: its site by the real jobs, its days in bulk."""
    days = Days(size)
    signed = Signature("MA", FIRST_DAY, f"{FIRST_DAY}T02:00:00Z", FIRST_DAY)
    found_book(path, Founding("Busy Site", "INR", "Asia/Kolkata", book_id="b" * 32), signed)
    with closing(open_book(path)) as book, posting(book) as post:
        facts = tuple(days.site.facts())
        post.post(Draft("facts", signed, Request("site", digest_of("site")), facts=facts))
    with closing(sqlite3.connect(path, isolation_level=None)) as db, loading(db):
        write_entries(db, days.entries())
        write_balances(db, days)
    return path


@contextmanager
def loading(db: sqlite3.Connection) -> Iterator[None]:
    """One transaction without triggers and indexes; both are back afterwards, word for word."""
    db.execute("PRAGMA synchronous = OFF")
    db.execute("PRAGMA cache_size = -400000")
    db.execute("BEGIN IMMEDIATE")
    found = db.execute(
        "SELECT type, name, sql FROM sqlite_schema WHERE type = 'trigger' OR type = 'index' "
        "AND sql IS NOT NULL AND tbl_name IN ('entry', 'movement', 'change', 'case_balance')"
    ).fetchall()
    for kind, name, _ in found:
        db.execute(f"DROP {kind} {name}")
    yield
    for _, _, sql in found:
        db.execute(sql)
    db.execute("COMMIT")


def write_entries(db: sqlite3.Connection, entries: Iterable[Happened]) -> None:
    """Every entry is chained behind the last one, its facts projected."""
    number, previous = db.execute("SELECT MAX(number), checksum FROM entry").fetchone()
    rows: dict[str, list[tuple[object, ...]]] = {"entry": [], "movement": [], "change": []}
    latest: dict[tuple[str, str], Fact] = {}
    for one in entries:
        number += 1
        changes = [change_row(fact) for fact in one.facts]
        latest.update(zip(((kind, code) for kind, code, _ in changes), one.facts, strict=True))
        head = _head(number, one)
        found = checksum(previous, entry_text(head, one.moves, changes))
        rows["movement"] += [(number, n, *move) for n, move in enumerate(one.moves, start=1)]
        rows["change"] += [(number, n, *row) for n, row in enumerate(changes, start=1)]
        rows["entry"].append((*head, len(one.moves), len(changes), previous, found))
        previous = found
        if len(rows["entry"]) == BATCH:
            _flush(db, rows)
    _flush(db, rows)
    for fact in latest.values():
        project(db, fact)


def _head(number: int, one: Happened) -> tuple[int | str | None, ...]:
    return (
        number, one.kind, one.day, None, one.day, f"{one.day}T08:00:00Z", one.by, None,
        None, None, one.document, one.key, digest_of(one.key), None,
    )  # fmt: skip


def _flush(db: sqlite3.Connection, rows: dict[str, list[tuple[object, ...]]]) -> None:
    for table, found in rows.items():
        write(db, table, found)
        found.clear()


def write(db: sqlite3.Connection, table: str, rows: Iterable[tuple[object, ...]]) -> None:
    """Rows of all columns in a table, unchecked."""
    db.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * _MARKS[table])})", rows)


def write_balances(db: sqlite3.Connection, days: Days) -> None:
    """What lies in the store and on the trolley, and what every case had."""
    lying = ((STORE, *row) for lots in days.shelf.lots.values() for row in lots)
    write(db, "on_hand", [*lying, *(row[1:] for row in days.staged)])
    write(db, "case_balance", sorted([*days.ended, *days.staged]))
    db.execute(
        "INSERT INTO day_flow SELECT booked_on, from_place, to_place, SUM(value) FROM entry "
        "CROSS JOIN movement ON movement.entry = number WHERE value > 0 GROUP BY 1, 2, 3"
    )
