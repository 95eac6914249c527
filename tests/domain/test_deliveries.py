"""Deliveries: what a line is worth, and charges spread exactly over what came."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import a_bottle, a_lot, quantities, values

from stockbook.domain.deliveries import (
    NO_CHARGES,
    TERMS,
    Charges,
    DeliveryLine,
    PricedLine,
    charge_weights,
    delivery_movements,
    lot_of,
    priced,
)
from stockbook.domain.entries import Movement

A_LINE = DeliveryLine(a_bottle, 10, 0, "N1", None, "2028-01-31", "month", price=1000)
GIFT = replace(A_LINE, price=None, terms="donated", shadow_value=900)
CONSIGNED = replace(A_LINE, price=None, terms="consigned", agreed_value=700)


def worth(line: DeliveryLine, last: tuple[int, int] | None = None) -> tuple[int, bool]:
    found = priced(line, last)
    return found.value, found.provisional


def moves_of(lines: list[DeliveryLine], charges: Charges = NO_CHARGES) -> list[Movement]:
    done = [priced(line, None) for line in lines]
    lots = [a_lot(n, quantity=line.quantity) for n, line in enumerate(lines, start=1)]
    return delivery_movements(done, lots, charges, "ACME", "STORE")


def charged(moves: list[Movement], reason: str) -> dict[int, int]:
    """What each lot bears of a charge."""
    return {m.lot: m.value for m in moves if m.reason == reason and not m.quantity}


# What a line is worth


def test_a_price_is_the_value_and_final_whatever_was_paid_last() -> None:
    assert worth(A_LINE, (5, 1)) == (1000, False)


def test_a_price_of_nothing_is_final() -> None:
    assert worth(replace(A_LINE, price=0), (5, 1)) == (0, False)


def test_without_a_price_the_last_one_is_taken_and_marked() -> None:
    assert worth(replace(A_LINE, price=None), (300, 3)) == (1000, True)


@pytest.mark.parametrize(("last", "wanted"), [(24, 2), (25, 2), (26, 3), (35, 4)])
def test_the_last_price_is_rounded_half_even(last: int, wanted: int) -> None:
    one = replace(A_LINE, price=None, paid_quantity=1)
    assert worth(one, (last, 10)) == (wanted, True)


def test_no_price_known_at_all_is_nothing_and_marked() -> None:
    assert worth(replace(A_LINE, price=None)) == (0, True)


def test_bonus_units_cost_nothing_10_and_2_cost_what_10_cost() -> None:
    with_bonus = replace(A_LINE, bonus_quantity=2)
    assert with_bonus.quantity == 12
    assert worth(with_bonus) == worth(A_LINE)
    assert worth(replace(with_bonus, price=None), (100, 1)) == (1000, True)


@pytest.mark.parametrize("line", [GIFT, replace(GIFT, terms="in-kind"), CONSIGNED])
def test_what_is_given_or_consigned_starts_at_nothing(line: DeliveryLine) -> None:
    assert worth(line, (100, 1)) == (0, False)


# Charges


def test_charges_are_shared_by_value() -> None:
    lines = [replace(A_LINE, price=price) for price in (100, 300)]
    moves = moves_of(lines, Charges(freight=40, tax=8))
    assert charged(moves, "freight") == {1: 10, 2: 30}
    assert charged(moves, "tax") == {1: 2, 2: 6}


def test_consigned_lines_bear_no_charge_and_gifts_bear_by_their_worth() -> None:
    moves = moves_of([A_LINE, GIFT, CONSIGNED], Charges(freight=190))
    assert charged(moves, "freight") == {1: 100, 2: 90}


def test_where_nothing_has_any_worth_what_is_ours_bears_the_same() -> None:
    worthless = replace(A_LINE, price=None)
    moves = moves_of([worthless, CONSIGNED, worthless, worthless], Charges(freight=100))
    assert charged(moves, "freight") == {1: 33, 3: 34, 4: 33}


def test_only_consigned_lines_have_nothing_for_charges_to_rest_on() -> None:
    assert not any(charge_weights([priced(CONSIGNED, None)]))


def test_freight_comes_from_who_billed_it_tax_from_who_delivered() -> None:
    moves = moves_of([A_LINE], Charges(freight=40, freight_by="CART", tax=8))
    sources = {m.reason: m.from_place for m in moves}
    assert sources == {None: "supplier/ACME", "freight": "supplier/CART", "tax": "supplier/ACME"}
    assert moves_of([A_LINE], Charges(freight=40))[1].from_place == "supplier/ACME"


def test_without_charges_each_line_is_one_movement_seen_with_its_reason() -> None:
    moves = moves_of([replace(A_LINE, reason="needed-now"), replace(A_LINE, bonus_quantity=2)])
    assert moves == [
        Movement(1, 10, 1000, "supplier/ACME", "STORE", reason="needed-now", seen=True),
        Movement(2, 12, 1000, "supplier/ACME", "STORE", seen=True),
    ]


delivery_lines = st.builds(
    DeliveryLine,
    st.just(a_bottle),
    quantities,
    st.integers(0, 5),
    st.just("N1"),
    st.none(),
    st.just("2028-01-31"),
    st.just("day"),
    price=st.none() | values,
    terms=st.sampled_from(TERMS),
    shadow_value=st.integers(0, 10**6),
)


@given(st.lists(delivery_lines, min_size=1, max_size=8), values, values)
def test_the_movements_sum_exactly_to_what_is_billed(
    lines: list[DeliveryLine], freight: int, tax: int
) -> None:
    moves = moves_of(lines, Charges(freight, "CART", tax))
    units = [m for m in moves if m.quantity]
    ours = any(line.terms != "consigned" for line in lines)
    assert sum(m.value for m in units) == sum(worth(line)[0] for line in lines)
    assert [m.quantity for m in units] == [line.quantity for line in lines]
    assert sum(charged(moves, "freight").values()) == (freight if ours else 0)
    assert sum(charged(moves, "tax").values()) == (tax if ours else 0)


@given(st.lists(delivery_lines, min_size=1, max_size=8), values)
def test_no_movement_is_empty_or_below_nothing(lines: list[DeliveryLine], freight: int) -> None:
    moves = moves_of(lines, Charges(freight))
    assert all(m.quantity > 0 or m.value > 0 for m in moves)
    assert all(m.value >= 0 for m in moves)
    consigned = {n for n, line in enumerate(lines, start=1) if line.terms == "consigned"}
    assert not consigned & {m.lot for m in moves if m.value}


# Lots


def test_a_lot_keeps_what_was_paid_for_how_many_so_that_bonus_never_dilutes_the_price() -> None:
    lot = lot_of(priced(replace(A_LINE, bonus_quantity=2), None), 7, "2027-03-01", "ACME", "DN-1")
    assert (lot.code, lot.quantity, lot.price, lot.price_quantity) == (7, 12, 1000, 10)
    assert (lot.expires_on, lot.expiry_precision, lot.document) == ("2028-01-31", "month", "DN-1")
    assert not lot.provisional


@pytest.mark.parametrize("line", [GIFT, CONSIGNED])
def test_what_was_not_bought_sets_no_price(line: DeliveryLine) -> None:
    lot = lot_of(priced(line, None), 7, "2027-03-01", "ACME", None)
    assert (lot.price, lot.price_quantity) == (None, None)
    assert (lot.shadow_value, lot.agreed_value) == (line.shadow_value, line.agreed_value)


def test_a_lot_keeps_for_whom_it_came_and_that_its_price_is_provisional() -> None:
    line = replace(A_LINE, categories=("free",), sponsors=("CAMP",))
    lot = lot_of(PricedLine(line, 5, provisional=True), 7, "2027-03-01", "ACME", None)
    assert (lot.categories, lot.sponsors, lot.provisional) == (("free",), ("CAMP",), True)
