"""How the value of the stock looks, what does not move, and what was paid beside before."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.cost_flows import LOT
from stockbook.domain.site_rules import REPLACEMENT
from stockbook.domain.write_downs import ItemValue, NotMoving, PricePaid, StockValue, WroteDown
from stockbook.reports.amounts import amount, lot_name
from stockbook.reports.cost_methods import NAMES
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

TESTS = {
    True: "current replacement cost (IPSAS 12, goods given free or nearly so)",
    False: "net realisable value (IAS 2)",
}


def value_page(found: StockValue, site: Site) -> str:
    """Item by item: units, value by each method, the stated value, what to write down."""
    names = [NAMES[method] for method in found.methods]
    headers = ("Item", "Units", *names, "Stated", "Lower of both", "To write down")
    rows = [_row(one, found.methods, site) for one in found.items]
    rows.append(_sums(found, site))
    title = f"Value of the stock, {found.day} ({site.money.code})"
    test = TESTS[found.test == REPLACEMENT]
    return "\n".join([
        heading(title, site),
        table(headers, rows, ",".join(headers[1:]), caption="Item by item", sums=1),
        f"Compared item by item with its {test}, where finance has stated one; setting value_test.",
        "Consigned stock is the supplier's and stands nowhere here; donated stock counts as nil.",
        f"Last entry {found.last_entry}, checksum {found.checksum}",
    ])  # fmt: skip


def _row(one: ItemValue, methods: Sequence[str], site: Site) -> tuple[str, ...]:
    money = site.money
    stated = "" if one.worth is None else money.text(one.worth)
    return (
        one.item.code, amount(one.item, one.quantity),
        *(money.text(_value(one, method)) for method in methods), stated, money.text(one.lower),
        money.text(one.to_write_down) if one.to_write_down else "",
    )  # fmt: skip


def _value(one: ItemValue, method: str) -> int:
    return one.by_lot if method == LOT else one.by_method.get(method, 0)


def _sums(found: StockValue, site: Site) -> tuple[str, ...]:
    money = site.money
    by_method = [sum(_value(one, method) for one in found.items) for method in found.methods]
    lower = sum(one.lower for one in found.items)
    down = sum(one.to_write_down for one in found.items)
    return ("All", "", *map(money.text, by_method), "", money.text(lower), money.text(down))


def wrote_down_page(made: WroteDown, site: Site) -> str:
    """Each lot's part, and what the item bears before and after."""
    rows = [
        (lot_name(lot), place, site.money.text(value)) for lot, place, value in made.changes
    ]  # fmt: skip
    title = f"Value of {made.item.code} stated ({site.money.code})"
    parts = [heading(title, site)]
    parts.append(table(("Lot", "Place", "Change"), rows, "Change") if rows else "Nothing changes.")
    money = site.money
    parts.append(f"On shelves before {money.text(made.before)}, now {money.text(made.after)}.")
    return "\n".join(parts)


def not_moving_page(found: Sequence[NotMoving], days: int, site: Site, day: str) -> str:
    """What nothing was used of, dearest first."""
    title = f"Not used in {days} days, {day} ({site.money.code})"
    if not found:
        return f"{heading(title, site)}\nOf everything on the shelves something was used."
    rows = [
        (one.item.code, lot_name(one.lot), one.place, amount(one.item, one.quantity),
         site.money.text(one.value), one.last_used or "never")
        for one in found
    ]  # fmt: skip
    names = ("Item", "Lot", "Place", "Units", "Value", "Last used")
    whole = site.money.text(sum(one.value for one in found))
    return "\n".join([
        heading(title, site), table(names, rows, "Units,Value", caption="Lots, dearest first"),
        f"{plural(len(rows), 'lot')}, worth {whole}.",
    ])  # fmt: skip


def prices_page(found: Sequence[PricePaid], days: tuple[str, str], site: Site) -> str:
    """What was paid beside the price before the period, lot by lot."""
    title = f"Prices paid, {days[0]} to {days[1]} ({site.money.code})"
    if not found:
        return f"{heading(title, site)}\nNothing was bought."
    money = site.money
    rows = [
        (one.item.code, lot_name(one.lot), one.lot.supplier,
         amount(one.item, one.lot.price_quantity or 0), money.text(one.paid),
         "" if one.before is None else money.text(one.before),
         "first price" if one.variance is None else money.text(one.variance))
        for one in found
    ]  # fmt: skip
    names = ("Item", "Lot", "Supplier", "Units", "Paid", "At the price before", "Difference")
    right = "Units,Paid,At the price before,Difference"
    drawn = table(names, rows, right, caption="Lot by lot")
    whole = money.text(sum(one.variance or 0 for one in found))
    return "\n".join([
        heading(title, site), drawn,
        f"Paid beyond the prices before: {whole}.",
    ])  # fmt: skip


def value_sheets(found: StockValue) -> "list[DataSheet]":
    """Items, one row each; a column for each method."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    rows = [
        (one.item.code, one.item.item_class, Quantity(one.quantity, one.item.unit_places),
         *(_value(one, method) for method in found.methods), one.worth, one.lower,
         one.to_write_down)
        for one in found.items
    ]  # fmt: skip
    names = columns(
        "item", "class", "quantity:quantity", *(f"by_{method}:money" for method in found.methods),
        "stated:money", "lower:money", "to_write_down:money",
    )  # fmt: skip
    about = (
        ("day", found.day), ("value_test", found.test), ("last_entry", str(found.last_entry)),
        ("checksum", found.checksum),
    )  # fmt: skip
    return [DataSheet("valuation", about, names, tuple(rows))]


def not_moving_sheets(found: Sequence[NotMoving], days: int, day: str) -> "list[DataSheet]":
    """Lots, one row each."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    rows = [
        (one.item.code, one.lot.number, one.place, Quantity(one.quantity, one.item.unit_places),
         one.value, one.last_used)
        for one in found
    ]  # fmt: skip
    names = columns(
        "item", "lot", "place", "quantity:quantity", "value:money", "last_used:day"
    )  # fmt: skip
    return [DataSheet("not_moving", (("day", day), ("days", str(days))), names, tuple(rows))]


def prices_sheets(found: Sequence[PricePaid], days: tuple[str, str]) -> "list[DataSheet]":
    """Lots bought, one row each."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    rows = [
        (one.item.code, one.lot.number, one.lot.supplier, one.lot.received_on,
         Quantity(one.lot.price_quantity or 0, one.item.unit_places), one.paid, one.before,
         one.variance)
        for one in found
    ]  # fmt: skip
    names = columns(
        "item", "lot", "supplier", "received:day", "quantity:quantity", "paid:money",
        "at_price_before:money", "difference:money",
    )  # fmt: skip
    about = (("first_day", days[0]), ("last_day", days[1]))
    return [DataSheet("prices_paid", about, names, tuple(rows))]
