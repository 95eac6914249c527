"""Checks of order sizes: economic order quantity, backorders, price breaks, deliveries over time,
items ordered together, counts a day."""

from fractions import Fraction
from pathlib import Path
from typing import Any

from published.tables import Figures
from stockbook.domain import item_classes, joint_orders, lot_sizes, order_sizes
from stockbook.domain.order_sizes import PriceBreak


def economic_quantity(figures: Figures, _: Path) -> None:
    """The order of least cost, and its cost."""
    order, holding, use = map(Fraction, figures.given("fixed_cost", "holding_cost", "demand_rate"))
    quantity = order_sizes.economic_order_quantity(
        order_cost=order, holding_cost=holding, use=use
    )  # fmt: skip
    figures.equal("Q", quantity)
    cost = order_sizes.cost_of_ordering(quantity, order_cost=order, holding_cost=holding, use=use)
    figures.equal("cost", cost)


def cost_at_a_quantity(figures: Figures, _: Path) -> None:
    """What another quantity than the best costs."""
    order, holding, use, quantity = map(
        Fraction, figures.given("fixed_cost", "holding_cost", "demand_rate", "Q")
    )
    figures.equal(
        "cost",
        order_sizes.cost_of_ordering(quantity, order_cost=order, holding_cost=holding, use=use),
    )


def with_backorders(figures: Figures, _: Path) -> None:
    """Where what is short is supplied later at a cost."""
    order, holding, short, use = map(
        Fraction, figures.given("fixed_cost", "holding_cost", "stockout_cost", "demand_rate")
    )
    best = order_sizes.order_with_backorders(
        order_cost=order, holding_cost=holding, backorder_cost=short, use=use
    )
    figures.equal("Q", best.quantity)
    figures.equal("stockout_fraction", best.share_short)
    figures.equal("cost", best.cost)


def price_breaks(figures: Figures, _: Path) -> None:
    """All units at the price of their quantity."""
    order, rate, use, starts, prices = figures.given(
        "fixed_cost", "holding_cost_rate", "demand_rate", "breakpoints", "unit_costs"
    )
    breaks = [PriceBreak(q, Fraction(price)) for q, price in zip(starts, prices, strict=True)]
    for whole in (True, False):
        best = order_sizes.best_priced_order(
            breaks, order_cost=order, holding_rate=Fraction(rate), use=use, whole=whole
        )
        figures.equal("Q", best.quantity, "0")
        figures.equal("price_index", best.price_index, "exact")
        figures.equal("total_cost_incl_purchase", best.cost)


def use_by_the_month(figures: Figures, _: Path) -> None:
    """Use by the month, holding by the year: the year's use is what counts.

    The published cost takes the whole quantity and the orders a year to two places.
    """
    monthly, order, price, rate = figures.given(
        "monthly_demand", "fixed_cost", "unit_cost", "holding_rate_per_year"
    )
    use, holding = 12 * monthly, Fraction(rate) * price
    figures.equal("annual_demand", use, "exact")
    costs = {"order_cost": order, "holding_cost": holding, "use": use}
    quantity = order_sizes.economic_order_quantity(**costs)
    figures.equal("Q_published", order_sizes.whole_order_quantity(**costs), "exact")
    orders = round(Fraction(use, round(quantity)), 2)
    figures.equal("orders_per_year", orders, "0")
    rounded = order * orders + holding * round(quantity) / 2
    figures.equal("cost_published_rounded", rounded, "0")
    figures.equal("cost_exact", round(order_sizes.cost_of_ordering(quantity, **costs), 2), "0")
    figures.equal("cost_at_Q200", order_sizes.cost_of_ordering(200, **costs), "0")


BOTH_BEST = "either (10,0,0,0) or (5,0,5,0)"


def deliveries_over_time(figures: Figures, _: Path) -> None:
    """The exact optimum, with one price or a price a period."""
    costs, needed, price = _deliveries(figures.row.inputs), figures.row.inputs["demand"], None
    *_, price = figures.given("fixed_cost", "holding_cost", "demand", "purchase_cost")
    prices = price if isinstance(price, list) else [price] * len(needed)
    best = lot_sizes.best_deliveries(needed, **costs, prices=prices)
    figures.equal("cost", best.cost)
    assert lot_sizes.cost_of_deliveries(best.quantities, needed, **costs, prices=prices) == (
        best.cost
    )
    if figures.row.expected["Q"] == BOTH_BEST:
        assert best.quantities in ((10, 0, 0, 0), (5, 0, 5, 0))
        figures.leave_out("Q", "two answers cost the same; ours was found to be one of them")
        return
    figures.equal("Q", list(best.quantities))


def rule_of_thumb(figures: Figures, _: Path) -> None:
    """The textbook's mean costs a period; its deliveries, which here cost as little as the best."""
    costs = _deliveries(figures.row.inputs)
    *_, needed = figures.given("fixed_cost", "holding_cost", "demand")
    best = lot_sizes.best_deliveries(needed, **costs)
    for first in (1, 3):
        figures.equal(f"C_from_{first}", _means(needed[first - 1 :][:3], costs))
    figures.equal("WW_optimum", best.cost, "exact")
    ruled = figures.row.expected["Q"]
    figures.equal("cost", lot_sizes.cost_of_deliveries(ruled, needed, **costs), "exact")
    figures.leave_out("Q", "the rule of thumb is not offered; ours costs the same, a delivery less")
    assert sum(map(bool, best.quantities)) == sum(map(bool, ruled)) - 1


def _means(needed: list[int], costs: dict[str, Fraction]) -> list[Fraction]:
    """The cost a period of one delivery that lasts for one of them, two, three."""
    found = []
    for last in range(1, len(needed) + 1):
        once = [sum(needed[:last]), *[0] * (last - 1)]
        found.append(lot_sizes.cost_of_deliveries(once, needed[:last], **costs) / last)
    return found


def rule_of_thumb_that_fails(figures: Figures, _: Path) -> None:
    """What the textbook's rule orders over days without a list costs more than the best."""
    costs = _deliveries(figures.row.inputs)
    *_, needed = figures.given("fixed_cost", "holding_cost", "demand")
    ruled = figures.row.expected["silver_meal_textbook"]["Q"]
    cost = lot_sizes.cost_of_deliveries(ruled, needed, **costs)
    figures.equal("silver_meal_textbook", {"Q": ruled, "cost": cost})
    best = lot_sizes.best_deliveries(needed, **costs)
    figures.equal("optimum", {"Q": list(best.quantities), "cost": best.cost})


def _deliveries(inputs: dict[str, Any]) -> dict[str, Fraction]:
    order, holding = Fraction(inputs["fixed_cost"]), Fraction(inputs["holding_cost"])
    return {"order_cost": order, "holding_cost": holding}


def ordered_together(figures: Figures, _: Path) -> None:
    shared, own, holding, use = figures.given(
        "shared_fixed_cost", "individual_fixed_costs", "holding_costs", "demand_rates"
    )
    rows = zip(own, holding, use, strict=True)
    items = [joint_orders.JointItem(*map(Fraction, row)) for row in rows]
    found = joint_orders.joint_orders(items, shared_cost=Fraction(shared))
    figures.equal("multiples", list(found.multiples), "exact")
    figures.equal("base_cycle", found.cycle, "1e-6")
    figures.equal("cost", found.cost)


def counted_a_day(figures: Figures, _: Path) -> None:
    items, days = figures.given("items", "cycle_days")
    found = item_classes.counts_a_day(items, days)
    figures.equal("per_day", found)
    figures.equal("total", sum(round(number) for number in found.values()), "exact")
    figures.equal("total_exact", sum(found.values()), "0.00005")
