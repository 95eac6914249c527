"""What a mix bears: what is called highest is borne, and the next step is not."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stockbook.domain.what_if import (
    STEPS,
    CaseKind,
    Scenario,
    borne,
    break_even_cases,
    costs_no_more,
    highest_cases,
    highest_lens_price,
    payer,
    paying_cases_needed,
    sensitivity,
    with_cases,
    with_lens_price,
    with_volume,
)
from stockbook.errors import InputError

MONEY = st.integers(0, 10**6)


@st.composite
def kinds(draw: st.DrawFn, category: str, *, free: bool = False) -> CaseKind:
    """A category whose sums are whole minor units, as the ledger's are."""
    counted = draw(st.integers(1, 200))
    lens_value, rest = draw(MONEY), draw(MONEY)
    return CaseKind(
        category, counted, Fraction(counted), Fraction(0 if free else draw(MONEY)),
        Fraction(lens_value + rest, counted), Fraction(draw(st.integers(1, 400)), counted),
        Fraction(lens_value, counted),
    )  # fmt: skip


@st.composite
def scenarios(draw: st.DrawFn, most: int = 3) -> Scenario:
    """A free category and some others, with a fixed cost that they may or may not bear."""
    others = [draw(kinds(f"other-{n}")) for n in range(draw(st.integers(1, most)))]
    return Scenario(
        (draw(kinds("free", free=True)), *others), Fraction(draw(st.integers(0, 10**8)))
    )


@given(scenarios())
def test_at_the_highest_lens_price_the_result_is_borne_and_one_minor_unit_more_is_not(
    made: Scenario,
) -> None:
    price = highest_lens_price(made, "free")
    if price is None:
        assert with_lens_price(made, "free", Fraction(0)).result < 0
        return
    assert with_lens_price(made, "free", Fraction(price)).result >= 0
    assert with_lens_price(made, "free", Fraction(price + 1)).result < 0


@given(scenarios())
def test_at_the_highest_share_the_result_is_borne_and_one_free_case_more_is_not(
    made: Scenario,
) -> None:
    total, most = int(made.cases), highest_cases(made, "free")
    results = [with_cases(made, {"free": Fraction(n)}).result for n in range(total + 1)]
    if most is None:
        assert max(results) < 0
        return
    assert results[most] >= 0
    assert all(result < 0 for result in results[most + 1 :])


@given(scenarios(), st.integers(0, 600))
def test_moving_cases_keeps_their_number_and_the_mix_of_the_others(
    made: Scenario, free: int
) -> None:
    assume(free <= made.cases)
    moved = with_cases(made, {"free": Fraction(free)})
    assert moved.cases == made.cases
    others = [kind for kind in moved.kinds if kind.category != "free"]
    assert len({Fraction(kind.cases, kind.counted) for kind in others}) == 1


@given(scenarios())
def test_as_many_cases_as_now_in_the_share_of_now_changes_nothing(made: Scenario) -> None:
    own = next(kind.cases for kind in made.kinds if kind.category == "free")
    assert with_cases(made, {"free": own}) == made
    assert with_volume(made, made.cases) == made


@given(scenarios())
def test_the_break_even_volume_bears_the_fixed_cost_and_one_case_less_does_not(
    made: Scenario,
) -> None:
    found = break_even_cases(made)
    if found is None:
        assert made.left_over <= 0
        return
    assert with_volume(made, Fraction(found)).result >= 0 or not found
    if found > 1:
        assert with_volume(made, Fraction(found - 1)).result < 0


@given(scenarios())
def test_the_paying_cases_needed_bear_all_that_others_do_not(made: Scenario) -> None:
    needed, one = paying_cases_needed(made), payer(made)
    if needed is None or one is None:
        assert needed is one is None
        assert all(kind.is_borne or kind.leaves == 0 for kind in made.kinds)
        return
    rest = sum(kind.cases * kind.leaves for kind in made.kinds if kind.is_borne) - made.fixed
    assert needed * one.contribution + rest >= 0
    assert not needed or (needed - 1) * one.contribution + rest < 0


@given(scenarios())
def test_the_result_in_the_middle_of_each_row_is_that_of_the_scenario(made: Scenario) -> None:
    rows = sensitivity(made)
    assert {row.results[STEPS.index(0)] for row in rows} == {made.result}
    named = {(row.what, row.category) for row in rows}
    assert {("tariffs", ""), ("cost of a case", ""), ("fixed cost", "")} <= named
    of = {row.what: row.results for row in rows if row.category in ("", "free")}
    assert list(of["fixed cost"]) == sorted(of["fixed cost"], reverse=True)
    assert list(of["cost of a case"]) == sorted(of["cost of a case"], reverse=True)
    assert list(of["tariffs"]) == sorted(of["tariffs"])


# Told apart


def kind(category: str, cases: int, tariff: int, cost: int) -> CaseKind:
    return CaseKind(
        category,
        cases,
        Fraction(cases),
        Fraction(tariff),
        Fraction(cost),
        Fraction(1),
        Fraction(10),
    )


@pytest.mark.parametrize(
    ("cost_of_free", "fixed", "most"),
    [
        (60, 400, 3),  # (10 - m) 100 - 60 m = 400 at m = 3.75
        (60, 1000, 0),  # ten paid cases and no free one
        (60, 1001, None),  # not even those
        (0, 0, 10),  # costs nothing: all of them
        (-100, 1000, 10),  # leaves as much over as a paid one: the share is all one
        (-100, 1001, None),
        (-200, 1500, 10),  # leaves more over: borne only when there are many
    ],
)
def test_shares_where_a_free_case_costs_leaves_as_much_and_leaves_more(
    cost_of_free: int, fixed: int, most: int | None
) -> None:
    made = Scenario((kind("free", 4, 0, cost_of_free), kind("paid", 6, 200, 100)), Fraction(fixed))
    assert highest_cases(made, "free") == most
    assert costs_no_more(made, "free") is (cost_of_free <= -100)


def test_with_free_cases_alone_nobody_bears_them() -> None:
    made = Scenario((kind("free", 4, 0, 60),), Fraction(100))
    found = borne(made, "free")
    assert (found.payers, found.carried, found.most_cases) == (None, None, None)
    assert (found.lens_price, break_even_cases(made), paying_cases_needed(made)) == (
        None,
        None,
        None,
    )
    with pytest.raises(InputError, match="nobody is left to have the rest"):
        with_cases(made, {"free": Fraction(2)})
    assert with_cases(made, {"free": Fraction(4)}) == made


def test_a_tariff_below_cost_is_borne_by_the_others() -> None:
    low, paid = kind("subsidised", 5, 50, 80), kind("paid", 5, 200, 80)
    made = Scenario((low, paid), Fraction(0))
    assert (low.is_borne, paid.is_borne) == (True, False)
    assert borne(made, "subsidised").payers == Fraction(30, 120)
    assert borne(replace(made, kinds=(low,)), "subsidised").payers is None


def test_at_a_share_of_all_or_of_nothing_a_case_still_costs_what_it_costs() -> None:
    made = Scenario((kind("free", 4, 0, 60), kind("paid", 6, 200, 100)), Fraction(100))
    everything = with_cases(made, {"free": Fraction(10)})
    assert everything.result == -700
    assert borne(everything, "free").payers == borne(made, "free").payers == Fraction(60, 100)
    assert break_even_cases(everything) is None
    nothing = with_cases(made, {"free": Fraction(0)})
    assert nothing.result == 900
    assert highest_lens_price(nothing, "free") is None
    assert {row.category for row in sensitivity(nothing)} == {""}
