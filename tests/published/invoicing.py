"""Checks of what suppliers ask and take back, through the real commands."""

import json
from fractions import Fraction
from pathlib import Path

from published.one_item import ITEM, MINOR, OneItemBook
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


def return_and_discount(figures: Figures, folder: Path) -> None:
    """Part of a purchase goes back and is credited; the discount rests on what was kept.

    Units of the purchase at one each, so that the amounts are the published ones.
    """
    purchase, back, percent = figures.given("purchase", "return", "discount_pct")
    book = OneItemBook(folder, DAY)
    book.receive(DAY, purchase, "L1", 1)
    for line in (
        f"invoice ACME F1 --line {ITEM} {purchase} {purchase} --by FI",
        f"send-back ACME --note R1 --line {ITEM} {back} L1 --reason wrong-item --by KE",
        f"invoice ACME K1 --credit --line {ITEM} {back} {back} --by FI",
    ):
        book.desk.ok(line, today=DAY)
    figures.equal("payable", _to_pay(book))
    page = book.desk.ok(f"invoice ACME F1 --discount {percent}% --by FI", today=DAY)
    figures.equal("discount", purchase - back - _worth(book))
    figures.equal("cash", _to_pay(book))
    assert f"To pay: {figures.row.expected['cash']:,}.00." in page
    assert _worth(book) == _to_pay(book)
    book.verify()


def _to_pay(book: OneItemBook) -> Fraction:
    found = json.loads(book.desk.ok("invoice ACME F1 --json", today=DAY))
    return Fraction(int(found["invoice"]["payable_minor"]), MINOR)


def _worth(book: OneItemBook) -> Fraction:
    return sum((value for _, value in book.layers()), Fraction(0))
