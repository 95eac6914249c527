"""What is run for each topic of `forecast.csv`: the forecast's own functions."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from published.tables import Check, Figures
from stockbook.forecast.coming import Coming, protection
from stockbook.forecast.demand import Line, item_demand
from stockbook.forecast.distributions import Distribution, beta_binomial
from stockbook.forecast.estimates import quoted_and_rounded
from stockbook.forecast.intermittent import croston, exponential_smoothing, sba
from stockbook.forecast.levels import newsvendor, order_up_to
from stockbook.forecast.pgf import (
    compound,
    conditional,
    distribution_of,
    from_chances,
    negative_binomial,
    poisson,
    product,
    repeated,
)
from stockbook.forecast.shapes import normal_shape
from stockbook.forecast.waste import expected_waste

LAWS: dict[str, Callable[..., Any]] = {"poisson": poisson, "negative_binomial": negative_binomial}
EXACT = "1e-9"
"""For a mean or a variance that is printed shorter than it is known."""


def law(given: dict[str, list[Any]]) -> Distribution:
    """A law by its name and numbers."""
    ((name, numbers),) = given.items()
    return distribution_of(LAWS[name](*map(float, numbers)))


def more_than(figures: Figures, folder: Path) -> None:
    given, units = figures.given("law", "units")
    figures.equal("chance", law(given).more_than(units))


def cases_of_different_rates(figures: Figures, folder: Path) -> None:
    """By generating functions, and once more by the engine from three case types."""
    cases, units = figures.given("cases", "units")
    parts = [repeated(conditional(float(rate)), n) for n, rate in cases]
    figures.equal("at_most", distribution_of(product(parts)).at_most(units))
    coming = Coming(np.array([[n for n, _ in cases]]), np.zeros((1, 1)), np.full((1, 3), 1 / 3))
    uses = {kind: (Line(1, float(rate)),) for kind, (_, rate) in enumerate(cases)}
    figures.equal("at_most", item_demand(coming, uses, {1: 1.0}).total.at_most(units))


def compound_poisson(figures: Figures, folder: Path) -> None:
    mean, sizes, units = figures.given("mean", "sizes", "units")
    size = from_chances([0.0, *map(float, sizes.values())])
    assert list(sizes) == ["1", "2", "3"]
    found = distribution_of(compound(poisson(mean), size))
    figures.equal("mean", found.mean, EXACT)
    figures.equal("variance", found.variance, EXACT)
    figures.equal("at_most", found.at_most(units))


def random_lead_time(figures: Figures, folder: Path) -> None:
    """Cases that are not yet scheduled, one unit each, over review period and lead time."""
    a_day, review, normal, cut, levels = figures.given(
        "a_day", "review_days", "lead_normal", "cut_to", "levels"
    )
    interval = protection(review, quoted_and_rounded(*normal, *cut))
    days = max(interval)
    coming = Coming(np.zeros((days, 1)), np.full((days, 1), float(a_day)), np.eye(1))
    found = item_demand(coming, {0: (Line(),)}, interval).total
    figures.equal("mean", found.mean)
    figures.equal("variance", found.variance)
    figures.equal("S", [order_up_to(found, float(level)) for level in levels])


def one_time_buy(figures: Figures, folder: Path) -> None:
    given, h, p = figures.given("law", "h", "p")
    best, cost = newsvendor(law(given), h, p)
    figures.equal("S", best)
    figures.equal("cost", cost)


def beyond_a_stock(figures: Figures, folder: Path) -> None:
    given, stock = figures.given("law", "stock")
    figures.equal("beyond", law(given).expected_beyond(stock))


def rate_of_a_few_cases(figures: Figures, folder: Path) -> None:
    cases, a, b, units = figures.given("cases", "a", "b", "units")
    figures.equal("at_most", beta_binomial(cases, float(a), float(b)).at_most(units))


def waste_of_lots(figures: Figures, folder: Path) -> None:
    lots, means = figures.given("lots", "poisson_between")
    figures.equal("waste", expected_waste(lots, [distribution_of(poisson(m)) for m in means]))


def share_of_a_power(figures: Figures, folder: Path) -> None:
    (low, high, step), half, (mean, sd), power = figures.given("powers", "half", "normal", "power")
    powers = np.arange(low, high + float(step), float(step)).tolist()
    assert powers[-1] == high
    shares = normal_shape(powers, mean, sd, float(half))
    figures.equal("share", shares[powers.index(float(power))])


def irregular_use(figures: Figures, folder: Path) -> None:
    series, weight = figures.given("series", "weight")
    figures.equal("croston", croston(series, float(weight)))
    figures.equal("sba", sba(series, float(weight)))
    figures.equal("ses", exponential_smoothing(series, float(weight)))


def behind_a_shortage(figures: Figures, folder: Path) -> None:
    given, units = figures.given("law", "at_least")
    figures.equal("mean", law(given).mean_given_at_least(units))


FORECAST: dict[str, Check] = {
    "chance of more than": more_than,
    "cases with different rates": cases_of_different_rates,
    "compound Poisson": compound_poisson,
    "demand over review period and random lead time": random_lead_time,
    "newsvendor of counts": one_time_buy,
    "expected units beyond a stock": beyond_a_stock,
    "beta-binomial": rate_of_a_few_cases,
    "waste of lots on hand": waste_of_lots,
    "shares of lens powers": share_of_a_power,
    "irregular use": irregular_use,
    "demand behind a shortage": behind_a_shortage,
}
