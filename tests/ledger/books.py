"""What the tests of the ledger share: raw entries, raw tables, and a hand that tampers."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from desk import TODAY, Desk

from stockbook.domain.entries import Draft, Movement, Recorded, Request, Signature
from stockbook.domain.facts import Fact
from stockbook.ledger.opening import Book, open_book
from stockbook.ledger.posting import posting

TRUTH = ("entry", "movement", "change")
RECORDED_AT = f"{TODAY}T08:00:00Z"


@contextmanager
def opened(path: Path, **options: object) -> Iterator[Book]:
    """A book, closed again afterwards."""
    with closing(open_book(path, **options)) as book:
        yield book


def signed(day: str = TODAY, by: str = "KE", **more: str) -> Signature:
    return Signature(by, more.pop("today", day), RECORDED_AT, day, **more)


def draft(
    key: str, moves: tuple[Movement, ...] = (), facts: tuple[Fact, ...] = (), *,
    kind: str = "move", digest: str = "d" * 64, day: str = TODAY, document: str | None = None,
) -> Draft:  # fmt: skip
    return Draft(kind, signed(day), Request(key, digest), moves, facts, document)


def post_all(book: Book, *drafts: Draft, keep: bool = True) -> list[Recorded]:
    """Several entries in one transaction."""
    with posting(book, keep=keep) as post:
        return [post.post(one) for one in drafts]


def record(desk: Desk, *moves: Movement, facts: tuple[Fact, ...] = (), **more: str) -> Recorded:
    """One entry put straight to `post()`."""
    ((count,),) = desk.rows("SELECT COUNT(*) FROM entry")
    key = more.pop("key", f"test/{count}")
    with opened(desk.path) as book:
        (recorded,) = post_all(book, draft(key, moves, facts, **more))
    return recorded


def lot(desk: Desk, number: str) -> int:
    """The lot of a printed number or serial that is there once."""
    ((code,),) = desk.rows("SELECT code FROM lot WHERE number = ?1 OR serial = ?1", number)
    return code


def balances(desk: Desk) -> dict[tuple[str, int], tuple[int, int]]:
    """Quantity and value on hand by place and lot."""
    rows = desk.rows("SELECT place, lot, quantity, value FROM on_hand")
    return {(place, code): (quantity, value) for place, code, quantity, value in rows}


def moves_of(desk: Desk, number: int) -> list[tuple]:
    """An entry's movements: lot, quantity, value, from, to, case."""
    return desk.rows(
        "SELECT lot, quantity, value, from_place, to_place, case_code FROM movement "
        "WHERE entry = ? ORDER BY line", number,
    )  # fmt: skip


def content(path: Path) -> dict[str, list[tuple]]:
    """Every row of every table but that of its upkeep, and the tables themselves."""
    with closing(sqlite3.connect(path)) as db:
        found = {"schema": db.execute("SELECT name, sql FROM sqlite_schema ORDER BY 1").fetchall()}
        tables = db.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'table' AND name <> 'upkeep' ORDER BY 1"
        )
        for (table,) in tables.fetchall():
            rows = db.execute(f"SELECT * FROM {table}").fetchall()
            found[table] = sorted(rows, key=repr)
    return found


@contextmanager
def tampering(path: Path) -> Iterator[sqlite3.Connection]:
    """Another program's hand in the file: no trigger sees it, all triggers are back afterwards."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        triggers = db.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        kept = triggers.fetchall()
        for name, _ in kept:
            db.execute(f"DROP TRIGGER {name}")
        yield db
        for _, sql in kept:
            db.execute(sql)


def counting(monkeypatch: object, fail: Callable[[int, str], None]) -> list[str]:
    """Every statement of every connection goes past `fail(n, sql)` first; the statements so far."""
    seen: list[str] = []
    real = sqlite3.connect

    def step(sql: str) -> None:
        seen.append(sql)
        fail(len(seen), sql)

    class Counting(sqlite3.Connection):
        def execute(self, sql: str, *values: object) -> sqlite3.Cursor:
            step(sql)
            return super().execute(sql, *values)

        def executemany(self, sql: str, *values: object) -> sqlite3.Cursor:
            step(sql)
            return super().executemany(sql, *values)

    monkeypatch.setattr(sqlite3, "connect", lambda *a, **k: real(*a, **{"factory": Counting} | k))
    return seen
