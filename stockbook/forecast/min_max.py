"""The best minimum and maximum, and the best reorder point, when an order itself costs something.

Money is in one unit throughout; the cost of holding and of being short is of one unit for the time
that `period` or `use` is for. What is short is supplied later. Exact for counts: no normal curve.
"""

from dataclasses import dataclass
from heapq import heappop, heappush

from stockbook.forecast.distributions import Distribution, Law
from stockbook.forecast.levels import newsvendor, newsvendor_cost


@dataclass(frozen=True, slots=True)
class Costs:
    """What an order costs, and a unit held or short for the time; none is less than nothing."""

    order: float
    held: float
    short: float

    def __post_init__(self) -> None:
        """Holding and being short cost something, or no level would be the best."""
        if self.order < 0 or self.held <= 0 or self.short <= 0:
            raise ValueError(f"costs: found {self}, wanted order 0 or more, the others above 0")

    def of_level(self, demand: Law, level: int) -> float:
        """What is expected to be held and short at a level, in money."""
        return newsvendor_cost(demand, level, self.held, self.short)


@dataclass(frozen=True, slots=True)
class MinMax:
    """Order when the position is `order_at` or less, up to `up_to`; its cost in a period."""

    order_at: int
    up_to: int
    cost: float


@dataclass(frozen=True, slots=True)
class ReorderPoint:
    """Order `quantity` when the position falls to `order_at`; its cost in the time of the use."""

    order_at: int
    quantity: int
    cost: float


def best_min_max(period: Distribution, covered: Distribution, costs: Costs) -> MinMax:
    """The minimum and maximum of least cost, reviewed every period (Y.-S. Zheng and A. Federgruen
    1991, Oper Res 39:654-665).

    `period` is the demand between two reviews, `covered` that of review period and lead time (the
    same where deliveries come at once).

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> week = distribution_of(poisson(6))
    >>> best = best_min_max(week, week, Costs(order=5, held=1, short=4))
    >>> best.order_at, best.up_to, round(best.cost, 4)
    (4, 10, 8.0341)
    """
    work = _Reviews(period, covered, costs)
    order_at = up_to = newsvendor(covered, costs.held, costs.short)[0]
    order_at -= 1
    while work.cost(order_at, up_to) > work.level_cost(order_at):
        order_at -= 1
    least, tried = work.cost(order_at, up_to), up_to + 1
    while work.level_cost(tried) <= least:
        if work.cost(order_at, tried) < least:
            up_to = tried
            while work.cost(order_at, up_to) <= work.level_cost(order_at + 1):
                order_at += 1
            least = work.cost(order_at, up_to)
        tried += 1
    return MinMax(order_at, up_to, least)


class _Reviews:
    """The cost of any pair, from the expected visits to each position between two orders."""

    def __init__(self, period: Distribution, covered: Distribution, costs: Costs) -> None:
        self._chances: list[float] = period.chances.tolist()
        if period.chance_of(0) > 1 - 1e-12:
            raise ValueError("a period without any demand never comes to an order")
        self._covered, self._costs = covered, costs
        self._visits: list[float] = []
        self._levels: dict[int, float] = {}

    def level_cost(self, level: int) -> float:
        """A period's cost when the position is at a level after the review."""
        if level not in self._levels:
            self._levels[level] = self._costs.of_level(self._covered, level)
        return self._levels[level]

    def cost(self, order_at: int, up_to: int) -> float:
        """The mean cost of a period when ordering at one level up to the other."""
        visits = [self._visited(below) for below in range(up_to - order_at)]
        spent = sum(v * self.level_cost(up_to - n) for n, v in enumerate(visits))
        return (self._costs.order + spent) / sum(visits)

    def _visited(self, below: int) -> float:
        """How many periods begin so many units below the maximum, between two orders."""
        stay = 1 - self._chances[0]
        while len(self._visits) <= below:
            n = len(self._visits)
            reach = range(1, min(n, len(self._chances) - 1) + 1)
            came = sum(self._chances[step] * self._visits[n - step] for step in reach)
            self._visits.append((came + (n == 0)) / stay)
        return self._visits[below]


def best_reorder_point(lead: Law, use: float, costs: Costs) -> ReorderPoint:
    """The reorder point and quantity of least cost under continuous review (A. Federgruen and
    Y.-S. Zheng 1992, Oper Res 40:808-813): levels are taken in, the cheapest next one each time,
    while they make the mean cheaper.

    `lead` is the demand of the lead time, unit by unit; `use` the mean demand of the time that the
    costs are for.

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> best = best_reorder_point(
    ...     distribution_of(poisson(3)), 1.5, Costs(order=100, held=20, short=150))
    >>> best.order_at, best.quantity, round(best.cost, 6)
    (3, 5, 107.923581)
    """
    low = newsvendor(lead, costs.held, costs.short)[0]
    high, whole, mean = low, costs.order * use, float("inf")
    edge = [(costs.of_level(lead, low), low)]
    while edge and edge[0][0] < mean:
        cost, level = heappop(edge)
        low, high, whole = min(low, level), max(high, level), whole + cost
        mean = whole / (high - low + 1)
        edge = []
        for one in (low - 1, high + 1):
            heappush(edge, (costs.of_level(lead, one), one))
    return ReorderPoint(low - 1, high - low + 1, mean)
