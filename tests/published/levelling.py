"""Checks of levels: newsvendor, base stock, cycle service and fill rate, (s,S), (r,Q), the cap."""

from fractions import Fraction
from math import sqrt
from pathlib import Path
from typing import Any

from published.normal import STEPS, Normal, units
from published.tables import Figures
from stockbook.domain.forecasts import PlainDemand
from stockbook.forecast.distributions import Distribution, Law, always, of_chances
from stockbook.forecast.intermittent import demand_in
from stockbook.forecast.levels import (
    expiry_cap,
    fill_rate,
    fill_rate_level,
    newsvendor,
    newsvendor_cost,
    order_up_to,
)
from stockbook.forecast.min_max import Costs, best_min_max, best_reorder_point
from stockbook.forecast.ordering import order_quantity
from stockbook.forecast.pgf import distribution_of, poisson


def law_of(mean: Any) -> Distribution:
    return distribution_of(poisson(float(mean)))


def base_stock(figures: Figures, _: Path) -> None:
    """One period, or a lead time and the review after it."""
    given = dict(figures.row.inputs)
    held, short, mean, sd = (
        given.pop(n) for n in ("holding_cost", "stockout_cost", "demand_mean", "demand_sd")
    )
    periods = 1 + given.pop("lead_time", 0)
    assert not given, f"{figures.row}: also given {given}"
    law = Normal.published(periods * mean, float(sd) * sqrt(periods))
    level, cost = newsvendor(law, float(held), float(short))
    figures.equal("S", units(level))
    figures.equal("cost", units(cost))


def from_prices(figures: Figures, _: Path) -> None:
    """Too many lose what they cost less the salvage, too few what they would have brought."""
    revenue, price, salvage, mean, sd = map(
        float,
        figures.given("revenue", "purchase_cost", "salvage_value", "demand_mean", "demand_sd"),
    )
    law, many, few = Normal.published(mean, sd), price - salvage, revenue - price
    level, cost = newsvendor(law, many, few)
    figures.equal("Q", units(level))
    figures.equal("critical_ratio", law.at_most(level), "0.000001")
    figures.equal("profit", few * mean - float(units(cost)))


def by_chances(figures: Figures, _: Path) -> None:
    held, short, chances = figures.given("holding_cost", "stockout_cost", "pmf")
    law = of_chances([0.0, *(float(chances[str(n + 1)]) for n in range(len(chances)))])
    level, cost = newsvendor(law, held, short)
    figures.equal("S", level, "exact")
    figures.equal("cost", cost)
    figures.equal("cost_at_S3", newsvendor_cost(law, 3, held, short))
    figures.equal("F_S", law.at_most(level), "1e-9")
    figures.equal("F_S_minus_1", law.at_most(level - 1), "1e-9")
    ratio = float(figures.row.expected["critical_ratio"])
    figures.equal("critical_ratio", short / (short + held), "0.00005")
    assert order_up_to(law, ratio) == level


def of_counts(figures: Figures, _: Path) -> None:
    held, short, mean = figures.given("holding_cost", "stockout_cost", "demand_mean")
    level, cost = newsvendor(law_of(mean), held, short)
    figures.equal("S", level, "exact")
    figures.equal("cost", cost)


def minimum_and_maximum(figures: Figures, _: Path) -> None:
    """Reviewed every period, delivered at once."""
    held, short, order, mean = figures.given(
        "holding_cost", "stockout_cost", "fixed_cost", "demand_mean"
    )
    law = law_of(mean)
    best = best_min_max(law, law, Costs(order, held, short))
    figures.equal("s", best.order_at, "exact")
    figures.equal("S", best.up_to, "exact")
    figures.equal("cost", best.cost)


def reorder_point(figures: Figures, _: Path) -> None:
    held, short, order, use, lead = figures.given(
        "holding_cost", "stockout_cost", "fixed_cost", "demand_rate", "lead_time"
    )
    best = best_reorder_point(law_of(use * lead), float(use), Costs(order, held, short))
    figures.equal("r", best.order_at, "exact")
    figures.equal("Q", best.quantity, "exact")
    figures.equal("cost", best.cost)


def both_vary(figures: Figures, _: Path) -> None:
    """Days that vary over a lead time that varies: as exact mixture of lead times of our choice
    with the given mean and deviation, then the textbook's normal curve of the same two figures.
    """
    mean, sd, lead, lead_sd, service, z = figures.given(
        "d", "sd_d", "LT_days", "sd_LT", "service", "z"
    )
    day = PlainDemand("X", mean, sd**2, 1, "")
    either = [demand_in(day, lead - lead_sd), demand_in(day, lead + lead_sd)]
    longest = max(len(one.chances) for one in either)
    chances = [sum(one.chance_of(n) for one in either) for n in range(longest)]
    found = of_chances(chances)
    sigma = sqrt(found.variance)
    figures.equal("sigma_DDLT", sigma, "0.0005")
    normal = Normal.published(found.mean, sigma)
    level = order_up_to(normal, float(service))
    figures.equal("ROP", units(level))
    assert round((level - normal.mean) / normal.sd, 2) in (float(z), float(z) - 0.01)


def cycle_and_fill(figures: Figures, _: Path) -> None:
    mean, sd, weeks, point, quantity = figures.given(
        "weekly_mean", "weekly_sd", "LT_weeks", "ROP", "Q"
    )
    law, level = Normal.published(mean * weeks, sd * sqrt(weeks)), point * STEPS
    figures.equal("SS", units(level - law.mean), "exact")
    figures.equal("sigma_L", units(law.sd))
    figures.equal("CSL", law.at_most(level))
    figures.equal("ESC", units(law.expected_beyond(level)))
    figures.equal("fill_rate", fill_rate(law, level, ordered=STEPS * quantity), "0.000005")


def type_1_and_2(figures: Figures, _: Path) -> None:
    """The same target once for the cycles without a shortage, once for the units served."""
    mean, sd, quantity, target = figures.given("mean_LTD", "sd_LTD", "Q", "target")
    law = Normal.published(mean, sd)
    figures.equal("R_type1", units(order_up_to(law, float(target))), "0.5")
    level = fill_rate_level(law, float(target), ordered=STEPS * quantity)
    figures.equal("R_type2", units(level), "0.5")
    figures.equal("type2_exact", units(level), "0.0005")
    figures.equal("loss_needed", law.expected_beyond(level) / law.sd, "0.000001")


def level_of_counts(figures: Figures, _: Path) -> None:
    """By cycle service, and the chances on both sides of the level."""
    mean, target = figures.given("mean_LTD", "target_CSL")
    law = law_of(mean)
    level = order_up_to(law, float(target))
    figures.equal("R", level, "exact")
    for units_held in (level - 1, level):
        figures.equal(f"P_X_le_{units_held}", law.at_most(units_held))
    if "normal_approx" in figures.row.expected:
        curve: Law = Normal.published(mean, sqrt(mean))
        figures.equal("normal_approx", units(order_up_to(curve, float(target))), "0.0005")


def loss_of_counts(figures: Figures, _: Path) -> None:
    stock, mean = figures.given("x", "mean")
    figures.equal("n", law_of(mean).expected_beyond(stock))
    figures.equal("n_bar", law_of(mean).expected_left(stock))


def capped_by_shelf_life(figures: Figures, _: Path) -> None:
    """An order of the economic quantity that would outlast its expiry; use is taken as certain."""
    wanted, use, months, usable = figures.given(
        "EOQ", "demand_per_year", "usable_shelf_life_months", "on_hand_usable"
    )
    cap = expiry_cap(always(int(Fraction(use * months, 12))))
    figures.equal("order_qty_cap", order_quantity(wanted, usable, cap=cap).units)
