"""Bringing an older book to this version: one transaction, the three tables of truth untouched."""

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass

from stockbook.errors import BookDamaged
from stockbook.ledger import schema


@dataclass(frozen=True)
class Migration:
    """One step: the version it leads to, the schema digest afterwards, and what it does."""

    to_version: int
    digest: str
    apply: Callable[[sqlite3.Connection], None]


def _take(db: sqlite3.Connection, *names: str) -> None:
    """The named things of the schema are made, as a new book has them."""
    for statement in schema.statements(schema.SCHEMA):
        words = statement.split(maxsplit=3)
        if words[2] in names:
            db.execute(statement)


def _anew(db: sqlite3.Connection, table: str, added: str, *indexes: str) -> None:
    """A projected table with more columns at its end, its rows kept."""
    db.execute(f"CREATE TEMP TABLE kept AS SELECT * FROM {table}")
    db.execute(f"DROP TABLE {table}")
    _take(db, table, *indexes)
    db.execute(f"INSERT INTO {table} SELECT *, {added} FROM temp.kept")
    db.execute("DROP TABLE temp.kept")


def _to_2(db: sqlite3.Connection) -> None:
    """Sums by day and pair of places, the last verify and backup; versions of kits, machines,
    cancelled cases, unfinished sittings; indexes of trolleys, patients, reasons, open points.
    """
    _anew(db, "kit", "NULL")
    _anew(db, "theatre_case", "0", "theatre_case_list", "theatre_case_patient")
    _anew(db, "lot", "NULL", "lot_item", "lot_number", "lot_serial", "lot_order")
    _take(db, "supply_terms", "purchase_order")
    _take(db, "machine", "day_flow", "case_balance_staged", "upkeep", "sitting")
    _take(db, "entry_reason", "entry_rescue", "lot_provisional")
    db.execute(
        "INSERT INTO day_flow SELECT booked_on, from_place, to_place, SUM(value) FROM entry "
        "CROSS JOIN movement ON movement.entry = number WHERE value > 0 GROUP BY 1, 2, 3"
    )
    _take(db, "entry_flows")


MIGRATIONS: tuple[Migration, ...] = (Migration(2, schema.DIGEST, _to_2),)
"""The steps from version 1 on, in order."""


def migrate(db: sqlite3.Connection, migrations: tuple[Migration, ...]) -> None:
    """The book is at the last version; runs inside the caller's transaction."""
    for step in migrations:
        version = int(db.execute("PRAGMA user_version").fetchone()[0])
        if step.to_version > version:
            step.apply(db)
            db.execute(f"PRAGMA user_version = {step.to_version}")
    if migrations and schema.digest_of_schema(db) != migrations[-1].digest:
        raise BookDamaged(
            "The book's tables are not what its version promises; it was left as it was."
        )
