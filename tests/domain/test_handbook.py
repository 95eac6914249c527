"""The handbooks' rules: no figure without a basis, and nothing ordered above the maximum."""

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stockbook.domain import handbook, item_classes, order_sizes, wastage
from stockbook.domain.handbook import MaxMin
from stockbook.domain.item_classes import ABC, VED, Cuts
from stockbook.domain.order_sizes import PriceBreak
from stockbook.errors import InputError

USES = st.fractions(0, 1000, max_denominator=60)
MONTHS = st.fractions(0, 6, max_denominator=30)
COSTS = st.fractions(Fraction(1, 100), 500, max_denominator=100)


def test_a_month_left_out_is_not_a_month_without_use() -> None:
    used = {"2026-01": 30, "2026-02": 0}
    assert handbook.average_monthly_use(used) == 15
    assert handbook.average_monthly_use(used, excluded=["2026-02"]) == 30


def test_no_month_that_counts_is_no_basis_and_never_nothing() -> None:
    assert handbook.average_monthly_use({"2026-01": 30}, excluded=["2026-01"]) is None
    assert handbook.adjusted_monthly_use(0, 1, Fraction(304, 10)) is None
    assert handbook.months_of_stock(12, 0) is None
    assert wastage.wastage_rate(0, 0) is None


@pytest.mark.parametrize(("days", "months"), [("30.4", "240"), ("30.5", "239.7931")])
def test_days_a_month_are_a_setting(days: str, months: str) -> None:
    found = handbook.adjusted_monthly_use(1140, 6, 38, days_a_month=Fraction(days))
    assert found is not None
    assert abs(found - Fraction(months)) < Fraction(1, 10000)


@given(USES, MONTHS, MONTHS, st.integers(0, 10_000))
def test_an_order_fills_up_to_the_maximum_and_never_beyond(
    use: Fraction, review: Fraction, lead: Fraction, position: int
) -> None:
    rule = MaxMin.with_half_a_review(review_months=review, lead_months=lead)
    top, bottom = handbook.max_quantity(use, rule), handbook.min_quantity(use, rule)
    assert bottom <= top
    assert position + handbook.forced_order(use, rule, position) == max(position, top)
    at_minimum = handbook.order_at_minimum(use, rule, position)
    assert at_minimum == (handbook.forced_order(use, rule, position) if position <= bottom else 0)


@given(USES, MONTHS, MONTHS)
def test_the_safety_stock_of_a_whole_review_is_never_the_smaller(
    use: Fraction, review: Fraction, lead: Fraction
) -> None:
    half = MaxMin.with_half_a_review(review_months=review, lead_months=lead)
    whole = MaxMin.with_a_whole_review(review_months=review, lead_months=lead)
    assert handbook.max_quantity(use, half) <= handbook.max_quantity(use, whole)


@given(USES, MONTHS, MONTHS, st.integers(0, 100))
def test_reorder_quantity_and_max_min_are_one_rule(
    use: Fraction, review: Fraction, lead: Fraction, position: int
) -> None:
    rule = MaxMin.with_a_whole_review(review_months=review, lead_months=lead)
    found = handbook.reorder_quantity(
        use, lead_months=lead, procurement_months=review, safety_stock=use * rule.safety_months,
        position=position,
    )  # fmt: skip
    assert found == handbook.forced_order(use, rule, position)


def test_a_setting_below_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="lead_months: found -1, wanted 0 or more"):
        MaxMin(1, -1, 0)


@pytest.mark.parametrize("rate", [Fraction(-1, 100), Fraction(1), Fraction(2)])
def test_a_wastage_of_all_or_less_than_nothing_is_refused(rate: Fraction) -> None:
    with pytest.raises(InputError, match="wanted 0 or more and less than 1"):
        wastage.wastage_factor(rate)


@given(st.integers(0, 10_000), st.fractions(0, Fraction(99, 100), max_denominator=100))
def test_what_comes_with_its_wastage_covers_the_need_and_one_less_does_not(
    needed: int, rate: Fraction
) -> None:
    units = wastage.with_wastage(needed, rate)
    assert units * (1 - rate) >= needed > (units - 1) * (1 - rate) - (needed == 0)


def test_more_used_than_issued_is_refused() -> None:
    with pytest.raises(InputError, match="found 9 of 8 issued, wanted 0 to 8"):
        wastage.wastage_rate(9, 8)


VALUES = st.dictionaries(st.text("abcdefgh", min_size=1), st.integers(0, 10**9), max_size=30)


@given(VALUES, st.sampled_from(["nearest", "above", "below"]))
def test_classes_fall_with_the_value(
    value: dict[str, int], crossing: item_classes.Crossing
) -> None:
    classes = item_classes.abc_classes(value, Cuts(crossing=crossing))
    assert classes.keys() == value.keys()
    assert list(classes.values()) == sorted(classes.values())
    assert [value[item] for item in classes] == sorted(value.values(), reverse=True)


@given(VALUES)
def test_the_three_ways_at_a_cut_differ_by_the_item_at_it(value: dict[str, int]) -> None:
    counts = {
        way: sum(letter == "A" for letter in item_classes.abc_classes(value, cuts).values())
        for way, cuts in ((way, Cuts(crossing=way)) for way in ("below", "nearest", "above"))
    }
    assert counts["below"] <= counts["nearest"] <= counts["above"] <= counts["below"] + 1


def test_an_item_without_value_is_of_class_c() -> None:
    assert item_classes.abc_classes({"x": 0}, Cuts()) == {"x": "C"}


def test_every_pair_of_classes_has_a_category() -> None:
    found = [item_classes.category(a, v) for a in ABC for v in VED]
    assert {name: found.count(name) for name in found} == {"I": 5, "II": 3, "III": 1}
    with pytest.raises(InputError, match="found 'D' and 'V'"):
        item_classes.category("D", "V")


@pytest.mark.parametrize(("a", "b"), [("0", "0.9"), ("0.9", "0.7"), ("0.7", "1.1")])
def test_cuts_out_of_order_are_refused(a: str, b: str) -> None:
    with pytest.raises(InputError, match="wanted 0 < A <= B <= 1"):
        Cuts(Fraction(a), Fraction(b))


def test_a_year_worth_less_than_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="x: found a year's value of -1"):
        item_classes.abc_classes({"x": -1}, Cuts())


@given(COSTS, COSTS, COSTS)
def test_no_whole_number_beside_the_economic_one_costs_less(
    order: Fraction, holding: Fraction, use: Fraction
) -> None:
    costs = {"order_cost": order, "holding_cost": holding, "use": use}
    best = order_sizes.whole_order_quantity(**costs)
    cost = order_sizes.cost_of_ordering(best, **costs)
    near = [q for q in (best - 2, best - 1, best + 1, best + 2) if q > 0]
    assert all(cost <= order_sizes.cost_of_ordering(q, **costs) for q in near)


@example(Fraction(1, 100), Fraction(1, 100), 1, [(1, Fraction(701, 100))])
@given(
    COSTS,
    st.fractions(Fraction(1, 100), 1, max_denominator=100),
    st.integers(1, 300),
    st.lists(st.tuples(st.integers(1, 60), COSTS), min_size=0, max_size=4),
)
def test_price_breaks_find_what_trying_every_quantity_finds(
    order: Fraction, rate: Fraction, use: int, steps: list[tuple[int, Fraction]]
) -> None:
    starts = sorted({start for start, _ in steps})
    prices = [price for _, price in steps][: len(starts)]
    breaks = [PriceBreak(0, Fraction(7)), *map(PriceBreak, starts, prices)]
    best = order_sizes.best_priced_order(breaks, order_cost=order, holding_rate=rate, use=use)

    def cost(quantity: int) -> Fraction:
        price = next(s.unit_price for s in reversed(breaks) if s.from_quantity <= quantity)
        holding = rate * price
        return price * use + order_sizes.cost_of_ordering(
            quantity, order_cost=order, holding_cost=holding, use=use
        )

    assert best.cost == cost(int(best.quantity))
    assert best.cost <= min(map(cost, range(1, 200)))


@pytest.mark.parametrize("starts", [[], [1], [0, 5, 5], [0, 9, 4]])
def test_price_breaks_out_of_order_are_refused(starts: list[int]) -> None:
    breaks = [PriceBreak(start, 1) for start in starts]
    with pytest.raises(InputError, match="wanted rising quantities from 0 on"):
        order_sizes.best_priced_order(breaks, order_cost=1, holding_rate=1, use=1)


def test_an_order_cost_of_nothing_has_no_economic_quantity() -> None:
    with pytest.raises(InputError, match="order_cost: found 0, wanted more than 0"):
        order_sizes.economic_order_quantity(order_cost=0, holding_cost=1, use=1)
