"""Rule 6: what may be used, in which order it is picked, what its value is."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import DAY, a_lot, a_row, a_wish, shelves, wishes

from stockbook.domain.days import NO_EXPIRY
from stockbook.domain.facts import Lot, Quarantine
from stockbook.domain.picking import (
    Shelf,
    ShelfRow,
    Wish,
    has_usable,
    is_stopped,
    pick,
    usable_quantity,
    why_not_usable,
)

BEFORE, AFTER = "2027-02-28", "2027-03-02"


def usable(lot: Lot, wish: Wish | None = None, place: str = "STORE") -> bool:
    return why_not_usable(lot, place, wish or a_wish()) is None


def picked_lots(rows: list[ShelfRow], quantity: int, wish: Wish | None = None) -> list[int]:
    return [draw.lot.code for draw in pick(Shelf(rows), "VISC", quantity, wish or a_wish()).draws]


# The order


def test_rule_6_places_come_in_the_order_given_even_against_the_expiry() -> None:
    rows = [a_row(1, 1, place="STORE", expires_on="2027-04-01"), a_row(2, 1, place="OT1")]
    assert picked_lots(rows, 2) == [2, 1]
    assert picked_lots(rows, 2, a_wish(places=("STORE", "OT1"))) == [1, 2]


def test_rule_6_within_a_place_the_soonest_expiry_comes_first() -> None:
    rows = [a_row(1, 1, expires_on="2027-06-02"), a_row(2, 1, expires_on="2027-06-01")]
    assert picked_lots(rows, 2) == [2, 1]


def test_rule_6_of_one_expiry_the_earliest_received_comes_first() -> None:
    rows = [a_row(1, 1, received_on="2027-01-11"), a_row(2, 1, received_on="2027-01-10")]
    assert picked_lots(rows, 2) == [2, 1]


def test_rule_6_of_one_day_the_lowest_lot_comes_first() -> None:
    assert picked_lots([a_row(10, 1), a_row(9, 1)], 2) == [9, 10]


def test_rule_6_no_expiry_comes_last() -> None:
    rows = [a_row(1, 1, expires_on=NO_EXPIRY, expiry_precision="none"), a_row(2, 1)]
    assert picked_lots(rows, 2) == [2, 1]


def test_rule_6_a_place_not_named_is_not_drawn_from() -> None:
    assert picked_lots([a_row(1, 5, place="OT2")], 1) == []


# Usable: less, equal, greater


@pytest.mark.parametrize(("expires_on", "wanted"), [(BEFORE, False), (DAY, True), (AFTER, True)])
def test_rule_6_a_lot_is_usable_through_its_expiry(expires_on: str, *, wanted: bool) -> None:
    assert usable(a_lot(expires_on=expires_on)) is wanted


@pytest.mark.parametrize(("received_on", "wanted"), [(BEFORE, True), (DAY, True), (AFTER, False)])
def test_rule_6_a_lot_is_usable_from_its_receipt(received_on: str, *, wanted: bool) -> None:
    assert usable(a_lot(received_on=received_on)) is wanted


@pytest.mark.parametrize(
    ("expires_on", "wanted"), [("2027-03-30", False), ("2027-03-31", True), ("2027-04-01", True)]
)
def test_rule_6_at_least_the_item_s_days_are_left(expires_on: str, *, wanted: bool) -> None:
    wish = a_wish(least_days_left={"VISC": 30, "DYE": 400})
    assert usable(a_lot(expires_on=expires_on), wish) is wanted


def test_no_expiry_has_days_enough_left() -> None:
    assert usable(a_lot(expires_on=NO_EXPIRY), a_wish(least_days_left={"VISC": 36_500}))


def test_a_month_only_expiry_is_named_as_printed() -> None:
    lot = a_lot(expires_on="2027-02-28", expiry_precision="month")
    assert why_not_usable(lot, "STORE", a_wish()) == "expired 2027-02"


@pytest.mark.parametrize(
    ("lot", "why"),
    [
        (a_lot(received_on=AFTER), "received only on 2027-03-02"),
        (a_lot(expires_on=BEFORE), "expired 2027-02-28"),
        (a_lot(terms="donated", categories=("free",)), "donated for free only"),
        (a_lot(terms="in-kind", sponsors=("CAMP", "FUND")), "in-kind for CAMP, FUND only"),
    ],
)
def test_what_stands_against_a_lot_is_said_in_words(lot: Lot, why: str) -> None:
    assert why_not_usable(lot, "STORE", a_wish()) == why


# Terms


@pytest.mark.parametrize(
    ("categories", "category", "wanted"),
    [
        ((), "paid", True), ((), None, True), (("free",), "free", True), (("free",), "paid", False),
        (("free",), None, False), (("free", "paid"), "paid", True),
    ],
)  # fmt: skip
def test_a_lot_serves_the_categories_of_its_terms(
    categories: tuple[str, ...], category: str | None, *, wanted: bool
) -> None:
    assert usable(a_lot(categories=categories), a_wish(category=category)) is wanted


@pytest.mark.parametrize(
    ("sponsors", "sponsor", "wanted"),
    [((), None, True), ((), "CAMP", True), (("CAMP",), "CAMP", True), (("CAMP",), "FUND", False),
     (("CAMP",), None, False)],
)  # fmt: skip
def test_a_lot_serves_the_sponsors_of_its_terms(
    sponsors: tuple[str, ...], sponsor: str | None, *, wanted: bool
) -> None:
    assert usable(a_lot(sponsors=sponsors), a_wish(sponsor=sponsor)) is wanted


def test_both_category_and_sponsor_have_to_be_served() -> None:
    lot = a_lot(categories=("free",), sponsors=("CAMP",))
    assert usable(lot, a_wish(category="free", sponsor="CAMP"))
    assert not usable(lot, a_wish(category="free", sponsor="FUND"))
    assert not usable(lot, a_wish(category="paid", sponsor="CAMP"))


# Quarantine: each part of its condition alone and all together

LOT = a_lot(number="N1", serial="S1", expires_on="2027-06-15")
MATCHING = {
    "item": "VISC", "number": "N1", "serial": "S1", "supplier": "ACME", "place": "STORE",
    "expires_from": "2027-06-15", "expires_through": "2027-06-15",
}  # fmt: skip
OTHER = {
    "item": "DYE", "number": "N2", "serial": "S2", "supplier": "CART", "place": "OT1",
    "expires_from": "2027-06-16", "expires_through": "2027-06-14",
}  # fmt: skip


def stopped(**condition: str | bool) -> bool:
    return is_stopped(Quarantine("Q1", "cluster", DAY, **condition), LOT, "STORE")


def test_every_set_of_matching_parts_stops_the_lot() -> None:
    for count in range(len(MATCHING) + 1):
        for parts in combinations(MATCHING, count):
            assert stopped(**{part: MATCHING[part] for part in parts})


@pytest.mark.parametrize("part", OTHER)
def test_one_part_that_differs_stops_nothing_whatever_else_matches(part: str) -> None:
    assert not stopped(**{part: OTHER[part]})
    assert not stopped(**(MATCHING | {part: OTHER[part]}))


@pytest.mark.parametrize(
    ("first", "last", "wanted"),
    [("2027-06-14", "2027-06-16", True), ("2027-06-16", "2027-06-30", False),
     ("2027-06-01", "2027-06-14", False), ("2027-06-15", "2027-06-15", True)],
)  # fmt: skip
def test_a_range_of_expiries_holds_both_its_ends(first: str, last: str, *, wanted: bool) -> None:
    assert stopped(expires_from=first, expires_through=last) is wanted


def test_a_lot_without_serial_is_not_stopped_by_a_serial() -> None:
    assert not is_stopped(Quarantine("Q1", "cluster", DAY, serial="S1"), a_lot(), "STORE")


def test_a_released_quarantine_stops_nothing() -> None:
    assert not stopped(**MATCHING, released=True)


def test_what_is_in_quarantine_is_not_picked_and_the_quarantine_is_named() -> None:
    wish = a_wish(quarantines=[Quarantine("Q7", "cluster", DAY, number="N1")])
    assert why_not_usable(LOT, "STORE", wish) == "in quarantine Q7"
    assert picked_lots([a_row(1, 5), a_row(2, 5)], 5, wish) == [2]


# Picking


@pytest.mark.parametrize(("wanted", "taken", "short"), [(9, 9, 0), (10, 10, 0), (11, 10, 1)])
def test_what_is_short_is_said_never_invented(wanted: int, taken: int, short: int) -> None:
    picked = pick(Shelf([a_row(1, 4), a_row(2, 6)]), "VISC", wanted, a_wish())
    assert (sum(draw.quantity for draw in picked.draws), picked.short) == (taken, short)


def test_rule_4_a_lot_drained_in_three_picks_leaves_33_34_33_and_no_row() -> None:
    shelf = Shelf([a_row(1, 3, 100)])
    worth = [pick(shelf, "VISC", 1, a_wish()).draws[0].value for _ in range(3)]
    assert worth == [33, 34, 33]
    assert shelf.rows("VISC") == []


def test_units_put_on_a_shelf_join_those_of_their_lot() -> None:
    shelf = Shelf([a_row(1, 3, 100), a_row(1, 2, 50), a_row(1, 1, 7, place="OT1")])
    found = {(row.place, row.quantity, row.value) for row in shelf.rows("VISC")}
    assert found == {("STORE", 5, 150), ("OT1", 1, 7)}


@given(shelves(), wishes(), st.integers(0, 40))
def test_picking_from_a_copy_leaves_the_shelf(shelf: Shelf, wish: Wish, quantity: int) -> None:
    before = shelf.rows("VISC")
    copy = shelf.copy()
    picked = pick(copy, "VISC", quantity, wish)
    assert shelf.rows("VISC") == before
    assert pick(shelf, "VISC", quantity, wish) == picked
    assert shelf.rows("VISC") == copy.rows("VISC")


def may_be_used(row: ShelfRow, wish: Wish) -> bool:
    """Rule 6 read literally, for what the shelves of these tests can differ in."""
    from datetime import date

    day, lot = date.fromisoformat(wish.day), row.lot
    left = (date.fromisoformat(lot.expires_on) - day).days
    return (
        row.place in wish.places
        and date.fromisoformat(lot.received_on) <= day
        and left >= wish.least_days_left.get(lot.item, 0)
        and left >= 0
        and (not lot.categories or wish.category in lot.categories)
    )


def by_rule(shelf: Shelf, item: str, wish: Wish) -> list[ShelfRow]:
    """Every usable row, the first by rule 6 found again and again among those that are left."""
    left, found = [r for r in shelf.rows(item) if may_be_used(r, wish)], []
    while left:
        for place in wish.places:
            here = [r for r in left if r.place == place]
            if here:
                break
        soonest = min(r.lot.expires_on for r in here)
        here = [r for r in here if r.lot.expires_on == soonest]
        earliest = min(r.lot.received_on for r in here)
        here = [r for r in here if r.lot.received_on == earliest]
        first = min(here, key=lambda r: r.lot.code)
        left.remove(first)
        found.append(first)
    return found


@settings(max_examples=200)
@given(shelves(), wishes(), st.integers(0, 40))
def test_rule_6_picking_is_sort_and_take(shelf: Shelf, wish: Wish, quantity: int) -> None:
    units = [(r.place, r.lot.code) for r in by_rule(shelf, "VISC", wish) for _ in range(r.quantity)]
    there = usable_quantity(shelf, "VISC", wish)
    picked = pick(shelf, "VISC", quantity, wish)
    taken = [(d.place, d.lot.code) for d in picked.draws for _ in range(d.quantity)]
    assert there == len(units)
    assert taken == units[:quantity]
    assert picked.short == max(0, quantity - there)


@given(shelves(), wishes(), st.lists(st.integers(0, 15), max_size=4))
def test_rule_4_picking_moves_value_and_units_and_makes_none(
    shelf: Shelf, wish: Wish, quantities: list[int]
) -> None:
    def total(rows: list) -> tuple[int, int]:
        return sum(r.quantity for r in rows), sum(r.value for r in rows)

    before, other = total(shelf.rows("VISC")), shelf.rows("DYE")
    drawn = [d for n in quantities for d in pick(shelf, "VISC", n, wish).draws]
    left = shelf.rows("VISC")
    assert total([*drawn, *left]) == before
    assert all(d.quantity > 0 and d.value >= 0 for d in drawn)
    assert all(row.quantity > 0 for row in left)
    assert shelf.rows("DYE") == other


def test_usable_rows_of_an_unknown_item_are_none() -> None:
    assert list(Shelf([a_row()]).in_order("NOTHING", a_wish())) == []
    assert pick(Shelf([]), "VISC", 2, a_wish()).short == 2


moves = st.lists(st.tuples(st.sampled_from(("VISC", "DYE")), st.integers(0, 9), st.booleans()))


@given(shelves(), st.lists(wishes(), min_size=1, max_size=3), moves)
def test_an_order_worked_out_before_is_the_order_of_the_shelf_as_it_lies(
    shelf: Shelf, wanted: list[Wish], done: list[tuple[str, int, bool]]
) -> None:
    """Whatever was taken and put since: a copy, which sorts anew, gives the same rows."""
    for n, (item, quantity, back) in enumerate(done):
        picked = pick(shelf, item, quantity, wanted[n % len(wanted)])
        for draw in picked.draws if back else ():
            shelf.put(ShelfRow("STORE", draw.lot, draw.quantity, draw.value))
        for wish in wanted:
            for one in ("VISC", "DYE"):
                anew = list(shelf.copy().in_order(one, wish))
                assert list(shelf.in_order(one, wish)) == anew
                here = usable_quantity(shelf, one, wish)
                assert has_usable(shelf, one, wish, here)
                assert not has_usable(shelf, one, wish, here + 1)
