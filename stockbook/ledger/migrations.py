"""Bringing an older book to this version: one transaction, the three tables of truth untouched.

Whatever is derived from them is made anew, so one step serves every older version.
"""

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass

from stockbook.domain.codec import fact_from_body
from stockbook.errors import BookDamaged
from stockbook.ledger import schema
from stockbook.ledger.facts import project


@dataclass(frozen=True)
class Migration:
    """One step: the version it leads to, the schema digest afterwards, and what it does."""

    to_version: int
    digest: str
    apply: Callable[[sqlite3.Connection], None]


def rebuilt(db: sqlite3.Connection) -> None:
    """All that is derived is as a new book would have it; what lies outside the chain is kept."""
    _drop_derived(db)
    there = {name for (name,) in db.execute("SELECT name FROM sqlite_schema")}
    for statement in schema.statements(schema.SCHEMA):
        if schema.named(statement) not in there:
            db.execute(statement)
    _project_last_versions(db)
    for statement in schema.statements(schema.REBUILD):
        db.execute(statement)


def _drop_derived(db: sqlite3.Connection) -> None:
    """Only the tables of truth and those outside the chain are left, with their indexes."""
    kept = {schema.named(text) for text in schema.statements(schema.TRUTH + schema.OUTSIDE)}
    parts = db.execute(
        "SELECT type, name FROM sqlite_schema WHERE sql IS NOT NULL "
        "AND name NOT LIKE 'sqlite_%' ORDER BY type = 'table', type = 'index'"
    ).fetchall()
    for kind, name in parts:
        if kind in ("trigger", "view") or name not in kept:
            db.execute(f"DROP {kind} IF EXISTS {name}")


def _project_last_versions(db: sqlite3.Connection) -> None:
    """Every fact's table holds what the fact's last change says."""
    last = db.execute(
        "SELECT kind, code, body, MAX(entry << 32 | line) FROM change GROUP BY kind, code"
    )
    for kind, code, body, _ in last.fetchall():
        project(db, fact_from_body(kind, code, body))


MIGRATIONS: tuple[Migration, ...] = (Migration(schema.VERSION, schema.DIGEST, rebuilt),)
"""From any older version to this one."""


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
