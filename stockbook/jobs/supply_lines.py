"""The lines that were ordered of suppliers, with what came of each: what their record rests on."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain.days import days_between
from stockbook.domain.facts import Lot
from stockbook.domain.order_facts import PurchaseOrder
from stockbook.domain.orders import CLOSED
from stockbook.domain.places import supplier_place
from stockbook.domain.supply_record import AtTheDoor, Delivered, OrderedLine
from stockbook.ledger.facts import all_of
from stockbook.ledger.orders import deliveries_on_orders, first_agreed
from stockbook.ledger.rejections import lots_that_came, rejected_lines
from stockbook.ledger.settings import setting


def ordered_lines(db: sqlite3.Connection, supplier: str) -> list[OrderedLine]:
    """Every line ordered of a supplier, in order of order.

    It is due on the day first agreed: an order that was put off came late all the same.
    """
    orders = all_of(db, PurchaseOrder, supplier=supplier)
    codes = [order.code for order in orders]
    if not codes:
        return []
    agreed, short_days = first_agreed(db, codes), int(setting(db, "short_dated_days"))
    came: dict[tuple[str, str], list[tuple[str, Lot]]] = {}
    for _, day, lot in deliveries_on_orders(db, codes):
        came.setdefault((str(lot.order_code), lot.item), []).append((day, lot))
    return [
        OrderedLine(
            order.code, line.item, order.ordered_on, agreed[order.code].due_on, line.quantity,
            line.lead_days, order.state == CLOSED,
            _delivered(came.get((order.code, line.item), []), short_days),
        )
        for order in orders for line in order.lines
    ]  # fmt: skip


def _delivered(came: Sequence[tuple[str, Lot]], short_days: int) -> tuple[Delivered, ...]:
    """What came, day by day."""
    days: dict[str, list[Lot]] = {}
    for day, lot in came:
        days.setdefault(day, []).append(lot)
    return tuple(
        Delivered(
            day, sum(lot.quantity for lot in lots), len(lots),
            sum(days_between(day, lot.expires_on) < short_days for lot in lots),
        )
        for day, lots in sorted(days.items())
    )  # fmt: skip


def at_the_door(db: sqlite3.Connection, supplier: str) -> AtTheDoor:
    """What became of a supplier's deliveries at the door, orders or none."""
    lots, aside = lots_that_came(db, supplier_place(supplier))
    rejected = rejected_lines(db, supplier)
    return AtTheDoor(lots, tuple(sorted(rejected.items())), tuple(sorted(aside.items())))
