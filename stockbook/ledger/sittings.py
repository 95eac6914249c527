"""Unfinished work at a theatre's terminal: outside the chain, and kept when the terminal dies."""

import json
import sqlite3

from stockbook.domain.codec import canonical
from stockbook.domain.finishing import Scanned
from stockbook.domain.sitting import Pack, Sitting

_KIND = "theatre"


def find_sitting(db: sqlite3.Connection, code: str) -> Sitting | None:
    """The sitting on a list, as it was left."""
    row = db.execute(
        "SELECT by, body FROM sitting WHERE code = ? AND kind = ?", (code, _KIND)
    ).fetchone()
    return _from_text(code, *row) if row else None


def _from_text(code: str, by: str, body: str) -> Sitting:
    values = json.loads(body)
    packs = tuple(Pack(p["case"], Scanned(**p["unit"])) for p in values["packs"])
    return Sitting(code, by, values["case"], values["act"], packs, values.get("seat", 0))


def keep_sitting(db: sqlite3.Connection, sitting: Sitting, changed_at: str) -> None:
    """The sitting is as the terminal has it."""
    packs = [{"case": p.case, "unit": _unit(p.unit)} for p in sitting.packs]
    body = canonical(
        {"case": sitting.case, "act": sitting.act, "packs": packs, "seat": sitting.seat}
    )  # fmt: skip
    db.execute(
        "INSERT INTO sitting VALUES (?, ?, ?, ?, ?) ON CONFLICT (code) DO UPDATE SET "
        "kind = excluded.kind, by = excluded.by, changed_at = excluded.changed_at, "
        "body = excluded.body",
        (sitting.list, _KIND, sitting.by, changed_at, body),
    )


def _unit(unit: Scanned) -> dict[str, object]:
    return {
        "item": unit.item, "quantity": unit.quantity, "lot": unit.lot, "expiry": unit.expiry,
        "what": unit.what,
    }  # fmt: skip


def end_sitting(db: sqlite3.Connection, code: str) -> None:
    """Nothing of this list waits at a terminal any more."""
    db.execute("DELETE FROM sitting WHERE code = ? AND kind = ?", (code, _KIND))
