"""Lenses of a day's lists: what is missing, freed, without a spare; counted by hand beside it."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st
from strategies import a_row, a_wish

from stockbook.domain.lens_walk import LensAsked, consequences, walk_lenses
from stockbook.domain.picking import Shelf

LENSES = ("RINGL +21.00", "RINGL +21.50", "FLATL -0.50")
counts = st.fixed_dictionaries({lens: st.integers(0, 3) for lens in LENSES})
plans = st.lists(st.sampled_from(LENSES), max_size=8)


def shelf_of(there: dict[str, int]) -> Shelf:
    """So many units of each lens in the store."""
    return Shelf(
        a_row(code, quantity, item=lens)
        for code, (lens, quantity) in enumerate(there.items(), start=1)
        if quantity
    )


def asked_for(plan: list[str]) -> list[LensAsked]:
    """One case a lens, in order."""
    return [LensAsked(f"C{n}", lens, lens, a_wish()) for n, lens in enumerate(plan, start=1)]


@given(counts, plans)
def test_a_lens_is_missing_when_the_cases_before_it_take_all_there_is(
    there: dict[str, int], plan: list[str]
) -> None:
    walk = walk_lenses(asked_for(plan), shelf_of(there))
    wanted = Counter(plan)
    short = {lens: max(0, wanted[lens] - there[lens]) for lens in wanted}
    assert Counter(one.lens for one in walk.missing) == Counter(short)
    assert walk.spares == {lens: max(0, there[lens] - wanted[lens]) for lens in wanted}


@given(counts, plans, plans)
def test_what_one_plan_asks_more_than_the_other_is_freed(
    there: dict[str, int], before: list[str], after: list[str]
) -> None:
    shelf = shelf_of(there)
    found = consequences(
        walk_lenses(asked_for(before), shelf), walk_lenses(asked_for(after), shelf)
    )
    assert Counter(found.freed) == Counter(before) - Counter(after)
    for lens in found.spare_lost:
        assert there[lens] == Counter(after)[lens]


@given(counts, plans)
def test_the_same_plan_frees_nothing_and_loses_no_spare(
    there: dict[str, int], plan: list[str]
) -> None:
    walk = walk_lenses(asked_for(plan), shelf_of(there))
    found = consequences(walk, walk)
    assert (found.freed, found.spare_lost) == ((), ())


def test_why_a_lens_is_missing_is_said() -> None:
    shelf = Shelf([a_row(1, 1, item="A"), a_row(2, 2, place="OT2", item="B")])
    wanted = [("A", "A"), ("A", "A"), ("B", "B"), ("X", None)]
    asked = [LensAsked(f"C{n}", lens, item, a_wish()) for n, (lens, item) in enumerate(wanted)]
    assert [one.why for one in walk_lenses(asked, shelf).missing] == [
        "1 in reach, needed by cases before it",
        "none usable in reach; 2 in OT2",
        "no item of this book",
    ]
