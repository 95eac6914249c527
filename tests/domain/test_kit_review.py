"""Reviewing kits: boundaries of what is proposed, intervals, and what counts as what."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.facts import KitLine
from stockbook.domain.kit_review import (
    CaseKit,
    ExtraReview,
    Flow,
    KitReview,
    extra_reviews,
    is_more_than_half,
    is_more_than_three_tenths,
    lens_tally,
    line_reviews,
    waste_reviews,
    wilson,
)

KNIFE = KitLine("always", ("KNIFE",), 1)
CAN = KitLine("always", ("CAN",), 2)
JELLY = KitLine("one-of", ("VISC", "VISC-B"), 1)
VIT = KitLine("standby", ("VIT",), 1)
LINES = (KNIFE, CAN, JELLY, VIT)


def cases(count: int) -> list[CaseKit]:
    return [CaseKit(f"C{n}", LINES, LINES[:3]) for n in range(count)]


def back(item: str, *quantities: int) -> list[Flow]:
    return [
        Flow(f"C{n}", item, "returned", None, quantity, 10)
        for n, quantity in enumerate(quantities) if quantity
    ]  # fmt: skip


def review(item: str, *quantities: int, count: int = 10) -> object:
    found = line_reviews(LINES, cases(count), back(item, *quantities))
    return next(one for one in found if item in one.line.items)


# Proposals at their boundaries


@pytest.mark.parametrize(("returned", "proposed"), [(4, False), (5, False), (6, True)])
def test_a_line_back_in_exactly_half_of_the_cases_stays(returned: int, *, proposed: bool) -> None:
    one = review("KNIFE", *[1] * returned)
    assert (one.returned, one.cases) == (returned, 10)
    assert one.proposed == (KitLine("standby", ("KNIFE",), 1) if proposed else None)


@pytest.mark.parametrize(
    ("quantities", "left"),
    [([1] * 6, 1), ([2] * 5 + [1], 1), ([2] * 6, 0), ([2] * 5, None), ([1] * 5, None)],
)
def test_a_line_becomes_less_by_what_comes_back_in_more_than_half_of_the_cases(
    quantities: list[int], left: int | None
) -> None:
    wanted = None if left is None else KitLine("always", ("CAN",), left)
    wanted = KitLine("standby", ("CAN",), 2) if left == 0 else wanted
    assert review("CAN", *quantities).proposed == wanted


def test_a_line_of_alternatives_counts_whichever_came_back() -> None:
    flows = [*back("VISC", 1, 1, 1), *(Flow(f"C{n}", "VISC-B", "returned", None, 1, 1)
                                       for n in range(3, 6))]  # fmt: skip
    found = next(x for x in line_reviews(LINES, cases(10), flows) if x.line == JELLY)
    assert found.returned == 6
    assert found.proposed == KitLine("standby", ("VISC", "VISC-B"), 1)


def test_a_line_is_counted_over_the_cases_that_drew_it() -> None:
    dye = KitLine("when", ("DYE",), 1, "dye")
    some = [CaseKit("C0", (dye,), (dye,)), CaseKit("C1", (dye,), ())]
    (found,) = line_reviews([dye], some, back("DYE", 1))
    assert (found.returned, found.cases) == (1, 1)
    assert found.proposed is None


def test_standby_lines_and_lines_that_share_their_item_are_left_alone() -> None:
    twice = (KNIFE, KitLine("when", ("KNIFE",), 1, "dense"), VIT)
    assert line_reviews(twice, cases(3), back("KNIFE", 1, 1, 1)) == ()


def took(count: int, *, of: int = 10) -> tuple[ExtraReview, ...]:
    flows = [Flow(f"C{n}", "DYE", "used", None, n + 1, 7) for n in range(count)]
    return extra_reviews(cases(of), flows, ())


@pytest.mark.parametrize(("count", "usual"), [(2, None), (3, None), (4, 2)])
def test_an_extra_in_exactly_three_tenths_of_the_cases_is_not_proposed(
    count: int, usual: int | None
) -> None:
    (one,) = took(count)
    assert (one.cases, one.of, one.value) == (count, 10, 7 * count)
    assert one.proposed == (KitLine("always", ("DYE",), usual) if usual else None)


def test_what_a_line_of_the_case_s_own_version_names_is_no_extra() -> None:
    flows = [Flow("C0", item, "used", None, 1, 1) for item in ("KNIFE", "VISC-B", "VIT")]
    assert extra_reviews(cases(1), flows, ()) == ()
    assert extra_reviews(cases(1), [Flow("C0", "RING+21", "used", None, 1, 1)], ["RING+21"]) == ()


def test_a_wasted_extra_was_taken_and_a_returned_one_was_not() -> None:
    flows = [
        Flow("C0", "DYE", "wasted", "dropped", 1, 5),
        Flow("C1", "DYE", "returned", None, 1, 5),
    ]
    (one,) = extra_reviews(cases(2), flows, ())
    assert (one.cases, one.units, one.value) == (1, 1, 5)


def test_waste_is_counted_by_item_and_reason_in_cases_units_and_money() -> None:
    flows = [
        Flow("C0", "KNIFE", "wasted", "dropped", 1, 30),
        Flow("C1", "KNIFE", "wasted", "dropped", 2, 60),
        Flow("C1", "KNIFE", "wasted", "defective", 1, 30),
        Flow("C1", "KNIFE", "used", None, 1, 30),
    ]
    found = [(x.reason, x.cases, x.units, x.value) for x in waste_reviews(flows)]
    assert found == [("defective", 1, 1, 30), ("dropped", 2, 3, 90)]


def test_lenses_spoiled_are_counted_among_all_that_were_used_or_spoiled() -> None:
    flows = [
        Flow("C0", "R", "used", None, 1, 1), Flow("C1", "R", "wasted", "dropped", 1, 1),
        Flow("C2", "R", "returned", None, 1, 1), Flow("C2", "KNIFE", "wasted", "dropped", 1, 1),
    ]  # fmt: skip
    assert lens_tally(flows, ["R"]) == (1, 2)


def test_a_review_of_nothing_proposes_nothing() -> None:
    assert KitReview("P/paid", "2027-01-01", "2027-03-01", 0).proposed == ()
    assert not is_more_than_half(0, 0)
    assert not is_more_than_three_tenths(0, 0)


# Intervals


@given(st.integers(1, 5000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_an_interval_holds_its_share_and_stays_within_nothing_and_all(
    pair: tuple[int, int],
) -> None:
    count, of = pair
    low, high = wilson(count, of)
    assert 0 <= low <= high <= 10_000
    assert low * of <= 10_000 * count + of
    assert high * of >= 10_000 * count - of


@given(st.integers(1, 2000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_an_interval_is_mirrored_by_counting_the_others(pair: tuple[int, int]) -> None:
    count, of = pair
    low, high = wilson(count, of)
    other = wilson(of - count, of)
    assert abs(10_000 - high - other[0]) <= 1
    assert abs(10_000 - low - other[1]) <= 1


@given(st.integers(1, 500), st.integers(2, 20))
def test_more_cases_of_the_same_share_make_a_narrower_interval(of: int, times: int) -> None:
    low, high = wilson(of // 2, of)
    closer = wilson(of // 2 * times, of * times)
    assert closer[1] - closer[0] <= high - low
