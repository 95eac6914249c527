"""Kits: lines, a surgeon's differences, alternatives, and what a shelf can give of them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import a_case, a_row, a_wish, shelves, wishes

from stockbook.domain.facts import Kit, KitLine
from stockbook.domain.kits import (
    Gap,
    Need,
    Plan,
    chosen,
    kit_code,
    needs_of,
    plan,
    unknown_requirements,
    wants_lens,
    with_differences,
)
from stockbook.domain.picking import Shelf, ShelfRow, Wish, usable_quantity

LENS = KitLine("lens", (), 1)
KNIFE = KitLine("always", ("KNIFE",), 1)
JELLY = KitLine("one-of", ("VISC", "VISC-B"), 2)
DYE = KitLine("when", ("DYE",), 1, "dye")
VIT = KitLine("standby", ("VIT",), 1)
LINES = (LENS, KNIFE, JELLY, DYE, VIT)


def planned(
    needs: list[Need], rows: list[ShelfRow], given: dict[str, int] | None = None, **wish: object
) -> Plan:
    return plan(a_case, needs, Shelf(rows), a_wish(**wish), given or {})


def drawn(found: Plan) -> list[tuple[str, int]]:
    return [(draw.lot.item, draw.quantity) for draw in found.draws]


# Differences


def test_a_difference_replaces_the_line_of_its_first_item_in_its_place() -> None:
    two = KitLine("always", ("KNIFE",), 2)
    assert with_differences(LINES, [two]) == [LENS, two, JELLY, DYE, VIT]


def test_a_difference_of_nothing_removes_and_another_item_is_added() -> None:
    added = KitLine("always", ("CASS",), 1)
    found = with_differences(LINES, [KitLine("always", ("KNIFE",), 0), added])
    assert found == [LENS, JELLY, DYE, VIT, added]


def test_removing_what_is_not_there_changes_nothing() -> None:
    assert with_differences(LINES, [KitLine("always", ("CASS",), 0)]) == list(LINES)


def test_no_differences_leave_the_kit() -> None:
    assert with_differences(LINES, []) == list(LINES)


def test_two_differences_about_one_item_are_both_taken() -> None:
    always, when = KitLine("always", ("DYE",), 1), KitLine("when", ("DYE",), 2, "small-pupil")
    assert set(with_differences([KNIFE], [always, when])) == {KNIFE, always, when}


# Needs


def test_a_line_when_required_is_needed_only_then() -> None:
    with_dye, without = needs_of(LINES, {"dye"}, "RING"), needs_of(LINES, set(), "RING")
    assert Need(("DYE",), 1) in with_dye
    assert [need for need in with_dye if need not in without] == [Need(("DYE",), 1)]


def test_the_lens_line_takes_the_item_of_model_and_power() -> None:
    assert needs_of(LINES, (), "RINGL+21.50")[0] == Need(("RINGL+21.50",), 1)
    assert wants_lens(LINES)
    assert not wants_lens([KNIFE, VIT])


def test_alternatives_stay_in_order_and_standby_is_marked() -> None:
    assert needs_of([JELLY, VIT], (), "") == [
        Need(("VISC", "VISC-B"), 2),
        Need(("VIT",), 1, standby=True),
    ]


def test_requirements_no_line_answers_are_named_in_order() -> None:
    kit = Kit("PHACO/paid", "PHACO", "paid", None, LINES)
    assert unknown_requirements(kit, ["ring", "dye", "dark"]) == ["dark", "ring"]


def test_kit_codes() -> None:
    assert kit_code("PHACO", "paid") == "PHACO/paid"
    assert kit_code("PHACO", "paid", "SB") == "PHACO/paid/SB"


# One of several: the first that is there in full


@pytest.mark.parametrize(
    ("first", "second", "wanted"),
    [
        (2, 2, "VISC"), (3, 0, "VISC"), (1, 2, "VISC-B"), (0, 9, "VISC-B"), (1, 1, "VISC"),
        (0, 1, "VISC"),
    ],
)  # fmt: skip
def test_the_first_alternative_that_is_there_in_full_is_taken(
    first: int, second: int, wanted: str
) -> None:
    rows = [a_row(1, first), a_row(2, second, item="VISC-B")]
    shelf = Shelf(row for row in rows if row.quantity)
    assert chosen(Need(("VISC", "VISC-B"), 2), shelf, a_wish()) == wanted


def test_an_alternative_that_must_not_be_used_is_not_there() -> None:
    rows = [a_row(1, 5, expires_on="2027-02-28"), a_row(2, 5, item="VISC-B")]
    assert chosen(Need(("VISC", "VISC-B"), 2), Shelf(rows), a_wish()) == "VISC-B"


def test_an_alternative_in_the_hand_is_taken_before_the_shelf_s() -> None:
    rows = [a_row(1, 5), a_row(2, 5, item="VISC-B")]
    found = planned([Need(("VISC", "VISC-B"), 2)], rows, {"VISC-B": 1})
    assert drawn(found) == [("VISC-B", 1)]
    assert found.gaps == ()


# Plans


@pytest.mark.parametrize(("there", "gaps"), [(1, (2, 1)), (2, None), (3, None)])
def test_a_gap_says_wanted_and_usable(there: int, gaps: tuple[int, int] | None) -> None:
    found = planned([Need(("VISC",), 2)], [a_row(1, there)])
    assert found.gaps == ((Gap("C1", "VISC", *gaps),) if gaps else ())
    assert sum(gap.short for gap in found.gaps) == (1 if gaps else 0)


def test_two_lines_of_one_item_share_what_is_there() -> None:
    found = planned([Need(("VISC",), 2), Need(("VISC",), 2)], [a_row(1, 3)])
    assert drawn(found) == [("VISC", 2), ("VISC", 1)]
    assert found.gaps == (Gap("C1", "VISC", 2, 1),)


def test_a_missing_standby_line_is_a_warning_never_a_gap() -> None:
    found = planned([Need(("VIT",), 1, standby=True)], [])
    assert (found.draws, found.gaps) == ((), ())
    assert found.standby == (Gap("C1", "VIT", 1, 0),)


@pytest.mark.parametrize(("there", "missing"), [(1, True), (2, False)])
def test_standby_is_judged_by_what_the_kit_leaves(there: int, *, missing: bool) -> None:
    needs = [Need(("VIT",), 1, standby=True), Need(("VIT",), 1)]
    found = planned(needs, [a_row(1, there, item="VIT")])
    assert drawn(found) == [("VIT", 1)]
    assert bool(found.standby) is missing


@pytest.mark.parametrize(("held", "taken", "short"), [(1, 2, 0), (3, 0, 0), (4, 0, 0), (0, 2, 1)])
def test_what_the_hand_holds_is_not_drawn(held: int, taken: int, short: int) -> None:
    found = planned([Need(("VISC",), 3)], [a_row(1, 2)], {"VISC": held})
    assert sum(draw.quantity for draw in found.draws) == taken
    assert sum(gap.short for gap in found.gaps) == short


needs = st.lists(
    st.builds(
        Need,
        st.sampled_from((("VISC",), ("DYE",), ("VISC", "DYE"), ("DYE", "VISC"))),
        st.integers(1, 15),
        st.booleans(),
    ),
    max_size=5,
)
hands = st.dictionaries(st.sampled_from(("VISC", "DYE")), st.integers(0, 10))


@given(shelves(), wishes(), needs, hands)
def test_a_plan_gives_or_reports_every_unit_that_was_needed(
    shelf: Shelf, wish: Wish, wanted: list[Need], held: dict[str, int]
) -> None:
    before = {item: usable_quantity(shelf, item, wish) for item in ("VISC", "DYE")}
    found = plan(a_case, wanted, shelf, wish, held)
    asked = sum(need.quantity for need in wanted if not need.standby)
    given_by_shelf = sum(draw.quantity for draw in found.draws)
    from_hand = asked - given_by_shelf - sum(gap.short for gap in found.gaps)
    assert 0 <= from_hand <= sum(held.values())
    assert all(0 <= gap.usable < gap.wanted for gap in (*found.gaps, *found.standby))
    for item, there in before.items():
        taken = sum(draw.quantity for draw in found.draws if draw.lot.item == item)
        assert there - taken == usable_quantity(shelf, item, wish)


@given(shelves(), wishes(), needs)
def test_a_plan_conserves_units_and_value(shelf: Shelf, wish: Wish, wanted: list[Need]) -> None:
    def total(rows: list) -> tuple[int, int]:
        return sum(r.quantity for r in rows), sum(r.value for r in rows)

    before = total([*shelf.rows("VISC"), *shelf.rows("DYE")])
    found = plan(a_case, wanted, shelf, wish, {})
    assert total([*found.draws, *shelf.rows("VISC"), *shelf.rows("DYE")]) == before


@given(shelves(), wishes(), needs)
def test_an_item_is_reported_short_only_when_none_of_it_is_left(
    shelf: Shelf, wish: Wish, wanted: list[Need]
) -> None:
    found = plan(a_case, wanted, shelf, wish, {})
    assert all(usable_quantity(shelf, gap.item, wish) == 0 for gap in found.gaps)
