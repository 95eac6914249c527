"""Checks of the handbooks' rules: consumption, max-min, reorder quantity, wastage, ABC and VED."""

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

from published.tables import Figures
from stockbook.domain import handbook, item_classes, wastage

NOT_GIVEN = "the value of the items behind the counts is not published"
MINOR = 100


def adjusted_for_days_out(figures: Figures, _: Path) -> None:
    """What was used, over the months that had stock."""
    used, months, days_out, days = map(
        Fraction, figures.given("CT", "RM", "DOS", "days_per_month")
    )  # fmt: skip
    found = handbook.adjusted_monthly_use(used, months, days_out, days_a_month=days)
    figures.equal("CA", found)
    assert days == handbook.DAYS_A_MONTH, f"{figures.row}: {days} is not the default"


def reorder_quantity(figures: Figures, _: Path) -> None:
    """Lead time and procurement period at this use, with the safety stock, less the position."""
    use, lead, period, safety, on_hand, on_order = figures.given(
        "CA", "LT_months", "PP_months", "SS", "stock_in_inventory", "stock_on_order"
    )
    found = handbook.reorder_quantity(
        use, lead_months=lead, procurement_months=period, safety_stock=safety,
        position=on_hand + on_order,
    )  # fmt: skip
    figures.equal("QO", found)
    figures.equal("basic_safety_stock_CAxLT", handbook.basic_safety_stock(use, lead))


def forced_ordering(figures: Figures, _: Path) -> None:
    """Up to the maximum at every review, with half a review period as the safety stock."""
    use, lead, review, safety, on_hand, on_order = map(
        Fraction,
        figures.given("AMC", "lead_time_months", "review_period_months", "safety_stock_months",
                      "SOH", "on_order"),
    )  # fmt: skip
    rule = handbook.MaxMin.with_half_a_review(review_months=review, lead_months=lead)
    assert rule.safety_months == safety, f"{figures.row}: another safety stock"
    figures.equal("min_months", rule.min_months)
    figures.equal("max_months", rule.max_months)
    figures.equal("min_qty", handbook.min_quantity(use, rule), "exact")
    figures.equal("max_qty", handbook.max_quantity(use, rule), "exact")
    figures.equal(
        "order_qty", handbook.forced_order(use, rule, position=int(on_hand + on_order)), "exact"
    )
    figures.equal("MOS_now", handbook.months_of_stock(on_hand, use))


def worksheet(figures: Figures, _: Path) -> None:
    """Minimum and maximum with a whole review period as the safety stock."""
    use, lead, review, safety = figures.given(
        "AMC", "lead_time_months", "reorder_interval_months", "safety_stock_months"
    )
    rule = handbook.MaxMin.with_a_whole_review(review_months=review, lead_months=lead)
    assert rule.safety_months == safety, f"{figures.row}: another safety stock"
    figures.equal("min_qty", handbook.min_quantity(use, rule))
    figures.equal("max_qty", handbook.max_quantity(use, rule))


def wastage_factors(figures: Figures, _: Path) -> None:
    """One rate or several, in the hundred."""
    (rates,) = figures.given("wastage_rate_pct")
    if isinstance(rates, list):
        found = [wastage.wastage_factor(Fraction(rate, 100)) for rate in rates]
        figures.equal("wastage_factor", found)
        return
    factor = wastage.wastage_factor(Fraction(rates, 100))
    figures.equal("wastage_factor_2dp", round(factor, 2), "0")


def wastage_of_use(figures: Figures, _: Path) -> None:
    """Doses given of those issued, to the one place that is printed."""
    used, issued = figures.given("administered", "issued")
    rate = wastage.wastage_rate(used, issued)
    assert rate is not None
    figures.equal("usage_pct_1dp", round(100 * (1 - rate), 1), "0")
    figures.equal("wastage_pct_1dp", round(100 * rate, 1), "0")
    figures.equal("wastage_factor_1dp", round(wastage.wastage_factor(rate), 1), "0")


def compound_wastage(figures: Figures, _: Path) -> None:
    """Lost in each store on the way, then at use."""
    per_store, stores, in_use = figures.given("wc_per_store", "n_stores", "wo")
    found = wastage.compound_wastage(
        rate_per_store=Fraction(per_store), stores=stores, rate_in_use=Fraction(in_use)
    )
    figures.equal("total_wastage", found)


def _hundredths(part: Mapping[str, Fraction]) -> dict[str, Fraction]:
    return {name: 100 * share for name, share in part.items()}


def shares_of_items(figures: Figures, _: Path) -> None:
    """What each class or category has of the number of items."""
    items, counts = figures.given("items", "counts")
    assert sum(counts.values()) == items, f"{figures.row}: the counts are not {items}"
    figures.equal("item_pct", _hundredths(item_classes.shares(counts)))
    figures.leave_out("value_pct", NOT_GIVEN)


def shares_of_value(figures: Figures, _: Path) -> None:
    """What each class has of the value of a year."""
    (values,) = figures.given("annual_value")
    minor = {name: int(MINOR * value) for name, value in values.items()}
    figures.equal("total", Fraction(sum(minor.values()), MINOR), "0")
    figures.equal("value_pct", _hundredths(item_classes.shares(minor)))


def classes_by_value(figures: Figures, _: Path) -> None:
    """Ten items by the value of a year; the last of B goes a little over its cut, as printed."""
    items, cut = figures.given("items", "cut")
    assert cut == "cum value <=72% A, <=95% B", f"{figures.row}: another cut"
    value = {item["id"]: int(MINOR * item["qty"] * item["unit_cost"]) for item in items}
    classes = item_classes.abc_classes(
        value, item_classes.Cuts(Fraction(72, 100), Fraction(95, 100))
    )
    found: dict[str, list[str]] = {name: [] for name in item_classes.ABC}
    for item, letter in classes.items():
        found[letter].append(item)
    figures.equal("total_value", Fraction(sum(value.values()), MINOR), "0")
    figures.equal("class", found, "exact")
    parts = item_classes.share_of_classes(value, classes)
    figures.equal("class_pct", _hundredths(parts), "0.5")
    ordered = [
        100 * share for share in item_classes.shares({i: value[i] for i in classes}).values()
    ]
    figures.equal("item_pct_exact_1dp", ordered, "0.05")


def counts_at_a_cut(figures: Figures, _: Path) -> None:
    """The published numbers of items of each class, found by the cut in a list made by us.

    The values of the 910 items are not published, only what each class has together; a list of
    falling values with those sums is cut, and has to fall into those numbers.
    """
    items, rule = figures.given("items", "rule")
    assert rule == "A=70% of value, B=next 20%, C=last 10%", f"{figures.row}: another rule"
    value = _falling_values(figures.row.expected, items)
    classes = item_classes.abc_classes(value, item_classes.Cuts(Fraction(7, 10), Fraction(9, 10)))
    letters = list(classes.values())
    figures.equal("counts", {name: letters.count(name) for name in item_classes.ABC}, "exact")
    figures.leave_out("value_pct", NOT_GIVEN)


def _falling_values(expected: Mapping[str, Any], items: int) -> dict[str, int]:
    """So many values in minor units; in each class they fall by one ratio to the published sum."""
    ratios = {"A": Fraction(95, 100), "B": Fraction(987, 1000), "C": Fraction(990, 1000)}
    values: list[int] = []
    for name in item_classes.ABC:
        count, total = expected["counts"][name], Fraction(expected["value_pct"][name]) * 10**10
        first = total * (1 - ratios[name]) / (1 - ratios[name] ** count)
        values += [int(first * ratios[name] ** place) for place in range(count)]
    assert len(values) == items
    assert values == sorted(values, reverse=True), "the made list does not fall"
    return {f"item {place}": value for place, value in enumerate(values)}
