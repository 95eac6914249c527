"""How a period looks by lot, FIFO and moving average: in all, then by class."""

from collections.abc import Callable, Mapping

from stockbook.domain.amounts import half_even, text_from_whole
from stockbook.domain.answers import Site
from stockbook.domain.valuation import (
    MethodCosts,
    MethodSums,
    days_in_stock_thousandths,
    turnover_hundredths,
)
from stockbook.reports.data import DataSheet, Quantity, columns
from stockbook.reports.tables import heading, table

NAMES = {"lot": "By lot", "fifo": "FIFO", "average": "Moving average"}

_Figure = tuple[str, Callable[[MethodSums], int]]
_DIFFERENCES: _Figure = ("+/- differences", lambda sums: sums.differences)
_FIGURES: tuple[_Figure, ...] = (
    ("opening", lambda sums: sums.opening),
    ("+ received", lambda sums: sums.received),
    ("- used and wasted", lambda sums: -sums.used),
    _DIFFERENCES,
    ("= closing", lambda sums: sums.closing),
)

NOTES = (
    "Received: net of what was sent back, with opening stock and what was made.",
    "By lot is the ledger as it is. FIFO and the moving average follow the same movements in the\n"
    "order of their entry numbers, an item over the whole site; transfers between places are\n"
    "ignored; units that come back undo what they went as; consigned units count at their charge.",
    "LIFO is not offered: IAS 2 does not allow it.",
)


def methods_page(costs: MethodCosts, site: Site) -> str:
    """A column for each method, the whole first, then class by class."""
    title = f"Cost by method, {costs.first_day} to {costs.last_day} ({site.money.code})"
    names = [NAMES[method] for method in costs.methods]
    rows = _figures("IN ALL", costs.total, site) + _rates(costs)
    for item_class, sums in costs.by_class.items():
        rows += _figures(item_class, sums, site)
    page = table(("Class", "", *names), rows, ",".join(names), caption="By class and method")
    ending = f"Last entry {costs.last_entry}, checksum {costs.checksum}"
    return "\n".join([heading(title, site), page, "", *NOTES, ending])


def _figures(name: str, by_method: Mapping[str, MethodSums], site: Site) -> list[tuple[str, ...]]:
    """A line for each figure; differences only where there are some."""
    sums = by_method.values()
    shown = [f for f in _FIGURES if f is not _DIFFERENCES or any(s.differences for s in sums)]
    return [
        ("" if line else name, words, *(site.money.text(of(s)) for s in sums))
        for line, (words, of) in enumerate(shown)
    ]


def _rates(costs: MethodCosts) -> list[tuple[str, ...]]:
    """How often the stock was used up in the period, and how long it lasts."""
    sums = costs.total.values()
    turnover = [_text(turnover_hundredths(s.used, s.opening, s.closing), 2, 2) for s in sums]
    days = [_text(_days(costs, s), 3, 1) for s in sums]
    return [("", "turnover in the period", *turnover), ("", "days in stock", *days)]


def _days(costs: MethodCosts, sums: MethodSums) -> int | None:
    return days_in_stock_thousandths(costs.days, sums.used, sums.opening, sums.closing)


def _text(whole: int | None, places: int, shown: int) -> str:
    return "" if whole is None else text_from_whole(half_even(whole, 10 ** (places - shown)), shown)


def methods_sheets(costs: MethodCosts) -> list[DataSheet]:
    """A row for each method, then a row for each class and method."""
    money = columns(
        "opening:money", "received:money", "used:money", "differences:money", "closing:money"
    )
    rates = columns("turnover:quantity", "days_in_stock:quantity")
    about = (
        ("first_day", costs.first_day), ("last_day", costs.last_day), ("order", "entry number"),
        ("last_entry", str(costs.last_entry)), ("checksum", costs.checksum),
    )  # fmt: skip
    totals = [
        (method, *_cells(sums), *_rate_cells(costs, sums)) for method, sums in costs.total.items()
    ]
    classes = [
        (item_class, method, *_cells(sums))
        for item_class, by_method in costs.by_class.items()
        for method, sums in by_method.items()
    ]
    return [
        DataSheet("cost_by_method", about, (*columns("method"), *money, *rates), tuple(totals)),
        DataSheet(
            "cost_by_method_class", about[:2], (*columns("class", "method"), *money),
            tuple(classes),
        ),
    ]  # fmt: skip


def _cells(sums: MethodSums) -> tuple[int, ...]:
    return sums.opening, sums.received, sums.used, sums.differences, sums.closing


def _rate_cells(costs: MethodCosts, sums: MethodSums) -> tuple[Quantity | None, Quantity | None]:
    turnover = turnover_hundredths(sums.used, sums.opening, sums.closing)
    days = _days(costs, sums)
    return (
        None if turnover is None else Quantity(turnover, 2),
        None if days is None else Quantity(days, 3),
    )
