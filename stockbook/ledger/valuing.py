"""Questions of a valuation: lots, and every movement into or out of stock in order of entry."""

import sqlite3
from collections.abc import Iterator

from stockbook.domain.cost_flows import GoneKey, ValuedLot, ValuedMove, gone_key
from stockbook.domain.places import STOCK_KINDS

_STOCK = ", ".join(f"'{kind}'" for kind in sorted(STOCK_KINDS))


def valued_lots(db: sqlite3.Connection) -> dict[int, ValuedLot]:
    """Every lot with its item and class."""
    rows = db.execute(
        "SELECT lot.code, lot.item, item_class, terms = 'consigned', quantity "
        "FROM lot JOIN item ON item.code = lot.item"
    )
    return {code: ValuedLot(*row) for code, *row in rows}


def undone_keys(db: sqlite3.Connection) -> set[GoneKey]:
    """Of which lot and case units once came back into stock from where they had gone."""
    rows = db.execute(
        "SELECT DISTINCT lot, case_code, f.kind FROM movement NOT INDEXED "
        "JOIN place AS f ON f.code = from_place "
        "AND f.kind IN ('used', 'waste', 'sent back', 'difference') "
        f"JOIN place AS t ON t.code = to_place AND t.kind IN ({_STOCK}) WHERE quantity > 0"
    )
    return {gone_key(*row) for row in rows}


def valued_moves(db: sqlite3.Connection, last_day: str) -> Iterator[ValuedMove]:
    """What crosses the border of stock, in order of entry, as far as a period's end asks.

    Read row by row while the caller follows: a book's history does not fit in memory.
    """
    (last,) = db.execute(
        "SELECT COALESCE(MAX(number), 0) FROM entry WHERE booked_on <= ?", (last_day,)
    ).fetchone()
    rows = db.execute(
        "SELECT booked_on, reverses IS NOT NULL, lot, quantity, value, f.kind, t.kind, case_code "
        "FROM entry CROSS JOIN movement ON movement.entry = entry.number "
        "CROSS JOIN place AS f ON f.code = from_place CROSS JOIN place AS t ON t.code = to_place "
        f"WHERE number <= ? AND NOT (f.kind IN ({_STOCK}) AND t.kind IN ({_STOCK})) "
        "ORDER BY number, line",
        (last,),
    )
    return map(ValuedMove._make, rows)
