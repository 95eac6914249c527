"""When the book was last found sound, and last copied to a safe place; outside the chain."""

import sqlite3

from stockbook.domain.today import Upkeep


def note_upkeep(db: sqlite3.Connection, done: Upkeep) -> None:
    """This is the last time it was done."""
    db.execute(
        "INSERT INTO upkeep VALUES (?, ?, ?) ON CONFLICT (what) "
        "DO UPDATE SET made_at = excluded.made_at, entry = excluded.entry",
        (done.what, done.made_at, done.entry),
    )


def last_upkeep(db: sqlite3.Connection) -> tuple[Upkeep, ...]:
    """What was done and when, each once."""
    rows = db.execute("SELECT what, made_at, entry FROM upkeep ORDER BY what DESC").fetchall()
    return tuple(Upkeep(*row) for row in rows)
