"""Orders as they stand, for whoever asks: which are open, what is still to come of an item."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain.order_facts import PurchaseOrder
from stockbook.domain.orders import CLOSED, OPEN, OnOrder, OrderState, on_order, order_state
from stockbook.jobs.finding import known
from stockbook.ledger.facts import all_of
from stockbook.ledger.orders import came_on_orders
from stockbook.ledger.stock import items_by_code


def known_order(db: sqlite3.Connection, text: str) -> PurchaseOrder:
    """The order of a code."""
    return known(db, PurchaseOrder, text, "order")


def states_of(db: sqlite3.Connection, orders: Sequence[PurchaseOrder]) -> list[OrderState]:
    """Where these orders stand, in their order."""
    if not orders:
        return []
    came = came_on_orders(db, [order.code for order in orders])
    named = {line.item for order in orders for line in order.lines}
    items = items_by_code(db, named.union(*came.values()))
    return [order_state(order, items, came.get(order.code, {})) for order in orders]


def open_orders(
    db: sqlite3.Connection, supplier: str | None = None, ordered_through: str | None = None
) -> list[OrderState]:
    """Orders of which something is still to come, the earliest due first."""
    wanted = {"supplier": supplier} if supplier else {}
    orders = [
        order for order in all_of(db, PurchaseOrder, **wanted)
        if order.state != CLOSED
        and (ordered_through is None or order.ordered_on <= ordered_through)
    ]  # fmt: skip
    states = [one for one in states_of(db, orders) if one.state == OPEN]
    return sorted(states, key=lambda one: (one.order.due_on, one.order.code))


def to_come(db: sqlite3.Connection) -> dict[str, OnOrder]:
    """What is on order, by item."""
    return on_order(open_orders(db))
