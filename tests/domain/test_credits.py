"""What is owed for units sent back, and where a bill for their lot goes."""

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stockbook.domain.credits import DISCOUNT, SentLot, billed
from stockbook.domain.facts import Item, Lot
from stockbook.domain.invoices import Whereabouts
from stockbook.domain.places import DIFFERENCE, SENT_BACK, supplier_place, trolley_place

ITEM = Item("GEL", "Gel", "gels", "each", 0)
ACME = supplier_place("ACME")


def sent(**given_: Any) -> SentLot:
    """Three of a lot of ten went back at 10 each; what is given else."""
    facts: dict[str, Any] = {"terms": "bought", "supplier": "ACME"}
    facts |= {name: given_.pop(name) for name in ("terms", "supplier") if name in given_}
    lot = Lot(
        7, "GEL", "X1", None, "2029-05-31", "month", "2027-03-01", facts["supplier"],
        facts["terms"], 10, None, price=100, price_quantity=10,
    )  # fmt: skip
    return SentLot(lot, ITEM, "ACME", ("R1",), "2027-03-01",
                   **{"quantity": 3, "value": 30, "invoiced": 10} | given_)  # fmt: skip


@pytest.mark.parametrize(
    ("invoiced", "unbilled", "owed"),
    [(0, 3, 0), (6, 3, 0), (7, 3, 0), (8, 2, 1), (9, 1, 2), (10, 0, 3)],
)
def test_what_no_invoice_asks_for_is_not_owed(invoiced: int, unbilled: int, owed: int) -> None:
    one = sent(invoiced=invoiced)
    assert (one.open, one.unbilled, one.owed, one.owed_value) == (3, unbilled, owed, 10 * owed)


def test_opening_stock_is_owed_and_what_was_given_is_not() -> None:
    assert sent(supplier=None, invoiced=0).owed == 3
    assert sent(terms="donated").owed == sent(terms="consigned").owed == 0


def test_bonus_units_go_back_without_a_credit() -> None:
    """Ten were paid for and two came free: twelve go back, ten are owed with all they bear."""
    one = sent(quantity=12, value=100)
    assert (one.paid, one.owed, one.owed_value) == (10, 10, 100)


lots = st.builds(
    lambda back, credited, invoiced, value, worth: sent(
        quantity=back, credited=min(back, credited), invoiced=invoiced,
        credited_value=worth if credited else 0, value=value + (worth if credited else 0),
    ),
    st.integers(1, 9), st.integers(0, 9), st.integers(1, 10), st.integers(0, 500),
    st.integers(0, 500),
)  # fmt: skip


@given(lots, st.integers(-400, 400), st.integers(0, 900), st.sampled_from(["invoice", DISCOUNT]))
def test_a_bill_goes_out_whole_and_credited_units_are_settled(
    one: SentLot, amount: int, kept_value: int, reason: str
) -> None:
    kept = 10 - one.quantity
    assume(kept_value + amount >= 0)
    where = [
        Whereabouts(trolley_place("OT1"), "C1", kept, kept_value),
        Whereabouts(SENT_BACK, None, one.quantity, one.value),
    ]
    net: dict[str, int] = {}
    for move in billed(7, amount, "ACME", where, one, reason):
        assert (move.quantity, move.lot) == (0, 7)
        assert move.value > 0
        net[move.from_place] = net.get(move.from_place, 0) - move.value
        net[move.to_place] = net.get(move.to_place, 0) + move.value
    assert net.get(ACME, 0) == -amount
    assert sum(net.values()) == 0
    there = net.get(SENT_BACK, 0)
    if one.owed == 0 or reason == DISCOUNT:
        assert (there == 0) or one.owed
    assert there >= -one.open_value, "what is owed never bears less than nothing"
    if reason == DISCOUNT or not one.credited:
        assert DIFFERENCE not in net
    if not one.credited:
        assert abs(there) <= abs(amount)


@pytest.mark.parametrize("amount", [20, -20])
def test_of_ten_with_three_back_and_two_credited_each_takes_its_part(amount: int) -> None:
    one = sent(credited=2, credited_value=16, value=26)
    where = [Whereabouts("STORE", None, 7, 70), Whereabouts(SENT_BACK, None, 3, 26)]
    net = {"STORE": 0, SENT_BACK: 0, DIFFERENCE: 0, ACME: 0}
    for move in billed(7, amount, "ACME", where, one, "invoice"):
        net[move.from_place] -= move.value
        net[move.to_place] += move.value
    sign = amount // 20
    assert net == {"STORE": 14 * sign, SENT_BACK: 2 * sign, DIFFERENCE: 4 * sign, ACME: -amount}
