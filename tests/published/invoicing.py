"""Checks of what suppliers ask and take back, through the real commands."""

from fractions import Fraction
from pathlib import Path

from published.one_item import ITEM, OneItemBook
from published.tables import Figures

DAY = "2027-03-01"


def settlement_discount(figures: Figures, folder: Path) -> None:
    """A purchase is invoiced; a discount for early payment lowers what the stock is worth."""
    quantity, price, percent = figures.given("qty", "unit_price", "discount_pct")
    book = OneItemBook(folder, DAY)
    book.receive(DAY, quantity, "L1", price)
    amount = quantity * price
    book.desk.ok(f"invoice ACME F1 --line {ITEM} {quantity} {amount} --by FI", today=DAY)
    figures.equal("gross", _worth(book))
    page = book.desk.ok(f"invoice ACME F1 --discount {percent}% --by FI", today=DAY)
    figures.equal("discount_credited_to_inventory", amount - _worth(book))
    figures.equal("cash", _worth(book))
    assert f"To pay: {figures.row.expected['cash']:,}.00." in page
    book.verify()


def _worth(book: OneItemBook) -> Fraction:
    return sum((value for _, value in book.layers()), Fraction(0))
