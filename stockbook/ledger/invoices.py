"""Questions of invoices: what was bought and came, and where a lot's units are now."""

import sqlite3
from typing import Any

from stockbook.domain.codec import fact_from_row, field_names
from stockbook.domain.facts import Lot
from stockbook.domain.invoices import Whereabouts
from stockbook.ledger.standing import stands

_LOT = ", ".join(f"lot.{name}" for name in field_names(Lot))


def bought_lots(
    db: sqlite3.Connection, supplier: str | None = None, note: str | None = None
) -> list[Lot]:
    """Lots that were bought and whose delivery stands, in the order in which they came."""
    rows = db.execute(
        f"SELECT {_LOT} FROM lot WHERE terms = 'bought' AND price_quantity > 0 "
        "AND supplier IS NOT NULL AND (?1 IS NULL OR supplier = ?1) "
        "AND (?2 IS NULL OR document = ?2) AND EXISTS (SELECT 1 FROM movement "
        "JOIN entry ON entry.number = movement.entry AND entry.kind = 'delivery' "
        f"WHERE movement.lot = lot.code AND {stands()}) ORDER BY lot.code",
        (supplier, note),
    )
    return [_lot(row) for row in rows.fetchall()]


def _lot(row: tuple[Any, ...]) -> Lot:
    lot: Lot = fact_from_row(Lot, row)
    return lot


def supplier_of_note(db: sqlite3.Connection, note: str) -> list[str]:
    """Who delivered under a note's number."""
    rows = db.execute(
        "SELECT DISTINCT supplier FROM lot WHERE document = ? AND supplier IS NOT NULL ORDER BY 1",
        (note,),
    )
    return [str(row[0]) for row in rows.fetchall()]


def whereabouts(db: sqlite3.Connection, lot: int) -> list[Whereabouts]:
    """Where all units of a lot are now or ended, by place and case; nothing where they came from.

    Only the trolley, used and waste keep the case; a shelf's units are one.
    """
    rows = db.execute(
        "SELECT place, CASE WHEN kind IN ('trolley', 'used', 'waste') THEN case_code END AS of, "
        "SUM(quantity), SUM(value) FROM ("
        "SELECT to_place AS place, case_code, quantity, value FROM movement WHERE lot = ?1 "
        "UNION ALL SELECT from_place, case_code, -quantity, -value FROM movement WHERE lot = ?1) "
        "JOIN place ON place.code = place WHERE kind NOT IN ('supplier', 'opening') "
        "GROUP BY place, of HAVING SUM(quantity) > 0 ORDER BY place, of",
        (lot,),
    )
    return [Whereabouts(*row) for row in rows.fetchall()]
