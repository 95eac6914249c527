"""Questions about kits: the version in force, whether any has lines per list."""

import sqlite3
from functools import lru_cache

from stockbook.domain.codec import fact_from_row, field_names
from stockbook.domain.facts import Kit

_KIT = f"SELECT {', '.join(field_names(Kit))} FROM kit"


def kit_on(db: sqlite3.Connection, code: str, day: str) -> Kit | None:
    """The version of a kit that holds on a day; codes of versions sort by their first day."""
    row = db.execute(
        f"{_KIT} WHERE code = ?1 OR (code >= ?1 || '@' AND code <= ?1 || '@' || ?2) "
        "ORDER BY code DESC LIMIT 1",
        (code, day),
    ).fetchone()
    return None if row is None else _kit(row)


def has_list_lines(db: sqlite3.Connection) -> bool:
    """Whether any kit has a line *per list*: a quick no for sites that have none."""
    row = db.execute("SELECT 1 FROM kit WHERE lines LIKE '%\"per-list\"%' LIMIT 1").fetchone()
    return row is not None


@lru_cache(maxsize=512)
def _kit(row: tuple[object, ...]) -> Kit:
    """A row as a kit; the cases of a list mostly share theirs, and the same row is the same kit."""
    kit: Kit = fact_from_row(Kit, row)
    return kit
