"""Finishing: everything staged ends exactly once, with its value; the presumed unit goes first."""

from collections import Counter
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import a_lot, values

from stockbook.domain.entries import Movement
from stockbook.domain.facts import Lot
from stockbook.domain.finishing import Ending, Staged, Trolley, joined
from stockbook.errors import Refused

USED, WASTE = "used/paid", "waste/paid"


def staged(code: int, quantity: int = 1, origin: str = "OT1", *, seen: bool = False) -> Staged:
    return Staged(a_lot(code), quantity, origin, seen)


def trolley(units: Sequence[Staged], worth: int = 100) -> Trolley:
    """A trolley on which every lot is worth the same in all."""
    counts: Counter[int] = Counter()
    for unit in units:
        counts[unit.lot.code] += unit.quantity
    return Trolley("C1", "trolley/OT1", units, {lot: (n, worth) for lot, n in counts.items()})


def lots_of(moves: Sequence[Movement]) -> list[tuple[int, int]]:
    return [(move.lot, move.quantity) for move in moves]


# Which unit


def test_of_presumed_units_the_one_picked_last_goes_first() -> None:
    found = trolley([staged(1), staged(2), staged(3)]).end(Ending("VISC", 2, WASTE, "dropped"))
    assert lots_of(found) == [(3, 1), (2, 1)]


def test_seen_units_go_only_after_all_presumed_ones() -> None:
    units = [staged(1), staged(2, seen=True), staged(3, seen=True)]
    assert lots_of(trolley(units).end(Ending("VISC", 3, WASTE))) == [(1, 1), (3, 1), (2, 1)]


def test_a_named_lot_goes_whatever_was_picked_last_and_is_seen() -> None:
    (move,) = trolley([staged(1), staged(2)]).end(Ending("VISC", 1, WASTE, "dropped", number="N1"))
    assert move == Movement(1, 1, 100, "trolley/OT1", WASTE, "C1", "dropped", seen=True)


def test_a_serial_names_its_unit() -> None:
    units = [
        Staged(a_lot(code, number="R1", serial=f"S{code}"), 1, "OT1", seen=False)
        for code in (1, 2, 3)
    ]
    assert lots_of(trolley(units).end(Ending("VISC", 1, WASTE, number="S2"))) == [(2, 1)]


def test_another_item_is_left_alone() -> None:
    units = [staged(1), Staged(a_lot(2, "DYE"), 1, "OT1", seen=False)]
    assert lots_of(trolley(units).end(Ending("VISC", 1, USED))) == [(1, 1)]


# Where to


def test_returned_units_go_back_to_where_each_was_drawn_from() -> None:
    units = [staged(1, origin="STORE"), staged(2, origin="OT1")]
    found = trolley(units).end(Ending("VISC", 2, "returned"))
    assert [(m.lot, m.to_place) for m in found] == [(2, "OT1"), (1, "STORE")]


def test_what_was_seen_at_the_issue_stays_seen_at_the_finish() -> None:
    found = trolley([staged(1), staged(2, seen=True)]).rest(USED)
    assert {m.lot: m.seen for m in found} == {1: False, 2: True}


# How much


@pytest.mark.parametrize("quantity", [1, 2])
def test_up_to_what_is_staged_may_end(quantity: int) -> None:
    found = trolley([staged(1, 2)]).end(Ending("VISC", quantity, WASTE))
    assert lots_of(found) == [(1, quantity)]


def test_more_than_is_staged_is_refused_with_case_and_item() -> None:
    with pytest.raises(Refused, match="case C1: more of VISC than lies on its trolley"):
        trolley([staged(1, 2)]).end(Ending("VISC", 3, WASTE))


def test_more_than_is_staged_of_a_named_lot_is_refused_whatever_else_there_is() -> None:
    with pytest.raises(Refused, match="more of VISC"):
        trolley([staged(1, 1), staged(2, 5)]).end(Ending("VISC", 2, WASTE, number="N1"))


def test_rule_4_a_lot_that_ends_in_three_ways_is_worth_33_34_33() -> None:
    found = trolley([staged(1, 3)])
    moves = [found.end(Ending("VISC", 1, to))[0] for to in (WASTE, "returned")]
    moves += found.rest(USED)
    assert [m.value for m in moves] == [33, 34, 33]


def test_one_lot_drawn_from_two_places_shares_one_value() -> None:
    moves = trolley([staged(1, 1, "OT1"), staged(1, 2, "STORE")]).rest("returned")
    assert [(m.quantity, m.value, m.to_place) for m in moves] == [(1, 33, "OT1"), (2, 67, "STORE")]


def test_an_extra_that_came_in_the_same_entry_ends_with_the_rest() -> None:
    found = trolley([staged(1, 1)])
    found.add(staged(1, 2, "STORE"), 50)
    found.add(staged(2, 1, "STORE", seen=True), 7)
    assert sum(m.value for m in found.rest(USED)) == 157


units_staged = st.lists(
    st.builds(
        staged,
        st.integers(1, 3),
        st.integers(1, 5),
        st.sampled_from(("OT1", "STORE")),
        seen=st.booleans(),
    ),
    max_size=6,
)
endings = st.lists(
    st.builds(
        Ending,
        st.just("VISC"),
        st.integers(0, 6),
        st.sampled_from((WASTE, "returned", USED)),
        st.none(),
        st.sampled_from((None, None, "N1", "N2")),
    ),
    max_size=4,
)


@given(units_staged, endings, values)
def test_everything_staged_ends_exactly_once_with_all_its_value(
    units: list[Staged], wanted: list[Ending], worth: int
) -> None:
    found, moves = trolley(units, worth), []
    for ending in wanted:
        there = sum(u.quantity for u in found.staged if ending.number in (None, u.lot.number))
        if ending.quantity <= there:
            moves += found.end(ending)
    moves += found.rest(USED)
    ended: Counter[int] = Counter()
    for move in moves:
        assert move.quantity > 0
        ended[move.lot] += move.quantity
    assert ended == sum((Counter({u.lot.code: u.quantity}) for u in units), Counter())
    assert sum(m.value for m in moves) == worth * len(ended)
    assert found.staged == []
    assert set(found.values.values()) <= {(0, 0)}


@given(units_staged, st.integers(0, 20))
def test_units_leave_in_the_order_of_the_rule(units: list[Staged], quantity: int) -> None:
    singly = [u for u in reversed(units) for _ in range(u.quantity)]
    order = [u for u in singly if not u.seen] + [u for u in singly if u.seen]
    quantity = min(quantity, len(order))
    moves = trolley(units).end(Ending("VISC", quantity, "returned"))
    found = [(m.lot, m.to_place, m.seen) for m in moves for _ in range(m.quantity)]
    assert found == [(u.lot.code, u.drawn_from, u.seen) for u in order[:quantity]]


# Joined


def a_move(lot: Lot, quantity: int, value: int, reason: str | None = None) -> Movement:
    return Movement(lot.code, quantity, value, "trolley/OT1", WASTE, "C1", reason)


def test_like_movements_are_joined_in_order_and_unlike_ones_stay_apart() -> None:
    one, two = a_lot(1), a_lot(2)
    moves = [a_move(two, 1, 10), a_move(one, 1, 5), a_move(two, 2, 20), a_move(two, 1, 9, "wet")]
    assert joined(moves) == [a_move(two, 3, 30), a_move(one, 1, 5), a_move(two, 1, 9, "wet")]


@given(units_staged, values)
def test_joining_keeps_units_and_value(units: list[Staged], worth: int) -> None:
    moves = trolley(units, worth).rest("returned")
    once = joined(moves)
    assert sum(m.quantity for m in once) == sum(m.quantity for m in moves)
    assert sum(m.value for m in once) == sum(m.value for m in moves)
    assert len(once) == len({(m.lot, m.to_place, m.seen) for m in moves})
