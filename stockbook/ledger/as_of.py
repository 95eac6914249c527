"""The book as of a past day or entry: every question is asked unchanged of what held then.

Names in the connection's own temporary schema come before those of the file. For the time of one
reading this lays views and tables of the same names over the book's: entries that do not count
are left out, balances are walked back over them, and facts changed since stand as they stood.
The effort grows with what came later, not with the book. The reading's end takes all away again.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from stockbook.domain.asking import AsOf
from stockbook.domain.codec import fact_from_body, field_names, row_of
from stockbook.domain.places import STOCK_KINDS
from stockbook.ledger.facts import kinds, marks
from stockbook.ledger.opening import Book

HAPPENED, BOOKED = "happened_on", "booked_on"
_WITH_CASE = ("trolley", "used", "waste")


@contextmanager
def reading_as_of(
    book: Book, as_of: AsOf | None, by: str = HAPPENED
) -> Iterator[sqlite3.Connection]:
    """Several questions asked of one past state of the book; of the book as it is without one."""
    with book.reading() as db:
        lay_over(db, as_of, by)
        yield db


def lay_over(db: sqlite3.Connection, as_of: AsOf | None, by: str = HAPPENED) -> None:
    """Until this reading ends the connection sees what held then; days count `by` this column."""
    if as_of is None or as_of.is_now:
        return
    lay_facts_over(db, as_of)
    db.execute("CREATE TEMP TABLE later (number INTEGER PRIMARY KEY)")
    column, limit = (by, as_of.day) if as_of.entry is None else ("number", as_of.entry)
    db.execute(f"INSERT INTO later SELECT number FROM main.entry WHERE {column} > ?", (limit,))
    _on_hand(db)
    _case_balance(db)
    for table, number in (("entry", "number"), ("movement", "entry"), ("change", "entry")):
        db.execute(
            f"CREATE TEMP VIEW {table} AS SELECT * FROM main.{table} "
            f"WHERE {number} NOT IN (SELECT number FROM temp.later)"
        )
    db.execute(
        "CREATE TEMP VIEW day_flow AS SELECT * FROM main.day_flow UNION ALL "
        "SELECT booked_on, from_place, to_place, -value FROM temp.later "
        "CROSS JOIN main.entry USING (number) "
        "CROSS JOIN main.movement ON movement.entry = later.number"
    )


def _undone(side: str, sign: str, columns: str, kinds_kept: tuple[str, ...], also: str = "") -> str:
    """One arm of the walk back: what later entries brought to a place (or took), taken away."""
    return (
        f"SELECT {columns}{side}_place AS place, lot, {sign}quantity AS quantity, "
        f"{sign}value AS value FROM temp.later "
        "CROSS JOIN main.movement ON movement.entry = later.number "
        f"CROSS JOIN main.place ON place.code = {side}_place "
        f"WHERE place.kind IN ({', '.join(repr(kind) for kind in sorted(kinds_kept))}){also}"
    )


def _on_hand(db: sqlite3.Connection) -> None:
    """What lies where now, walked back; below nothing where a sheet came late."""
    stock = tuple(STOCK_KINDS)
    db.execute(
        "CREATE TEMP TABLE on_hand AS "
        "SELECT place, lot, SUM(quantity) AS quantity, SUM(value) AS value FROM ("
        "SELECT place, lot, quantity, value FROM main.on_hand "
        f"UNION ALL {_undone('to', '-', '', stock)} UNION ALL {_undone('from', '', '', stock)}"
        ") GROUP BY place, lot HAVING SUM(quantity) <> 0 OR SUM(value) <> 0"
    )
    db.execute("CREATE UNIQUE INDEX temp.on_hand_place ON on_hand (place, lot)")
    db.execute("CREATE INDEX temp.on_hand_of_lot ON on_hand (lot)")


def _case_balance(db: sqlite3.Connection) -> None:
    """What cases have, walked back for those that later entries touched."""
    db.execute(
        "CREATE TEMP TABLE touched_case AS SELECT DISTINCT case_code AS code FROM temp.later "
        "CROSS JOIN main.movement ON entry = number WHERE case_code IS NOT NULL"
    )
    columns, of_case = "case_code, ", " AND case_code IS NOT NULL"
    db.execute(
        "CREATE TEMP TABLE case_balance_then AS "
        "SELECT case_code, place, lot, SUM(quantity) AS quantity, SUM(value) AS value FROM ("
        "SELECT case_code, place, lot, quantity, value FROM main.case_balance "
        "WHERE case_code IN (SELECT code FROM temp.touched_case) "
        f"UNION ALL {_undone('to', '-', columns, _WITH_CASE, of_case)} "
        f"UNION ALL {_undone('from', '', columns, _WITH_CASE, of_case)}"
        ") GROUP BY case_code, place, lot HAVING SUM(quantity) > 0 OR SUM(value) > 0"
    )
    db.execute(
        "CREATE TEMP VIEW case_balance AS SELECT case_code, place, lot, quantity, value "
        "FROM main.case_balance WHERE case_code NOT IN (SELECT code FROM temp.touched_case) "
        "UNION ALL SELECT case_code, place, lot, quantity, value FROM temp.case_balance_then"
    )


def lay_facts_over(db: sqlite3.Connection, as_of: AsOf) -> None:
    """Every fact that changed after the entry asked stands as its last change up to then says.

    Asked about a day, facts stand as they are known now.
    """
    entry = as_of.entry
    if entry is None:
        return
    rows = db.execute(
        "SELECT DISTINCT kind, code FROM main.change WHERE entry > ? ORDER BY kind, code", (entry,)
    )
    changed: dict[str, list[str]] = {}
    for kind, code in rows.fetchall():
        changed.setdefault(kind, []).append(code)
    for kind, cls, table in kinds():
        if kind in changed:
            _table_at(db, entry, kind, table, field_names(cls), changed[kind])


def _table_at(
    db: sqlite3.Connection, entry: int, kind: str, table: str, names: tuple[str, ...],
    codes: list[str],
) -> None:  # fmt: skip
    """One kind's table without its later versions; facts that were not known yet are gone."""
    db.execute(f"CREATE TEMP TABLE {table}_since AS SELECT code FROM main.{table} WHERE 0")
    db.execute(f"CREATE TEMP TABLE {table}_then AS SELECT * FROM main.{table} WHERE 0")
    db.executemany(f"INSERT INTO {table}_since VALUES (?)", [(code,) for code in codes])
    then = [row for row in (_row_at(db, entry, kind, code) for code in codes) if row]
    db.executemany(f"INSERT INTO {table}_then VALUES ({marks(names)})", then)
    columns = ", ".join(names)
    also = f" UNION ALL SELECT {columns} FROM temp.{table}_then" if then else ""
    db.execute(
        f"CREATE TEMP VIEW {table} AS SELECT {columns} FROM main.{table} "
        f"WHERE code NOT IN (SELECT code FROM temp.{table}_since){also}"
    )


def _row_at(
    db: sqlite3.Connection, entry: int, kind: str, code: str
) -> tuple[int | str | None, ...] | None:
    """A fact's row as its last change up to an entry says; none before its first."""
    found = db.execute(
        "SELECT body FROM main.change WHERE kind = ? AND code = ? AND entry <= ? "
        "ORDER BY entry DESC, line DESC LIMIT 1",
        (kind, code, entry),
    ).fetchone()
    return None if found is None else row_of(fact_from_body(kind, code, found[0]))


def first_day(db: sqlite3.Connection) -> str:
    """The first day anything of this book happened."""
    return str(db.execute("SELECT COALESCE(MIN(happened_on), '') FROM entry").fetchone()[0])


def day_at(db: sqlite3.Connection, entry: int) -> str:
    """The latest day that anything up to an entry happened: the day it was in the book then."""
    row = db.execute("SELECT MAX(happened_on) FROM entry WHERE number <= ?", (entry,)).fetchone()
    return str(row[0])
