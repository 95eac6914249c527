"""How much to hold: order-up-to levels by cycle or fill rate, the expiry cap, one-time buys."""

from stockbook.domain.forecasts import Levelled
from stockbook.forecast.distributions import Distribution, Law

EXPIRY_CONFIDENCE = 0.95
"""What is held has to be used before it expires with this chance, down to its last unit."""


def order_up_to(demand: Law, service: float) -> int:
    """The smallest level s with P(D <= s) >= service: cycle service.

    Mean 4, 95 %: 8 (P. Schönsleben, Integral Logistics Management, figure 11.3.3.9, by definition).

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> [order_up_to(distribution_of(poisson(mean)), 0.95) for mean in (4, 9)]
    [8, 14]
    """
    return demand.smallest_reaching(service)


def fill_rate(
    demand: Law, level: int, before: Law | None = None, *, ordered: float | None = None
) -> float:
    """The share of demand served from a level held up to by every review.

    Unserved in a cycle is what lies beyond the level at its end less what lay beyond it at its
    start, the demand of the lead time alone (`before`); without it the whole interval counts
    (E. A. Silver, D. F. Pyke and D. J. Thomas, Inventory and Production Management, 4th ed.,
    section 7.9). Where so many units are `ordered` whenever the position falls to the level, a
    cycle serves that many and `demand` is the lead time's.

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> round(1 - fill_rate(distribution_of(poisson(20)), 25), 11)
    0.01654140593
    """
    wanted = ordered if ordered is not None else demand.mean - (before.mean if before else 0.0)
    if wanted <= 0:
        return 1.0
    unserved = demand.expected_beyond(level) - (before.expected_beyond(level) if before else 0.0)
    return min(1.0, max(0.0, 1 - unserved / wanted))


def fill_rate_level(
    demand: Law, service: float, before: Law | None = None, *, ordered: float | None = None
) -> int:
    """The smallest level that serves so large a share of demand; arguments as in `fill_rate`.

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> fill_rate_level(distribution_of(poisson(20)), 0.98)
    25
    """
    enough = min(service, 1.0) - 1e-12
    low, high = 0, max(1, demand.smallest_reaching(enough))
    while fill_rate(demand, high, before, ordered=ordered) < enough:
        high *= 2
    while low < high:
        middle = (low + high) // 2
        if fill_rate(demand, middle, before, ordered=ordered) >= enough:
            high = middle
        else:
            low = middle + 1
    return low


def expiry_cap(until_expiry: Distribution, confidence: float = EXPIRY_CONFIDENCE) -> int:
    """The largest level s with P(D until expiry >= s) >= confidence.

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> expiry_cap(distribution_of(poisson(20)))
    13
    """
    return until_expiry.largest_needed(confidence)


def level_held(forecast: int, standby: int = 0, cap: int | None = None) -> Levelled:
    """The forecast's level, held down by the expiry cap, never below the standby minimum.

    A standby item is there for the rare case: it is bought although it may expire.

    >>> [level_held(30, 2, cap).level for cap in (None, 40, 20, 1)]
    [30, 30, 20, 2]
    """
    held = forecast if cap is None else min(forecast, cap)
    return Levelled(max(held, standby), forecast, standby, cap)


def newsvendor(
    demand: Law, cost_of_one_too_many: float, cost_of_one_too_few: float
) -> tuple[int, float]:
    """The best one-time quantity and its expected cost: the smallest S with P(D <= S) at least
    p / (p + h) (K. J. Arrow, T. Harris and J. Marschak 1951, Econometrica 19:250-272).

    Poisson 6, h 1, p 4: 8 at 3.570107 (Snyder and Shen, 2nd ed. 2019, example 4.7).

    >>> from stockbook.forecast.pgf import distribution_of, negative_binomial, poisson
    >>> best, cost = newsvendor(distribution_of(poisson(6)), 1, 4)
    >>> best, round(cost, 6)
    (8, 3.570107)
    >>> best, cost = newsvendor(distribution_of(negative_binomial(6, 9)), 1, 4)
    >>> best, round(cost, 9)
    (8, 4.533900653)
    """
    few, many = cost_of_one_too_few, cost_of_one_too_many
    best = demand.smallest_reaching(few / (few + many))
    return best, newsvendor_cost(demand, best, many, few)


def newsvendor_cost(
    demand: Law, quantity: int, cost_of_one_too_many: float, cost_of_one_too_few: float
) -> float:
    """The expected cost of a one-time quantity: h E(S - D)+ + p E(D - S)+.

    The published distribution of 1 to 8 units at h 0.5, p 1 (in millions): 1.225 at 5 and 1.725 at
    3 (Snyder and Shen, 2nd ed. 2019, problem 4.7b).

    >>> from stockbook.forecast.distributions import of_chances
    >>> given = of_chances([0, 0.25, 0.05, 0.1, 0.2, 0.15, 0.1, 0.1, 0.05])
    >>> [round(newsvendor_cost(given, quantity, 0.5, 1), 3) for quantity in (5, 3)]
    [1.225, 1.725]
    """
    return cost_of_one_too_many * demand.expected_left(
        quantity
    ) + cost_of_one_too_few * demand.expected_beyond(quantity)
