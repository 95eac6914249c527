"""Deliveries that are being unpacked: outside the chain, kept when the terminal dies."""

import json
import sqlite3
from dataclasses import replace

from stockbook.domain.codec import canonical, fact_from_body, from_plain, plain
from stockbook.domain.facts import PackSize
from stockbook.domain.receiving import Unpacking

_KIND = "delivery"
IDENTIFIER = "identifier"
"""The first part of the request of what was said of an identifier at the desk."""


def _code(supplier: str, note: str) -> str:
    """No list is called so: its code has no stroke."""
    return f"receive/{supplier}/{note}"


def find_unpacking(db: sqlite3.Connection, supplier: str, note: str) -> Unpacking | None:
    """The delivery of a note, as it was left."""
    row = db.execute(
        "SELECT by, body FROM sitting WHERE code = ? AND kind = ?", (_code(supplier, note), _KIND)
    ).fetchone()
    if row is None:
        return None
    found: Unpacking = from_plain(Unpacking, json.loads(row[1]))
    return replace(found, by=str(row[0]))


def keep_unpacking(db: sqlite3.Connection, unpacking: Unpacking, changed_at: str) -> None:
    """The delivery is as the terminal has it."""
    db.execute(
        "INSERT INTO sitting VALUES (?, ?, ?, ?, ?) ON CONFLICT (code) DO UPDATE SET "
        "by = excluded.by, changed_at = excluded.changed_at, body = excluded.body",
        (
            _code(unpacking.supplier, unpacking.note), _KIND, unpacking.by, changed_at,
            canonical(plain(unpacking)),
        ),
    )  # fmt: skip


def end_unpacking(db: sqlite3.Connection, supplier: str, note: str) -> None:
    """Nothing of this delivery waits at a terminal any more."""
    db.execute(
        "DELETE FROM sitting WHERE code = ? AND kind = ?", (_code(supplier, note), _KIND)
    )  # fmt: skip


def confirmations(db: sqlite3.Connection, pack: PackSize) -> list[tuple[str, str]]:
    """Who said at the desk, and on which day, that an identifier is what the book has for it.

    Only what was said since it last was something else.
    """
    rows = db.execute(
        "SELECT entry.by, entry.happened_on, entry.request_key, change.body FROM change "
        "CROSS JOIN entry ON entry.number = change.entry "
        "WHERE change.kind = 'pack size' AND change.code = ? ORDER BY change.entry DESC",
        (pack.code,),
    ).fetchall()
    found = []
    for by, day, key, body in rows:
        if fact_from_body("pack size", pack.code, body) != pack:
            break
        if str(key).startswith(f"{IDENTIFIER}/"):
            found.append((str(by), str(day)))
    return found
