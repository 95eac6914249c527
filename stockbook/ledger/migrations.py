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


MIGRATIONS: tuple[Migration, ...] = ()
"""The steps from version 1 on, in order. Version 1 is the first."""


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
