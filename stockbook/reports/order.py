"""How orders look to the house: one in full, all that are open, what is to come of each item."""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from stockbook.domain.answers import Site
from stockbook.domain.order_answers import OrderView
from stockbook.domain.orders import CLOSED, LineState, OnOrder, OrderState
from stockbook.domain.records import ReceivedOrder
from stockbook.reports.amounts import amount, lot_name
from stockbook.reports.tables import heading, lines, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

_UNITS = ("Ordered", "Received", "To come", "Over")
_RIGHT = "Ordered,Received,To come,Over,Given up,Value,Days late,Now,Quoted"


def _units(line: LineState) -> tuple[str, ...]:
    shown = (line.line.quantity, line.received, line.to_come)
    over = amount(line.item, line.over) if line.over else ""
    return (*(amount(line.item, quantity) for quantity in shown), over)


def _price(line: LineState, site: Site) -> str:
    return "" if line.line.price is None else site.money.text(line.line.price)


def order_page(view: OrderView, site: Site) -> str:
    """One order: when it is due, every line, what came and by which entry."""
    order = view.state.order
    facts = [
        ("Supplier", f"{view.supplier.code}, {view.supplier.name}"),
        ("Ordered", order.ordered_on), ("Due", order.due_on), ("State", view.state.state),
        ("Entries", ", ".join(str(entry.number) for entry in view.entries)),
    ]  # fmt: skip
    parts = [heading(f"Order {order.code}", site), lines(facts), "", order_lines(view.state, site)]
    if view.deliveries:
        parts += ["", "What came", _deliveries(view)]
    return "\n".join(parts)


def order_lines(state: OrderState, site: Site) -> str:
    """The lines of an order with what came of each, and their value in all."""
    closed = state.order.state == CLOSED
    given_up = ("Given up",) if closed else ()
    rows = [
        (
            one.item.code, one.item.name, *_units(one),
            *((amount(one.item, one.given_up),) if closed else ()), _price(one, site),
        )
        for one in state.lines
    ]  # fmt: skip
    rows += [_not_ordered(item, quantity, closed=closed) for item, quantity in state.beside]
    page = table(("Item", "Name", *_UNITS, *given_up, "Value"), rows, _RIGHT)
    return f"{page}\n{_value(state, site)}"


def _not_ordered(item: Any, quantity: int, *, closed: bool) -> tuple[str, ...]:
    gap = ("",) if closed else ()
    return (item.code, f"{item.name} (not ordered)", "", "", "", amount(item, quantity), *gap, "")


def _value(state: OrderState, site: Site) -> str:
    without = f"; without a price: {', '.join(state.without_price)}" if state.without_price else ""
    return f"Value in all: {site.money.code} {site.money.text(state.value)}{without}"


def _deliveries(view: OrderView) -> str:
    rows = [
        (one.entry, one.day, one.note or "", one.item.code, lot_name(one.lot),
         amount(one.item, one.lot.quantity))
        for one in view.deliveries
    ]  # fmt: skip
    return table(("Entry", "Day", "Note", "Item", "Lot", "Units"), rows, "Entry,Units")


def orders_page(states: Sequence[OrderState], site: Site, title: str, nothing: str) -> str:
    """Every line of these orders, the order named at its first one."""
    if not states:
        return f"{heading(title, site)}\n{nothing}"
    rows = [row for state in states for row in _order_rows(state, site)]
    page = table(("Order", "Supplier", "Due", "Item", *_UNITS, "Value"), rows, _RIGHT)
    return f"{heading(title, site)}\n{page}\n{_sum(states, site)}"


def _sum(states: Sequence[OrderState], site: Site) -> str:
    value = site.money.text(sum(state.value for state in states))
    return f"{plural(len(states), 'order')}, value in all: {site.money.code} {value}"


def _order_rows(state: OrderState, site: Site) -> Iterable[tuple[str, ...]]:
    order = state.order
    said = state.state if state.state != "open" else order.due_on
    for number, line in enumerate(state.lines):
        head = ("", "", "") if number else (order.code, order.supplier, said)
        yield (*head, line.item.code, *_units(line), _price(line, site))


def late_page(states: Sequence[OrderState], day: str, site: Site) -> str:
    """What was due and has not come, the latest first."""
    title = f"Orders late, {day}"
    rows = [
        (state.order.code, state.order.supplier, state.order.due_on, state.days_late(day),
         line.item.code, amount(line.item, line.line.quantity), amount(line.item, line.to_come))
        for state in states for line in state.lines if line.to_come
    ]  # fmt: skip
    if not rows:
        return f"{heading(title, site)}\nNothing is late."
    names = ("Order", "Supplier", "Due", "Days late", "Item", "Ordered", "To come")
    page = table(names, rows, _RIGHT)
    return f"{heading(title, site)}\n{page}\n{plural(len(states), 'order')} late."


def on_order_page(items: Mapping[str, OnOrder], site: Site) -> str:
    """How much of each item is still to come, and on which orders."""
    if not items:
        return f"{heading('On order', site)}\nNothing is on order."
    rows = [
        (one.item.code, one.item.name, amount(one.item, one.quantity), one.parts[0].due_on,
         ", ".join(part.order for part in one.parts))
        for one in items.values()
    ]  # fmt: skip
    page = table(("Item", "Name", "To come", "Next due", "Orders"), rows, _RIGHT)
    return f"{heading('On order', site)}\n{page}\n{plural(len(items), 'item')}."


def received_order(received: ReceivedOrder) -> str:
    """What a delivery brought of an order, and every difference."""
    state = received.state
    rows = [
        (one.item.code, amount(one.item, one.line.quantity), _now(received, one), *_units(one)[1:])
        for one in state.lines
    ]  # fmt: skip
    names = ("Item", "Ordered", "Now", "Received", "To come", "Over")
    told = "complete" if state.state == "complete" else f"due {state.order.due_on}"
    said = [f"Warning: {words}" for words in received.differences]
    return "\n".join([f"Order {state.order.code}, {told}", table(names, rows, _RIGHT), *said])


def _now(received: ReceivedOrder, line: LineState) -> str:
    now = received.now.get(line.item.code)
    return amount(line.item, now) if now else ""


def expected_words(states: Sequence[OrderState], items: set[str], entry: int) -> str:
    """That open orders wait for what came without one, and how to name it."""
    waiting = "; ".join(
        f"{one.order.code} ({', '.join(_to_come(one, items))})" for one in states
    )  # fmt: skip
    return (
        f"On order of this supplier: {waiting}. If it came on one, name it: --order "
        f"{states[0].order.code} (once recorded, reverse entry {entry} first)."
    )


def _to_come(state: OrderState, items: set[str]) -> list[str]:
    return [
        f"{line.item.code}: {amount(line.item, line.to_come)} to come"
        for line in state.lines if line.to_come and line.item.code in items
    ]  # fmt: skip


def orders_sheets(states: Sequence[OrderState], day: str) -> "list[DataSheet]":
    """A row for each line of each order."""
    from stockbook.reports.data import DataSheet, columns

    rows = tuple(
        (s.order.code, s.order.supplier, s.order.ordered_on, s.order.due_on, s.state,
         s.days_late(day), *_line_cells(line))
        for s in states for line in s.lines
    )  # fmt: skip
    names = columns(
        "order", "supplier", "ordered_on:day", "due_on:day", "state", "days_late:count",
        *LINE_COLUMNS,
    )  # fmt: skip
    return [DataSheet("orders", (("day", day),), names, rows)]


LINE_COLUMNS = (
    "item", "name", "ordered:quantity", "received:quantity", "to_come:quantity",
    "over:quantity", "given_up:quantity", "unit", "value:money",
)  # fmt: skip


def _line_cells(line: LineState) -> tuple[Any, ...]:
    from stockbook.reports.data import Quantity

    steps = (line.line.quantity, line.received, line.to_come, line.over, line.given_up)
    units = [Quantity(n, line.item.unit_places) for n in steps]
    return (line.item.code, line.item.name, *units, line.item.unit, line.line.price)


def on_order_sheets(items: Mapping[str, OnOrder]) -> "list[DataSheet]":
    """A row for each item and order."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    rows = tuple(
        (one.item.code, one.item.name, Quantity(part.quantity, one.item.unit_places),
         one.item.unit, part.due_on, part.order, part.supplier)
        for one in items.values() for part in one.parts
    )  # fmt: skip
    names = columns(
        "item", "name", "to_come:quantity", "unit", "due_on:day", "order", "supplier"
    )  # fmt: skip
    return [DataSheet("on_order", (), names, rows)]


def order_sheets(view: OrderView, *, prices: bool = True) -> "list[DataSheet]":
    """The supplier's table first, the only one in a CSV; beside it what came of each line."""
    from stockbook.reports.data import DataSheet, Quantity, columns
    from stockbook.reports.order_letter import letter_sheet

    order = view.state.order
    progress = tuple(_line_cells(line) for line in view.state.lines)
    came = tuple(
        (one.entry, one.day, one.note, one.item.code, one.lot.number, one.lot.serial,
         Quantity(one.lot.quantity, one.item.unit_places))
        for one in view.deliveries
    )  # fmt: skip
    names = columns("entry:count", "day:day", "note", "item", "lot", "serial", "quantity:quantity")
    about = (("state", view.state.state), ("ordered_on", order.ordered_on))
    return [
        letter_sheet(view, prices=prices),
        DataSheet("order_lines", about, columns(*LINE_COLUMNS), progress, beside=True),
        DataSheet("order_deliveries", (), names, came, beside=True),
    ]
