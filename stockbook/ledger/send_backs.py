"""Questions of what was sent back: by which notes, and what of each lot lies in *sent back*."""

import sqlite3
from collections.abc import Collection

from stockbook.domain.places import SENT_BACK
from stockbook.domain.send_backs import SentRow
from stockbook.ledger.facts import marks
from stockbook.ledger.standing import stands


def sent_back(
    db: sqlite3.Connection, supplier: str | None = None, note: str | None = None
) -> list[SentRow]:
    """What was sent back and was not reversed, in the order of recording."""
    base = "/".join(part for part in ("send-back", supplier, note) if part)
    rows = db.execute(
        "SELECT number, happened_on, document, lot, quantity, value, movement.reason FROM entry "
        "CROSS JOIN movement ON movement.entry = number WHERE request_key >= ? "
        f"AND request_key < ? AND {stands()} AND (? IS NULL OR document = ?) "
        "ORDER BY number, line",
        (f"{base}/", f"{base}0", note, f"{supplier}/{note}"),
    )
    return [SentRow(*row) for row in rows.fetchall()]


def left_in_sent_back(db: sqlite3.Connection, lots: Collection[int]) -> dict[int, tuple[int, int]]:
    """Of each of these lots that was sent back, finest steps and what they bear now."""
    rows = db.execute(
        "SELECT lot, SUM(CASE WHEN to_place = ?1 THEN quantity ELSE -quantity END), "
        "SUM(CASE WHEN to_place = ?1 THEN value ELSE -value END) FROM movement "
        f"WHERE lot IN ({marks(lots)}) AND ?1 IN (from_place, to_place) GROUP BY lot",
        (SENT_BACK, *lots),
    )
    return {int(lot): (int(quantity), int(value)) for lot, quantity, value in rows.fetchall()}
