"""Good use of a fixed sum: the steps that gain most for their cost, and how far from the best."""

from collections.abc import Iterator, Sequence
from heapq import heapify, heappop, heappush
from itertools import pairwise
from math import inf

from stockbook.domain.amounts import spread
from stockbook.domain.forecasts import Offer, Spending
from stockbook.forecast.distributions import Distribution


def offer(
    item: str, demand: Distribution, at: int, units: int, pack: int, price: int, *,
    least: int = 0, per_use: float = 1.0,
) -> Offer:  # fmt: skip
    """The steps of an order of so many units: each pack gains the uses it is expected to serve.

    What the pack from s on serves is E(D - s)+ - E(D - s - pack)+ units, which falls with s; a use
    takes `per_use` of them. The first step is the least that is sold. `price` is that of one unit.

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> found = offer("A", distribution_of(poisson(3)), 0, 4, 2, 50)
    >>> [round(gain, 3) for gain in found.gains], found.costs
    ([1.751, 0.93], (100, 100))
    """
    return offer_at(item, demand, at, units, pack, price * units, least=least, per_use=per_use)


def offer_at(
    item: str, demand: Distribution, at: int, units: int, pack: int, cost: int, *,
    least: int = 0, per_use: float = 1.0,
) -> Offer:  # fmt: skip
    """The same where all units together cost `cost`; each step costs its part of it."""
    first = min(max(pack, least), units)
    stops = [at, *range(at + first, at + units, pack), at + units] if units else [at]
    beyond = [demand.expected_beyond(stop) for stop in stops]
    gains = tuple((sooner - later) / per_use for sooner, later in pairwise(beyond))
    costs = spread(cost, [b - a for a, b in pairwise(stops)]) if units else []
    return Offer(item, gains, tuple(costs))


def spend(offers: Sequence[Offer], budget: int) -> Spending:
    """Steps by gain for their cost until the sum is used; a step that does not fit ends its item.

    The bound spends the sum to the last with the part of a step that still fits (G. B. Dantzig
    1957, Oper Res 5:266-277): with gains that fall, no choice is above it.

    >>> found = spend([Offer("A", (5.0, 3.0), (2, 2)), Offer("B", (6.0,), (3,))], 6)
    >>> found.steps, found.gain, found.cost, found.bound
    ({'A': 1, 'B': 1}, 11.0, 5, 12.5)
    """
    steps, gain, cost, bound = {one.item: 0 for one in offers}, 0.0, 0, None
    ended: set[str] = set()
    for item, step_gain, step_cost in _by_worth(offers):
        if item in ended:
            continue
        if cost + step_cost > budget:
            ended.add(item)
            if bound is None:
                bound = gain + step_gain * (budget - cost) / step_cost
            continue
        steps[item] += 1
        gain, cost = gain + step_gain, cost + step_cost
    return Spending(steps, gain, cost, gain if bound is None else bound)


def _by_worth(offers: Sequence[Offer]) -> Iterator[tuple[str, float, int]]:
    """Steps of all items by gain for their cost, those of one item in their order."""
    waiting = [(-_worth(one, 0), n, 0) for n, one in enumerate(offers) if one.gains]
    heapify(waiting)
    while waiting:
        _, n, step = heappop(waiting)
        one = offers[n]
        yield one.item, one.gains[step], one.costs[step]
        if step + 1 < len(one.gains):
            heappush(waiting, (-_worth(one, step + 1), n, step + 1))


def _worth(one: Offer, step: int) -> float:
    return one.gains[step] / one.costs[step] if one.costs[step] else inf
