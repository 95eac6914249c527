"""A delivery beside the orders it came on: which they are, and how it differs from them."""

import sqlite3
from collections.abc import Mapping, Sequence

from stockbook.domain.deliveries import DeliveryLine
from stockbook.domain.order_checks import differences
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.orders import CLOSED, OrderState, price_of
from stockbook.domain.records import ReceivedOrder
from stockbook.errors import Refused
from stockbook.jobs.finding import known_supplier, money_of
from stockbook.jobs.ordering import known_order, open_orders, states_of
from stockbook.ledger.facts import find

Orders = Mapping[str, OrderState]


def named_orders(
    db: sqlite3.Connection, supplier: str, lines: Sequence[DeliveryLine], day: str
) -> dict[str, OrderState]:
    """The orders that the lines name, as they stood before; each one this supplier's and open."""
    codes = list(dict.fromkeys(line.order for line in lines if line.order))
    orders = [known_order(db, code) for code in codes]
    states = states_of(db, orders)
    for state in states:
        _check(db, state, supplier, day)
    return {state.order.code: state for state in states}


def order_named(db: sqlite3.Connection, supplier: str, text: str, day: str) -> OrderState:
    """The order of a code as it stands: this supplier's, open, and made before the day."""
    (state,) = states_of(db, [known_order(db, text)])
    _check(db, state, supplier, day)
    return state


def _check(db: sqlite3.Connection, state: OrderState, supplier: str, day: str) -> None:
    order = state.order
    instead = "Name another, or receive without --order."
    if order.supplier != supplier:
        other = known_supplier(db, order.supplier)
        raise Refused(f"order {order.code} is of {other.code} ({other.name}). {instead}")
    if order.state == CLOSED:
        raise Refused(f"order {order.code} is closed: what had not come was given up. {instead}")
    if day < order.ordered_on:
        raise Refused(
            f"order {order.code} was made on {order.ordered_on}, after this delivery ({day}). "
            f"{instead}"
        )


def agreed_price(orders: Orders, line: DeliveryLine) -> tuple[int, int] | None:
    """What was agreed for so many finest steps, where the line's order says it."""
    state = orders.get(line.order or "")
    ordered = state.line_of(line.item.code) if state else None
    if ordered is None or ordered.line.price is None:
        return None
    return ordered.line.price, ordered.line.quantity


def price_of_terms(
    db: sqlite3.Connection, supplier: str, line: DeliveryLine
) -> tuple[int, int] | None:
    """What the supplier's terms ask for so many finest steps, where there are terms."""
    terms = find(db, SupplyTerms, f"{supplier}/{line.item.code}")
    if terms is None or terms.closed or not line.paid_quantity:
        return None
    return price_of(terms, line.paid_quantity), line.paid_quantity


def received_orders(
    db: sqlite3.Connection, before: Orders, lines: Sequence[DeliveryLine]
) -> tuple[ReceivedOrder, ...]:
    """Each order after the delivery, with what came now and how it differs."""
    after = states_of(db, [state.order for state in before.values()])
    return tuple(_received(db, before[state.order.code], state, lines) for state in after)


def _received(
    db: sqlite3.Connection, before: OrderState, after: OrderState, lines: Sequence[DeliveryLine]
) -> ReceivedOrder:
    ours = [line for line in lines if line.order == before.order.code]
    now: dict[str, int] = {}
    for line in ours:
        now[line.item.code] = now.get(line.item.code, 0) + line.quantity
    return ReceivedOrder(after, now, differences(before, ours, money_of(db)))


def expected_orders(
    db: sqlite3.Connection, supplier: str, lines: Sequence[DeliveryLine]
) -> tuple[OrderState, ...]:
    """Open orders of the supplier for items that came without naming an order."""
    items = {line.item.code for line in lines if line.order is None}
    return tuple(
        state for state in open_orders(db, supplier)
        if any(line.to_come and line.item.code in items for line in state.lines)
    )  # fmt: skip
