"""Checks of one-time quantities, levels and caps, through the functions that orders use."""

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from statistics import NormalDist

from published.tables import Figures
from stockbook.domain.forecasts import OrderRule
from stockbook.forecast.distributions import of_chances
from stockbook.forecast.levels import newsvendor, newsvendor_cost, order_up_to
from stockbook.forecast.ordering import order_quantity
from stockbook.forecast.pgf import distribution_of, poisson

APPROXIMATED = "a normal curve is no distribution of whole units; it is shown for comparison"


@dataclass(frozen=True)
class Normal:
    """A normal demand asked the same questions as a distribution of whole units."""

    mean: float
    sd: float

    def smallest_reaching(self, level: float) -> float:
        return NormalDist(self.mean, self.sd).inv_cdf(level)

    def expected_beyond(self, stock: float) -> float:
        z = (stock - self.mean) / self.sd
        unit = NormalDist()
        return self.sd * (unit.pdf(z) - z * (1 - unit.cdf(z)))

    def expected_left(self, stock: float) -> float:
        return stock - self.mean + self.expected_beyond(stock)


def normal(figures: Figures, _: Path) -> None:
    """The best one-time quantity; with a lead time the level of lead time and review together."""
    names = ["holding_cost", "stockout_cost", "demand_mean", "demand_sd"]
    names += [name for name in ("lead_time",) if name in figures.row.inputs]
    many, few, mean, sd, *lead = map(float, figures.given(*names))
    periods = 1 + sum(lead)
    law = Normal(mean * periods, sd * periods**0.5)
    best, cost = newsvendor(law, many, few)  # type: ignore[arg-type]
    figures.equal("S", best)
    figures.equal("cost", cost)


def priced(figures: Figures, _: Path) -> None:
    """From price, cost and salvage value: one too few costs the margin, one too many the rest."""
    price, cost, salvage, mean, sd = map(
        float,
        figures.given("revenue", "purchase_cost", "salvage_value", "demand_mean", "demand_sd"),
    )
    few, many = price - cost, cost - salvage
    law = Normal(mean, sd)
    best, expected = newsvendor(law, many, few)  # type: ignore[arg-type]
    figures.equal("critical_ratio", few / (few + many))
    figures.equal("Q", best)
    figures.equal("profit", few * mean - expected)


def discrete(figures: Figures, _: Path) -> None:
    """A published distribution of whole units."""
    many, few, pmf = figures.given("holding_cost", "stockout_cost", "pmf")
    law = of_chances([float(pmf.get(str(n), 0)) for n in range(9)])
    best, cost = newsvendor(law, float(many), float(few))
    figures.equal("critical_ratio", float(few) / (float(few) + float(many)))
    figures.equal("S", best)
    figures.equal("F_S", law.at_most(best))
    figures.equal("F_S_minus_1", law.at_most(best - 1))
    figures.equal("cost", cost)
    figures.equal("cost_at_S3", newsvendor_cost(law, 3, float(many), float(few)))


def poisson_newsvendor(figures: Figures, _: Path) -> None:
    many, few, mean = map(float, figures.given("holding_cost", "stockout_cost", "demand_mean"))
    best, cost = newsvendor(distribution_of(poisson(mean)), many, few)
    figures.equal("S", best)
    figures.equal("cost", cost)


def reorder_point(figures: Figures, _: Path) -> None:
    """The smallest whole level that is enough with the chance wanted."""
    mean, service = map(float, figures.given("mean_LTD", "target_CSL"))
    law = distribution_of(poisson(mean))
    level = order_up_to(law, service)
    figures.equal("R", level)
    figures.equal(f"P_X_le_{level - 1}", law.at_most(level - 1))
    figures.equal(f"P_X_le_{level}", law.at_most(level))
    if "normal_approx" in figures.row.expected:
        figures.leave_out("normal_approx", APPROXIMATED)


def poisson_loss(figures: Figures, _: Path) -> None:
    units, mean = figures.given("x", "mean")
    law = distribution_of(poisson(float(mean)))
    figures.equal("n", law.expected_beyond(units))
    figures.equal("n_bar", law.expected_left(units))


def shelf_life_cap(figures: Figures, _: Path) -> None:
    """What a usable life uses is the most that is ordered, whatever is best otherwise."""
    quantity, use, months, there = figures.given(
        "EOQ", "demand_per_year", "usable_shelf_life_months", "on_hand_usable"
    )
    cap = int(Fraction(use) * months / 12)
    figures.equal("order_qty_cap", order_quantity(quantity, there, OrderRule(), cap).units)
