"""The bare loop: a book's own rows written to a copy whose tables have no triggers."""

import contextlib
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from stockbook.domain.places import STOCK_KINDS

WRITTEN = ("entry", "movement", "change", "on_hand", "case_balance")
CASE_KINDS = {"trolley", "used", "waste"}

Balances = dict[tuple, tuple[int, int]]


@dataclass
class EntryRows:
    """What one entry left in the file: its lines, its head, and the balances it ended with."""

    head: tuple
    movements: list[tuple]
    on_hand: list[tuple] = field(default_factory=list)
    case_balance: list[tuple] = field(default_factory=list)
    drained: list[tuple] = field(default_factory=list)
    case_drained: list[tuple] = field(default_factory=list)


def connect(path: Path) -> sqlite3.Connection:
    """A plain connection with the journal and the care for the disk that a book has."""
    db = sqlite3.connect(path, isolation_level=None)
    assert db.execute("PRAGMA journal_mode = TRUNCATE").fetchone() == ("truncate",)
    db.execute("PRAGMA synchronous = FULL")
    return db


def stripped(book: Path, copy: Path) -> Path:
    """A copy of the book with the same tables and indexes, and no trigger."""
    shutil.copyfile(book, copy)
    with contextlib.closing(connect(copy)) as db:
        names = db.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        assert names
        for (name,) in names:
            db.execute(f"DROP TRIGGER {name}")
    return copy


def contents(path: Path) -> dict[str, list[tuple]]:
    """Every row of the tables that an entry without changes writes."""
    with contextlib.closing(sqlite3.connect(path)) as db:
        return {t: db.execute(f"SELECT * FROM {t} ORDER BY 1, 2, 3").fetchall() for t in WRITTEN}


def rows_added(before: Path, after: Path) -> list[EntryRows]:
    """The entries `after` has beyond `before`, each with the balance rows it ended with."""
    with contextlib.closing(sqlite3.connect(before)) as db:
        kinds = dict(db.execute("SELECT code, kind FROM place").fetchall())
        stock = {r[:2]: r[2:] for r in db.execute("SELECT * FROM on_hand")}
        cases = {r[:3]: r[3:] for r in db.execute("SELECT * FROM case_balance")}
        (last,) = db.execute("SELECT MAX(number) FROM entry").fetchone()
    with contextlib.closing(sqlite3.connect(after)) as db:
        heads = db.execute("SELECT * FROM entry WHERE number > ? ORDER BY number", (last,))
        found = [
            EntryRows(
                head, db.execute("SELECT * FROM movement WHERE entry = ?", head[:1]).fetchall()
            )
            for head in heads.fetchall()
        ]
        changes = db.execute("SELECT COUNT(*) FROM change WHERE entry > ?", (last,)).fetchone()
    assert changes == (0,), "the bare loop writes entries without changes"
    for rows in found:
        _end_balances(rows, kinds, stock, cases)
    return found


def _end_balances(rows: EntryRows, kinds: dict[str, str], stock: Balances, cases: Balances) -> None:
    """Replay an entry's movements; keep the rows that they end with."""
    touched, touched_cases = set(), set()
    for _, _, lot, quantity, value, from_place, to_place, case, *_ in rows.movements:
        for place, sign in ((from_place, -1), (to_place, 1)):
            if kinds[place] in STOCK_KINDS:
                touched.add(_add(stock, (place, lot), sign * quantity, sign * value))
            if kinds[place] in CASE_KINDS and case is not None:
                touched_cases.add(_add(cases, (case, place, lot), sign * quantity, sign * value))
    rows.on_hand = [(*key, *stock[key]) for key in sorted(touched) if stock[key][0]]
    rows.drained = [key for key in sorted(touched) if not stock[key][0]]
    rows.case_balance = [(*key, *cases[key]) for key in sorted(touched_cases) if cases[key][0]]
    rows.case_drained = [key for key in sorted(touched_cases) if not cases[key][0]]


def _add(balances: Balances, key: tuple, quantity: int, value: int) -> tuple:
    had = balances.get(key, (0, 0))
    balances[key] = (had[0] + quantity, had[1] + value)
    return key


def write(db: sqlite3.Connection, entries: Sequence[EntryRows]) -> None:
    """The rows of these entries in one transaction, line by line, nothing checked."""
    db.execute("BEGIN IMMEDIATE")
    write_rows(db, entries)
    db.execute("COMMIT")


def write_rows(db: sqlite3.Connection, entries: Sequence[EntryRows]) -> None:
    """The same inside a transaction of something larger."""
    for rows in entries:
        for row in rows.movements:
            db.execute("INSERT INTO movement VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", row)
        for row in rows.on_hand:
            db.execute("INSERT OR REPLACE INTO on_hand VALUES (?, ?, ?, ?)", row)
        for row in rows.drained:
            db.execute("DELETE FROM on_hand WHERE (place, lot) = (?, ?)", row)
        for row in rows.case_balance:
            db.execute("INSERT OR REPLACE INTO case_balance VALUES (?, ?, ?, ?, ?)", row)
        for row in rows.case_drained:
            db.execute("DELETE FROM case_balance WHERE (case_code, place, lot) = (?, ?, ?)", row)
        marks = ", ".join("?" * len(rows.head))
        db.execute(f"INSERT INTO entry VALUES ({marks})", rows.head)


@contextlib.contextmanager
def opened(book: Path, copy: Path) -> Iterator[sqlite3.Connection]:
    """A stripped copy, open."""
    with contextlib.closing(connect(stripped(book, copy))) as db:
        yield db
