"""Questions about orders: what came on them, and how they were first agreed."""

import sqlite3
from collections.abc import Collection

from stockbook.domain.codec import fact_from_body
from stockbook.domain.facts import Lot
from stockbook.domain.order_facts import PurchaseOrder
from stockbook.ledger.facts import all_of, marks
from stockbook.ledger.standing import stands

_STANDING = (
    "FROM lot CROSS JOIN movement ON movement.lot = lot.code AND movement.quantity > 0 "
    "CROSS JOIN entry ON entry.number = movement.entry AND entry.kind = 'delivery' "
    f"WHERE lot.order_code IN ({{}}) AND {stands()}"
)
"""Lots that came on orders by deliveries that were not reversed."""


def came_on_orders(db: sqlite3.Connection, orders: Collection[str]) -> dict[str, dict[str, int]]:
    """Finest steps that came, by order and there by item."""
    rows = db.execute(
        f"SELECT lot.order_code, lot.item, SUM(movement.quantity) "
        f"{_STANDING.format(marks(orders))} GROUP BY 1, 2 ORDER BY 1, 2",
        list(orders),
    )
    came: dict[str, dict[str, int]] = {}
    for order, item, quantity in rows.fetchall():
        came.setdefault(order, {})[item] = quantity
    return came


def deliveries_on_orders(
    db: sqlite3.Connection, orders: Collection[str]
) -> list[tuple[int, str, Lot]]:
    """Every lot that came on these orders, with its entry and the day; in order of recording."""
    rows = db.execute(
        f"SELECT entry.number, entry.happened_on, lot.code {_STANDING.format(marks(orders))} "
        "ORDER BY entry.number, movement.line",
        list(orders),
    ).fetchall()
    lots = {lot.code: lot for lot in all_of(db, Lot, order_code=list(orders))} if rows else {}
    return [(entry, day, lots[code]) for entry, day, code in rows]


def first_agreed(db: sqlite3.Connection, orders: Collection[str]) -> dict[str, PurchaseOrder]:
    """Orders as they were made, before any change."""
    rows = db.execute(
        f"SELECT code, body, MIN(entry) FROM change WHERE kind = 'order' "
        f"AND code IN ({marks(orders)}) GROUP BY code",
        list(orders),
    )
    return {code: fact_from_body("order", code, body) for code, body, _ in rows.fetchall()}


def orders_numbered(db: sqlite3.Connection, prefix: str) -> list[str]:
    """The codes of orders that begin so."""
    rows = db.execute(
        "SELECT code FROM purchase_order WHERE substr(code, 1, ?) = ? ORDER BY code",
        (len(prefix), prefix),
    )
    return [str(row[0]) for row in rows.fetchall()]


def orders_of_proposal(db: sqlite3.Connection, code: str) -> list[tuple[int, str]]:
    """The entries that recorded orders of a proposal, with the orders' codes."""
    rows = db.execute(
        "SELECT number, document FROM entry WHERE request_key >= ? AND request_key < ? "
        "ORDER BY number",
        (f"proposal/{code}/", f"proposal/{code}0"),
    )
    return [(int(number), str(document)) for number, document in rows.fetchall()]
