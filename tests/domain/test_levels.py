"""Levels as pure rules: two numbers, what lists need, storage classes, the order of a walk."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.facts import Item, Level, Lot, Place, Quarantine
from stockbook.domain.kits import Need
from stockbook.domain.levels import (
    ListNeeds,
    by_lists,
    fill_line,
    in_shelf_order,
    needed,
    wrong_storage,
)
from stockbook.domain.picking import Draw, Shelf, ShelfRow, Wish

DAY = "2027-03-01"
ITEM = Item("VISC", "Viscoelastic", "viscoelastic", "each", 0)


def lot(code: int, expires: str = "2028-01-31", item: str = "VISC", **more: object) -> Lot:
    kept = (None, expires, "day", "2027-01-01", None, "bought", 99)
    return Lot(code, item, f"V{code}", *kept, **more)


def row(place: str, code: int, quantity: int, expires: str = "2028-01-31", **more) -> ShelfRow:
    return ShelfRow(place, lot(code, expires, **more), quantity, quantity * 100)


def line(rows: list[ShelfRow], least: int, most: int, stops: tuple[Quarantine, ...] = ()):
    level = Level("OT/VISC", "OT", "VISC", least, most)
    wish = Wish(DAY, ("OT",), quarantines=stops)
    return fill_line(Shelf(rows), ITEM, level, wish, ("S1", "S2"), "S1")


def amounts(draws: tuple[Draw, ...]) -> list[tuple[str, int, int]]:
    return [(draw.place, draw.lot.code, draw.quantity) for draw in draws]


@pytest.mark.parametrize(
    ("there", "into", "back"),
    [(3, 7, 0), (4, 0, 0), (5, 0, 0), (9, 0, 0), (10, 0, 0), (11, 0, 1)],
)
def test_below_the_first_number_it_fills_to_the_second_and_above_that_the_rest_goes_back(
    there: int, into: int, back: int
) -> None:
    found = line([row("OT", 1, there), row("S1", 2, 50)], 4, 10)
    assert sum(draw.quantity for draw in found.into) == into
    assert sum(draw.quantity for draw in found.back) == back
    assert found.is_below is (there < 4)


def test_stores_give_in_their_order_soonest_expiry_first() -> None:
    rows = [row("S2", 1, 9, "2027-04-01"), row("S1", 2, 2, "2029-01-01"),
            row("S1", 3, 1, "2028-01-01")]  # fmt: skip
    found = line(rows, 1, 5)
    assert amounts(found.into) == [("S1", 3, 1), ("S1", 2, 2), ("S2", 1, 2)]


def test_what_goes_back_has_the_latest_expiry() -> None:
    rows = [row("OT", 1, 4, "2027-04-01"), row("OT", 2, 2, "2029-01-01"),
            row("OT", 3, 3, "2028-01-01")]  # fmt: skip
    found = line(rows, 1, 6)
    assert amounts(found.back) == [("OT", 2, 2), ("OT", 3, 1)]
    assert found.store == "S1"


def test_what_must_not_be_used_counts_for_nothing_and_stays() -> None:
    stop = Quarantine("Q1", "cluster", DAY, number="V1")
    rows = [row("OT", 1, 9), row("OT", 2, 1, "2027-02-28"), row("S1", 1, 9), row("S1", 3, 2)]
    found = line(rows, 2, 5, (stop,))
    assert (found.there, amounts(found.into), found.back, found.short) == (0, [("S1", 3, 2)], (), 3)


def test_nothing_fills_a_place_that_is_stopped_itself() -> None:
    stop = Quarantine("Q1", "temperature", DAY, place="OT")
    found = line([row("OT", 1, 9), row("S1", 2, 9)], 2, 5, (stop,))
    assert (found.into, found.back, found.short) == ((), (), 5)


def test_a_lot_that_serves_only_some_counts_for_them() -> None:
    rows = [row("OT", 1, 1, categories=("free",)), row("OT", 2, 1, sponsors=("CAMP",)),
            row("S1", 3, 1, categories=("paid",))]  # fmt: skip
    found = line(rows, 3, 3)
    assert (found.there, amounts(found.into)) == (2, [("S1", 3, 1)])


@given(st.integers(0, 30), st.integers(0, 30), st.integers(0, 15), st.integers(0, 15))
def test_a_filled_place_lies_within_its_level_or_is_short(
    there: int, stored: int, least: int, more: int
) -> None:
    rows = [r for r in (row("OT", 1, there), row("S1", 2, stored)) if r.quantity]
    found = line(rows, least, least + more)
    into = sum(draw.quantity for draw in found.into)
    after = there + into - sum(draw.quantity for draw in found.back)
    assert after <= max(there, least + more)
    assert found.short == (least + more - after if there < least else 0)
    assert after + found.short >= least
    assert not (found.into and found.back)


NEEDS = (Need(("VISC", "VISC-B"), 2), Need(("VIT",), 1, standby=True), Need(("LENS",), 1))


def test_cases_add_up_and_what_has_to_be_in_reach_is_needed_once() -> None:
    assert needed([NEEDS, NEEDS], set()) == {"VISC": 4, "LENS": 2, "VIT": 1}
    both = [(Need(("VIT",), 1),), (Need(("VIT",), 2, standby=True),)]
    assert needed(both, set()) == {"VIT": 3}


def test_of_alternatives_the_first_with_a_level_counts() -> None:
    assert needed([NEEDS], {"VISC-B"})["VISC-B"] == 2
    assert needed([NEEDS], {"VISC", "VISC-B"})["VISC"] == 2


@pytest.mark.parametrize(("lists", "amount"), [(1, 2), (2, 6), (3, 6)])
def test_a_level_by_lists_takes_both_numbers_from_so_many_lists(lists: int, amount: int) -> None:
    coming = [ListNeeds("L1", (NEEDS,)), ListNeeds("L2", (NEEDS, NEEDS))]
    found = by_lists(Level("OT/VISC", "OT", "VISC", 0, 0, lists), coming, {"VISC"})
    assert (found.keep_at_least, found.fill_to) == (amount, amount)
    fixed = Level("OT/VISC", "OT", "VISC", 1, 2)
    assert by_lists(fixed, coming, {"VISC"}) == fixed


@pytest.mark.parametrize(
    ("item", "place", "words"),
    [
        (None, None, None),
        (None, "cold", None),
        ("cold", "cold", None),
        ("cold", "ambient", "VISC is to be kept cold; OT is ambient."),
        ("cold", None, "VISC is to be kept cold; OT has no storage class."),
    ],
)
def test_an_item_with_a_storage_class_belongs_where_it_is_the_same(
    item: str | None, place: str | None, words: str | None
) -> None:
    kept = Item("VISC", "V", "viscoelastic", "each", 0, storage_class=item)
    assert wrong_storage(kept, Place("OT", "Theatre", "theatre", storage_class=place)) == words


def test_a_walk_goes_by_place_then_label_then_item_and_the_unlabelled_come_last() -> None:
    draws = [
        Draw(place, lot(code, item=item), 1, 0)
        for code, (place, item) in enumerate(
            [("A-STORE", "B"), ("OT", "Z"), ("OT", "A"), ("OT", "C"), ("OT", "B"),
             ("difference", "A")]
        )
    ]  # fmt: skip
    labels = {("OT", "C"): "1", ("OT", "B"): "2", ("OT", "Z"): "1"}
    walk = in_shelf_order(draws, ("OT", "A-STORE"), labels)
    assert [(d.place, d.lot.item) for d in walk] == [
        ("OT", "C"), ("OT", "Z"), ("OT", "B"), ("OT", "A"), ("A-STORE", "B"), ("difference", "A"),
    ]  # fmt: skip
