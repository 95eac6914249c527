"""Checks of order sizes: the economic order quantity, backorders, price breaks, the units trap."""

from fractions import Fraction
from pathlib import Path

from published.tables import Figures
from stockbook.domain import order_sizes
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
