"""An order for its supplier: a page to print or send, and the same as a table."""

from typing import TYPE_CHECKING, Any

from stockbook.domain.amounts import half_even, quantity_text
from stockbook.domain.answers import Site
from stockbook.domain.order_answers import OrderView
from stockbook.domain.orders import LineState
from stockbook.reports.html import Safe, el, page, rows
from stockbook.reports.page_style import style

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

STYLE = """
body { font: 11pt/1.4 sans-serif; }
h1 { margin: 8mm 0 4mm; }
p { margin: 1mm 0; }
table { margin: 4mm 0; }
th, td { padding: 1mm 1.5mm; vertical-align: top; }
td { overflow-wrap: anywhere; }
"""
MARGIN = 20


def order_letter(view: OrderView, site: Site, *, prices: bool = True) -> str:
    """One document for the supplier: whose order it is, its number, every line in packs."""
    order = view.state.order
    head = ["Identifier", "Item", "Packs", "Units in a pack", "Units"]
    head += ["Price of a pack", "Price"] if prices else []
    body = [_cells(view, line, site, prices=prices) for line in view.state.lines]
    table = el("table", el("thead", rows([tuple(head)], "th")), el("tbody", rows(body)))
    total = el("p", f"In all: {site.money.code} {site.money.text(view.state.value)}")
    parts: list[Safe] = [
        el("p", site.name),
        *([el("p", "DEMONSTRATION, invented data.")] if site.demonstration else []),
        el("p", f"To: {view.supplier.name} ({view.supplier.code})"),
        el("h1", f"Order {order.code}"),
        el("p", f"Ordered on {order.ordered_on}. Please deliver by {order.due_on}."),
        table,
        *([total] if prices else []),
        el("p", f"Please write the number {order.code} on the delivery note and the invoice."),
    ]
    return page(f"Order {order.code}", style(site.paper, STYLE, margin=MARGIN), *parts) + "\n"


def _cells(view: OrderView, line: LineState, site: Site, *, prices: bool) -> tuple[str, ...]:
    item, ordered = line.item, line.line
    number, each = packs(line)
    cells = [
        view.identifiers.get(item.code, ""), f"{item.code}, {item.name}",
        "" if number is None else str(number),
        "" if number is None else quantity_text(each, item.unit_places),
        f"{quantity_text(ordered.quantity, item.unit_places)} {item.unit}",
    ]  # fmt: skip
    if prices:
        each_price, price = _pack_price(line), ordered.price
        cells.append("" if each_price is None else site.money.text(each_price))
        cells.append("" if price is None else site.money.text(price))
    return tuple(cells)


def packs(line: LineState) -> tuple[int | None, int]:
    """How many whole packs a line is, and what one holds; no number where it is not whole."""
    each = line.line.pack_quantity
    if not each or line.line.quantity % each:
        return None, each
    return line.line.quantity // each, each


def _pack_price(line: LineState) -> int | None:
    """What a pack costs, where that comes out even; the line's price is what is agreed."""
    number, _ = packs(line)
    if line.line.price is None or not number or line.line.price % number:
        return None
    return half_even(line.line.price, number)


def letter_sheet(view: OrderView, *, prices: bool = True) -> "DataSheet":
    """The same as a table."""
    from stockbook.reports.data import DataSheet, columns

    order = view.state.order
    names = [
        "order", "due_on:day", "identifier", "item", "name", "packs:count", "pack:quantity",
        "units:quantity", "unit",
    ]  # fmt: skip
    names += ["pack_price:money", "price:money"] if prices else []
    body = tuple(_sheet_row(view, line, prices=prices) for line in view.state.lines)
    about = (("supplier", order.supplier),)
    return DataSheet("order", about, columns(*names), body)


def _sheet_row(view: OrderView, line: LineState, *, prices: bool) -> tuple[Any, ...]:
    from stockbook.reports.data import Quantity

    order, item = view.state.order, line.item
    number, each = packs(line)
    pack = Quantity(each, item.unit_places) if number is not None else None
    row = (
        order.code, order.due_on, view.identifiers.get(item.code), item.code, item.name, number,
        pack, Quantity(line.line.quantity, item.unit_places), item.unit,
    )  # fmt: skip
    return (*row, _pack_price(line), line.line.price) if prices else row
