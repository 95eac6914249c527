"""Costs: means and medians by exact fractions, who is counted where, and the proof (rule 5)."""

import statistics
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import a_bottle, a_case, a_lot

from stockbook.domain.costs import (
    CaseCost,
    CategoryCost,
    CostLine,
    PeriodLine,
    Proof,
    category_cost,
    mean,
    median,
)

FIRST = "2027-03-01"
MARCH = (FIRST, "2027-03-31")
BEGAN = {"C1": "2027-03-01", "C2": "2027-03-15", "C0": "2027-02-28"}

amounts = st.lists(st.integers(-(10**9), 10**12), min_size=1, max_size=30)


def used(case: str | None, value: int, item_class: str = "lens") -> PeriodLine:
    return PeriodLine(case, "paid", item_class, wasted=False, value=value)


def wasted(case: str | None, value: int) -> PeriodLine:
    return PeriodLine(case, "paid", "lens", wasted=True, value=value)


def cost(*lines: PeriodLine, category: str = "paid") -> CategoryCost:
    return category_cost(category, lines, BEGAN, MARCH, 0)


# Mean and median: the standard library over exact fractions as the reference


@given(amounts)
def test_the_mean_is_the_exact_one_rounded_half_even(values: list[int]) -> None:
    assert mean(values) == round(Fraction(sum(values), len(values)))


@given(amounts)
def test_the_median_is_the_exact_one_rounded_half_even(values: list[int]) -> None:
    assert median(values) == round(statistics.median([Fraction(value) for value in values]))


def test_of_nothing_there_is_no_mean_and_no_median() -> None:
    assert mean([]) is median([]) is None


@pytest.mark.parametrize(
    ("values", "middle"), [([5], 5), ([1, 2], 2), ([2, 3], 2), ([9, 1, 5], 5), ([4, 1, 3, 2], 2)]
)
def test_medians_of_few(values: list[int], middle: int) -> None:
    assert median(values) == middle


# Who is counted where


def test_a_case_is_counted_once_however_many_lines_it_has() -> None:
    found = cost(used("C1", 100), used("C1", 50, "dye"), used("C2", 250))
    assert (found.cases, found.used, found.mean, found.median) == (2, 400, 200, 200)
    assert (found.lowest, found.highest) == (150, 250)


def test_a_case_that_used_only_what_was_given_is_counted_at_nothing() -> None:
    found = cost(used("C1", 0), used("C2", 100))
    assert (found.cases, found.mean, found.lowest) == (2, 50, 0)


@pytest.mark.parametrize(
    ("began", "cases", "earlier"),
    [
        ("2027-02-28", 0, 100),
        ("2027-03-01", 1, 0),
        ("2027-03-31", 1, 0),
        ("2027-04-01", 0, 100),
    ],
)
def test_a_case_belongs_to_the_period_of_its_first_use(
    began: str, cases: int, earlier: int
) -> None:
    found = category_cost("paid", [used("C9", 100)], {"C9": began}, MARCH, 0)
    assert (found.cases, found.earlier_cases) == (cases, earlier)


def test_use_and_waste_of_an_earlier_case_stand_apart_from_this_period_s() -> None:
    found = cost(used("C1", 100), used("C0", 30), wasted("C0", 4))
    assert (found.cases, found.used, found.wasted, found.earlier_cases) == (1, 100, 0, 34)
    assert found.total == 134


def test_an_undone_use_of_an_earlier_case_lowers_the_total() -> None:
    found = cost(used("C1", 100), used("CX", -30))
    assert (found.cases, found.earlier_cases, found.total) == (1, -30, 70)


def test_waste_is_apart_and_makes_no_case_dearer() -> None:
    found = cost(used("C1", 100), wasted("C1", 40), wasted("C2", 7))
    assert (found.cases, found.used, found.wasted, found.total) == (1, 100, 47, 147)
    assert found.highest == 100
    assert found.by_class == {"lens": 100}


def test_waste_of_a_case_that_used_nothing_is_still_waste() -> None:
    assert cost(wasted("CX", 40)).wasted == 40


def test_common_use_has_value_and_no_cases() -> None:
    found = cost(used(None, 60, "drapes"), wasted(None, 5), category="common")
    assert (found.cases, found.used, found.wasted) == (0, 60, 5)
    assert found.mean is found.median is found.lowest is found.highest is None


def test_nothing_at_all_is_a_page_of_nothing() -> None:
    found = cost()
    assert (found.cases, found.total, found.share("lens")) == (0, 0, "0.0")


@pytest.mark.parametrize(
    ("lens", "dye", "share"), [(1, 0, "100.0"), (1, 1, "50.0"), (1, 2, "33.3"), (0, 1, "0.0")]
)
def test_shares_by_class_are_per_cent_of_what_was_used(lens: int, dye: int, share: str) -> None:
    assert cost(used("C1", lens), used("C1", dye, "dye")).share("lens") == share


period_lines = st.builds(
    PeriodLine,
    st.sampled_from((None, "C0", "C1", "C2", "CX")),
    st.just("paid"),
    st.sampled_from(("lens", "dye")),
    st.booleans(),
    st.integers(-500, 10**6),
)


@given(st.lists(period_lines, max_size=20))
def test_every_line_is_in_the_total_exactly_once(lines: list[PeriodLine]) -> None:
    found = cost(*lines)
    assert found.total == sum(line.value for line in lines)
    assert sum(found.by_class.values()) == found.used
    assert found.cases == len({x.case for x in lines if x.case in ("C1", "C2") and not x.wasted})


# One case


def test_a_case_s_use_and_waste_stand_apart_and_gifts_are_shown_beside() -> None:
    line = CostLine(a_bottle, a_lot(), seen=True, wasted=False, reason=None, quantity=3, value=60)
    given_lot = a_lot(2, terms="donated", quantity=4, shadow_value=90)
    lines = (line, replace(line, wasted=True, value=5), replace(line, lot=given_lot, value=0))
    found = CaseCost(a_case, FIRST, "OT1", lines, is_staged=False)
    assert (found.used, found.wasted) == (60, 5)
    assert [x.shadow for x in lines] == [0, 0, 68]  # 67.5 goes to the even 68


# The proof

NOTHING = Proof(0, 0, 0, 0, 0, 0, 0, 0, 0, 1, "")


@pytest.mark.parametrize(
    ("part", "sign"),
    [
        ("opening", 1), ("received", 1), ("opening_stock", 1), ("made", 1), ("differences", 1),
        ("used", -1), ("wasted", -1), ("sent_back", -1), ("on_hand", 0),
    ],
)  # fmt: skip
def test_rule_5_each_part_counts_with_its_sign(part: str, sign: int) -> None:
    assert replace(NOTHING, **{part: 7}).expected == 7 * sign


@pytest.mark.parametrize(("on_hand", "holds"), [(69, False), (70, True), (71, False)])
def test_rule_5_the_proof_holds_to_the_minor_unit(on_hand: int, *, holds: bool) -> None:
    proof = Proof(10, 100, 5, 3, 30, 10, 4, -4, on_hand, 9, "")
    assert proof.expected == 70
    assert proof.holds is holds
