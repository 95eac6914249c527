"""The page of a trace: every movement of a lot, or of very many those for no case."""

from stockbook.domain.answers import Site
from stockbook.domain.facts import Item, Lot
from stockbook.domain.money import currency
from stockbook.domain.tracing import TracedMove, trace_lot
from stockbook.reports.entries import MOST_MOVES, lot_trace_page

ITEM = Item("A", "Thing", "other", "each", 0)
LOT = Lot(1, "A", "L1", None, "2030-01-31", "day", "2027-01-01", "ACME", "bought", 5000)
SITE = Site("Site", currency("INR"), False, {})


def moves(cases: int) -> list[TracedMove]:
    came = TracedMove(1, "2027-01-01", "delivery", 1, "L1", 5000, "supplier/ACME", "STORE",
                      "supplier", "store", None, seen=True)  # fmt: skip
    used = [
        TracedMove(n + 2, "2027-01-02", "issue", 1, "L1", 1, "STORE", "trolley/OT1", "store",
                   "trolley", f"C{n}", seen=False)
        for n in range(cases)
    ]  # fmt: skip
    return [came, *used]


def page(cases: int) -> list[str]:
    return lot_trace_page(ITEM, trace_lot([LOT], moves(cases)), SITE).splitlines()


def test_up_to_a_thousand_movements_are_listed_each() -> None:
    lines = page(MOST_MOVES - 1)
    assert sum("trolley/OT1" in line and "STORE" in line for line in lines) == MOST_MOVES - 1
    assert not any("--csv" in line for line in lines)


def test_of_more_those_for_no_case_are_listed_and_every_case_stands_above() -> None:
    lines = page(MOST_MOVES)
    assert any("delivery" in line for line in lines)
    assert not any("STORE  trolley/OT1" in line for line in lines)
    assert f"And {MOST_MOVES} movements for cases: all of them with --csv or -o FILE." in lines
    assert sum(line.startswith("C") and "presumed" in line for line in lines) == MOST_MOVES
