"""How stock on hand looks."""

from stockbook.domain.answers import LensGrid, Site, Stock, StockSum
from stockbook.domain.lenses import power_text
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import below_nothing, heading, past, table


def stock_page(stock: Stock, site: Site) -> str:
    """Every lot with its place, quantity and value; what must not be used is marked.

    As few columns as it takes: the page is read on terminals of 80 columns.
    """
    title = f"Stock on hand, {stock.day}" + (f" ({stock.asked})" if stock.asked else "")
    if not stock.rows:
        return f"{heading(title, site)}\nNothing on hand."
    stopped = ("Not to be used",) if any(s.stopped for s in stock.rows) else ()
    rows = [
        (
            s.item.code, s.row.place, lot_name(s.row.lot), expiry(s.row.lot),
            amount(s.item, s.row.quantity), site.money.text(s.row.value),
            *((s.stopped or "",) if stopped else ()),
        )
        for s in stock.rows
    ]  # fmt: skip
    headers = ("Item", "Place", "Lot", "Expiry", "Units", "Value", *stopped)
    late = [f"{s.row.place} {s.item.code} {lot_name(s.row.lot)}" for s in stock.below_nothing]
    total = site.money.text(sum(s.row.value for s in stock.rows))
    return (
        f"{heading(title, site)}\n{table(headers, rows, 'Units,Value')}\n"
        f"Value in all: {site.money.code} {total}{below_nothing(late)}"
    )


def sums_page(stock: Stock, sums: list[StockSum], per: str, site: Site) -> str:
    """A row for each item, place or class; units only where they can be added."""
    title = f"Stock on hand per {per}, {stock.day}" + (f" ({stock.asked})" if stock.asked else "")
    units = ("Usable", "Not to be used") if per == "item" else ()
    coming = ("On order",) if any(s.on_order for s in sums) else ()
    headers = (per.capitalize(), *(("Name",) if units else ()), "Lots", *units, *coming, "Value")
    rows = [_sum_row(s, site, coming=bool(coming)) for s in sums]
    total = site.money.text(sum(s.row.value for s in stock.rows))
    page = table(headers, rows, "Lots,Usable,Not to be used,On order,Value")
    return f"{heading(title, site)}\n{page}\nValue in all: {site.money.code} {total}"


def _sum_row(s: StockSum, site: Site, *, coming: bool) -> tuple[object, ...]:
    value = site.money.text(s.value)
    if s.item is None:
        return (s.code, s.lots, value)
    stopped = amount(s.item, s.stopped) if s.stopped else ""
    on_order = (amount(s.item, s.on_order) if s.on_order else "",) if coming else ()
    return (s.code, s.name, s.lots, amount(s.item, s.usable), stopped, *on_order, value)


def lens_page(grid: LensGrid, site: Site) -> str:
    """Usable lenses: a row for each power, a column for each model; a dot where it has none."""
    rows = [(power_text(p), *(_cell(grid, model, p) for model in grid.models)) for p in grid.powers]
    totals = ("all", *(_total(grid, model) for model in grid.models))
    page = table(("Power", *grid.models), [*rows, totals], ",".join(("Power", *grid.models)))
    note = f"\nNot to be used and not counted: {grid.stopped}" if grid.stopped else ""
    return (
        f"{heading(f'Lenses usable on shelves, {grid.day}{past(grid.as_of)}', site)}\n{page}{note}"
    )


def _cell(grid: LensGrid, model: str, power: int) -> str:
    """How many there are; a dot where the model is not kept at that power."""
    return str(grid.usable.get((model, power), "."))


def _total(grid: LensGrid, model: str) -> int:
    return sum(count for (m, _), count in grid.usable.items() if m == model)
