"""Comparing an old list with a new one: properties over invented lists."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.facts import Case
from stockbook.domain.list_changes import ListChanges, Scheduled, cases_after, compare

LISTS = {"L1": ("2027-03-01", "OT1"), "L2": ("2027-03-01", "OT2"), "L3": ("2027-03-02", "OT1")}
CODES = ("C1", "C2", "C3", "C4", "C5")


@st.composite
def scheduled(draw: st.DrawFn, code: str, *, may_be_cancelled: bool = True) -> Scheduled:
    of = draw(st.sampled_from(sorted(LISTS)))
    case = Case(
        code, of, draw(st.integers(1, 4)), patient=f"P-{code}", eye="right", procedure="PHACO",
        category=draw(st.sampled_from(("paid", "free"))),
        power=draw(st.sampled_from((2100, 2150, -50))),
        cancelled=may_be_cancelled and draw(st.booleans()),
    )  # fmt: skip
    return Scheduled(case, *LISTS[of])


@st.composite
def plans(draw: st.DrawFn, *, may_be_cancelled: bool = True) -> dict[str, Scheduled]:
    codes = draw(st.lists(st.sampled_from(CODES), unique=True))
    return {c: draw(scheduled(c, may_be_cancelled=may_be_cancelled)) for c in codes}


def codes_of(changes: ListChanges) -> set[str]:
    """Every case that a change names."""
    shifts = (*changes.moved, *changes.resequenced)
    alone = (*changes.added, *changes.again, *changes.gone, *(shift.now for shift in shifts))
    return {one.case.code for one in alone} | {one.code for one in changes.altered}


@given(plans())
def test_the_same_list_changes_nothing(plan: dict[str, Scheduled]) -> None:
    assert compare(plan, plan).none


@given(plans(), plans(may_be_cancelled=False))
def test_exactly_the_cases_that_end_otherwise_are_named(
    book: dict[str, Scheduled], file: dict[str, Scheduled]
) -> None:
    after = cases_after(book, file)
    before = {code: one.case for code, one in book.items()}
    otherwise = {code for code, case in after.items() if before.get(code) != case}
    assert codes_of(compare(book, file)) == otherwise


@given(plans(), plans(may_be_cancelled=False))
def test_taking_the_list_again_changes_nothing(
    book: dict[str, Scheduled], file: dict[str, Scheduled]
) -> None:
    after = {
        code: Scheduled(case, *LISTS[case.list]) for code, case in cases_after(book, file).items()
    }
    assert compare(after, file).none


@given(plans(), plans(may_be_cancelled=False))
def test_no_case_is_ever_lost(book: dict[str, Scheduled], file: dict[str, Scheduled]) -> None:
    assert cases_after(book, file).keys() == book.keys() | file.keys()
    for one in compare(book, file).gone:
        assert cases_after(book, file)[one.case.code] == replace(one.case, cancelled=True)


@given(plans(may_be_cancelled=False), plans(may_be_cancelled=False))
def test_what_is_added_one_way_is_gone_the_other_way(
    one: dict[str, Scheduled], other: dict[str, Scheduled]
) -> None:
    there, back = compare(one, other), compare(other, one)
    assert {x.case.code for x in there.added} == {x.case.code for x in back.gone}
    assert {s.now.case.code for s in there.moved} == {s.now.case.code for s in back.moved}


@given(plans(may_be_cancelled=False))
def test_a_list_moved_as_a_whole_moves_each_of_its_cases(plan: dict[str, Scheduled]) -> None:
    moved = {code: replace(one, day="2027-03-09") for code, one in plan.items()}
    changes = compare(plan, moved)
    assert {shift.now.case.code for shift in changes.moved} == plan.keys()
    assert replace(changes, moved=()).none
