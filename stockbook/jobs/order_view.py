"""Orders as they are asked for: one in full, all that are open, what is late."""

import sqlite3
from collections.abc import Mapping

from stockbook.domain.asking import AsOf
from stockbook.domain.facts import Item, PackSize
from stockbook.domain.order_answers import OrderDelivery, OrderView
from stockbook.domain.order_facts import OrderLine, PurchaseOrder
from stockbook.domain.orders import OnOrder, OrderState
from stockbook.jobs.finding import known_supplier
from stockbook.jobs.ordering import known_order, open_orders, states_of, to_come
from stockbook.ledger import history
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.facts import all_of, entries_that_changed
from stockbook.ledger.opening import Book
from stockbook.ledger.orders import deliveries_on_orders
from stockbook.ledger.stock import items_by_code


def order_view(book: Book, code: str) -> OrderView:
    """One order: its lines, what came when, its entries, the identifiers of its packs."""
    with book.reading() as db:
        order = known_order(db, code)
        entries = [
            history.entry(db, n) for n in entries_that_changed(db, PurchaseOrder, order.code)
        ]
        return OrderView(
            states_of(db, [order])[0], known_supplier(db, order.supplier),
            tuple(_deliveries(db, order)), tuple(e for e in entries if e), _identifiers(db, order),
        )  # fmt: skip


def _deliveries(db: sqlite3.Connection, order: PurchaseOrder) -> list[OrderDelivery]:
    found = deliveries_on_orders(db, [order.code])
    items = items_by_code(db, {lot.item for _, _, lot in found})
    return [
        OrderDelivery(entry, day, lot.document, items[lot.item], lot) for entry, day, lot in found
    ]


def _identifiers(db: sqlite3.Connection, order: PurchaseOrder) -> dict[str, str]:
    """The identifier of each line's packs (of one unit, where they are not whole), if known."""
    named = {line.item for line in order.lines}
    items, sizes = items_by_code(db, named), all_of(db, PackSize, item=named)
    known = {(size.item, size.units): size.code for size in reversed(sizes)}
    known |= {(line.item, line.pack_quantity): line.pack for line in order.lines if line.pack}
    found = {line.item: known.get((line.item, _sold_by(line, items))) for line in order.lines}
    return {item: code for item, code in found.items() if code}


def _sold_by(line: OrderLine, items: Mapping[str, Item]) -> int:
    """How many finest steps the supplier counts a line in: a pack, or one unit."""
    whole = line.pack_quantity and line.quantity % line.pack_quantity == 0
    return line.pack_quantity if whole else int(10 ** items[line.item].unit_places)


def all_orders(book: Book) -> list[OrderState]:
    """Every order ever made, the latest first."""
    with book.reading() as db:
        orders = all_of(db, PurchaseOrder)
        orders.sort(key=lambda one: (one.ordered_on, one.code), reverse=True)
        return states_of(db, orders)


def orders_to_come(book: Book) -> list[OrderState]:
    """Orders of which something is still to come, the earliest due first."""
    with book.reading() as db:
        return open_orders(db)


def items_to_come(book: Book) -> dict[str, OnOrder]:
    """What is on order, by item."""
    with book.reading() as db:
        return to_come(db)


def late_orders(book: Book, as_of: AsOf) -> list[OrderState]:
    """Orders due before a day of which something had not come by then."""
    with reading_as_of(book, as_of) as db:
        states = open_orders(db, ordered_through=as_of.day)
        return [one for one in states if one.days_late(as_of.day)]
