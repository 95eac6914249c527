"""Questions about use outside patients' cases: lists, services; stock day by day; shelf lives."""

import sqlite3
from collections.abc import Collection

from stockbook.domain.places import STOCK_KINDS
from stockbook.ledger.facts import marks
from stockbook.ledger.standing import stands

_STOCK = ", ".join(f"'{kind}'" for kind in sorted(STOCK_KINDS))


def plain_uses(db: sqlite3.Connection, first_day: str, day: str) -> list[tuple[str, str, int]]:
    """By item and day what lists and services used or wasted, from a day up to another."""
    rows = db.execute(
        "SELECT one.item, happened_on, SUM(movement.quantity * ((t.kind IN ('used', 'waste')) "
        "- (f.kind IN ('used', 'waste')))) AS net FROM entry "
        "CROSS JOIN movement ON movement.entry = entry.number "
        "JOIN theatre_case ON theatre_case.code = case_code AND theatre_case.kind <> 'patient' "
        "JOIN lot AS one ON one.code = movement.lot "
        "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
        f"WHERE happened_on BETWEEN ? AND ? AND {stands()} GROUP BY 1, 2 HAVING net > 0 "
        "ORDER BY 1, 2",
        (first_day, day),
    )
    return rows.fetchall()


def stock_changes(
    db: sqlite3.Connection, items: Collection[str], day: str
) -> list[tuple[str, str, int]]:
    """By item and day how many more (or fewer) finest steps lay anywhere, up to a day."""
    rows = db.execute(
        "SELECT one.item, happened_on, SUM(movement.quantity * "
        f"((t.kind IN ({_STOCK})) - (f.kind IN ({_STOCK})))) FROM lot AS one "
        "CROSS JOIN movement ON movement.lot = one.code JOIN entry ON entry.number = entry "
        "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
        f"WHERE one.item IN ({marks(items)}) AND happened_on <= ? GROUP BY 1, 2 ORDER BY 1, 2",
        (*items, day),
    )
    return rows.fetchall()


def shelf_lives(db: sqlite3.Connection) -> dict[str, list[int]]:
    """By item, how many days each delivered lot had left when it came; what expires, that is."""
    rows = db.execute(
        "SELECT item, CAST(julianday(expires_on) - julianday(received_on) AS INTEGER) FROM lot "
        "WHERE supplier IS NOT NULL AND expires_on < '9999' ORDER BY item, code"
    )
    found: dict[str, list[int]] = {}
    for item, days in rows.fetchall():
        found.setdefault(item, []).append(days)
    return found
