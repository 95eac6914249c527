"""Unfinished work at terminals: outside the chain, and kept when the terminal dies."""

import json
import sqlite3
from dataclasses import replace
from typing import Any, Protocol, TypeVar

from stockbook.domain.codec import canonical, from_plain, plain


class Seated(Protocol):
    """A sitting that somebody began and somebody has now."""

    @property
    def by(self) -> str:
        """Who has it."""


S = TypeVar("S", bound=Seated)


def find_kept(db: sqlite3.Connection, cls: type[S], kind: str, code: str) -> S | None:
    """A sitting as it was left."""
    row = db.execute(
        "SELECT by, body FROM sitting WHERE code = ? AND kind = ?", (code, kind)
    ).fetchone()
    return _read(cls, *row) if row else None


def all_kept(db: sqlite3.Connection, cls: type[S], kind: str) -> list[S]:
    """Every sitting of a kind as it was left, by code."""
    rows = db.execute("SELECT by, body FROM sitting WHERE kind = ? ORDER BY code", (kind,))
    return [_read(cls, *row) for row in rows.fetchall()]


def _read(cls: type[S], by: str, body: str) -> S:
    found: Any = from_plain(cls, json.loads(body))
    kept: S = replace(found, by=str(by))
    return kept


def keep(db: sqlite3.Connection, sitting: Seated, kind: str, code: str, changed_at: str) -> None:
    """The sitting is as the terminal has it."""
    db.execute(
        "INSERT INTO sitting VALUES (?, ?, ?, ?, ?) ON CONFLICT (code) DO UPDATE SET "
        "by = excluded.by, changed_at = excluded.changed_at, body = excluded.body",
        (code, kind, sitting.by, changed_at, canonical(plain(sitting))),
    )


def end(db: sqlite3.Connection, kind: str, code: str) -> None:
    """Nothing of this sitting waits at a terminal any more."""
    db.execute("DELETE FROM sitting WHERE code = ? AND kind = ?", (code, kind))
