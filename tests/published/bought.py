"""A published sequence of deliveries and sales, kept in a book of one item."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from published.one_item import OneItemBook, Use

NO_SALES = "the selling price is no part of a stock ledger"
YEAR = "2027"

Moves = list[dict[str, Any]]
Sales = Sequence[tuple[str, str | None, int]]
"""Day, the lot that is named for it or none, and how many."""


def days_of(moves: Moves) -> tuple[str, str]:
    """The first and the last day of the sequence."""
    return f"{YEAR}-{moves[0]['date']}", f"{YEAR}-{moves[-1]['date']}"


def bought_and_used(folder: Path, moves: Moves, sales: Sales) -> OneItemBook:
    """Deliveries (lots L1, L2, ... at their unit cost) and cases, day by day."""
    bought = [move for move in moves if move["move"] == "in"]
    taken = [(move["date"], move["qty"]) for move in moves if move["move"] == "out"]
    days = [day for day, _ in taken]
    assert taken == [(day, sum(q for d, _, q in sales if d == day)) for day in days]
    uses = [(Use(f"C{n}", f"{YEAR}-{d}", q), lot) for n, (d, lot, q) in enumerate(sales, start=1)]
    first_day = days_of(moves)[0]
    book = OneItemBook(folder, first_day)
    book.schedule([use for use, _ in uses], first_day)
    for move in moves:
        day = f"{YEAR}-{move['date']}"
        if move["move"] == "in":
            number = bought.index(move) + 1
            book.receive(day, move["qty"], f"L{number}", move["unit_cost"])
            continue
        for use, lot in uses:
            if use.day == day:
                book.use(use, lot)
    return book
