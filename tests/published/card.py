"""A published stock card of months, kept in a book of one item, and the average of its months.

Units are the source's. Ours are the days (a month's receipt on its first, one case that uses the
whole month's consumption on its 28th), the lots and, where value counts, the prices.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from published.one_item import Lot, OneItemBook, Use
from published.tables import Figures, published
from stockbook.domain import handbook


@dataclass(frozen=True)
class Card:
    """Stock stands on the card after the month's receipt and before its consumption."""

    months: list[str]
    stock: list[int]
    consumption: list[int]


def given_card(inputs: Mapping[str, Any]) -> Card:
    """The card that a row gives."""
    return Card(inputs["months"], inputs["opening_stock"], inputs["consumption"])


def one_unit(month: str) -> int:
    """A price that says nothing, where units alone are compared."""
    return 1


def kept(
    card: Card, folder: Path, price: Callable[[str], int] = one_unit,
    named: Mapping[str, str] | None = None,
) -> OneItemBook:  # fmt: skip
    """The card's book: what it has left and the next month's stock imply each receipt.

    A receipt of a month is the lot R and the month, bought at the month's price; a month in
    `named` uses that lot first, the others the lot that came first.
    """
    first_day = f"{card.months[0]}-01"
    book = OneItemBook(folder, first_day)
    opening = Lot("OPENING", first_day, "", card.stock[0], price(card.months[0]))
    book.open_with([opening], first_day)
    cases = [Use(f"C{m}", f"{m}-28", q) for m, q in zip(card.months, card.consumption, strict=True)]
    book.schedule([case for case in cases if case.quantity], first_day)
    for month, stock, case in zip(card.months, card.stock, cases, strict=True):
        implied = stock - book.units_on_hand()
        if implied:
            book.receive(f"{month}-01", implied, f"R{month}", price(month))
        assert book.units_on_hand() == stock, f"stock of {month}"
        if case.quantity:
            book.use(case, (named or {}).get(month))
    return book


def stock_card(figures: Figures, folder: Path) -> None:
    """A card of months: what the book has left and the next opening stock imply each receipt."""
    months, _, _ = figures.given("months", "opening_stock", "consumption")
    book = kept(given_card(figures.row.inputs), folder)
    receipts = book.received_by_month()
    figures.equal("receipts", receipts)
    figures.equal("sum_receipts", sum(receipts.values()))
    figures.equal("sum_consumption", book.used()[0])
    figures.equal(f"closing_{months[-1]}", book.units_on_hand())
    book.verify()


def average_of_months(figures: Figures, folder: Path) -> None:
    """The mean of the months that count, from the movements of the book of the whole card.

    The row gives consumption alone; its stock is that of the card in the same published table.
    """
    months, consumption, excluded = figures.given("months", "consumption", "exclude")
    card = published_card()
    assert (card.months, card.consumption) == (months, consumption), f"{figures.row}: another table"
    book = kept(card, folder)
    used = book.used_by_month()
    by_month = {month: used.get(month, 0) for month in months}
    counted = handbook.months_counted(by_month, excluded)
    figures.equal("n_months", len(counted))
    figures.equal("sum", sum(by_month[month] for month in counted))
    figures.equal("amc", handbook.average_monthly_use(by_month, excluded))
    book.verify()


def published_card() -> Card:
    """Table 2 of the Manual on Management of Drugs (the row H03 names the edition)."""
    (row,) = [row for row in published("arithmetic.csv") if row.name == "H03"]
    return given_card(row.inputs)
