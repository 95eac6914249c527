"""When to have how much delivered of what is known to be needed, period by period: call-offs.

A delivery costs something, and so does each unit that waits to the end of a period. All exact.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stockbook.domain.handbook import Exact
from stockbook.errors import InputError


@dataclass(frozen=True, slots=True)
class Deliveries:
    """What is delivered at the start of each period, and what that costs in all."""

    quantities: tuple[Exact, ...]
    cost: Fraction


def cost_of_deliveries(
    quantities: Sequence[Exact], needed: Sequence[Exact], *, order_cost: Exact,
    holding_cost: Exact, prices: Sequence[Exact] = (),
) -> Fraction:  # fmt: skip
    """Deliveries, units kept over each period's end, and the goods at each period's price.

    Nahmias, Production and Operations Analysis, the example of the Silver-Meal rule:

    >>> found = cost_of_deliveries(
    ...     [48, 0, 47, 0, 20], [18, 30, 42, 5, 20], order_cost=80, holding_cost=2)
    >>> int(found)
    310
    """
    left, cost = Fraction(0), Fraction(0)
    for period, (quantity, need) in enumerate(zip(quantities, needed, strict=True)):
        left += quantity - need
        if left < 0 or quantity < 0:
            raise InputError(f"deliveries: period {period + 1} lacks {-left} units.")
        cost += holding_cost * left + (prices[period] * quantity if prices else 0)
        cost += order_cost if quantity else 0
    return cost


def best_deliveries(
    needed: Sequence[Exact], *, order_cost: Exact, holding_cost: Exact,
    prices: Sequence[Exact] = (),
) -> Deliveries:  # fmt: skip
    """The deliveries that cost least, of equal ones the fewest (H. M. Wagner and T. M. Whitin
    1958, Manage Sci 5:89-96): each lasts for whole periods.

    Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., Example 3.9:

    >>> best = best_deliveries([90, 120, 80, 70], order_cost=500, holding_cost=2)
    >>> best.quantities, int(best.cost)
    ((210, 0, 150, 0), 1380)
    """
    for name, figures in (("needed", needed), ("costs", [order_cost, holding_cost, *prices])):
        if any(figure < 0 for figure in figures):
            raise InputError(f"{name}: found {list(figures)}, wanted nothing below 0.")
    if prices and len(prices) != len(needed):
        raise InputError(f"prices: found {len(prices)} for {len(needed)} periods.")
    best: list[tuple[Fraction, int, int]] = [(Fraction(0), 0, 0)]
    for end in range(1, len(needed) + 1):
        reached = []
        for start in range(end):
            cost = _one_delivery(needed, start, end, (order_cost, holding_cost), prices)
            before, number, _ = best[start]
            reached.append((before + cost, number + any(needed[start:end]), start))
        best.append(min(reached))
    return Deliveries(_quantities(needed, [start for *_, start in best]), best[-1][0])


def _one_delivery(
    needed: Sequence[Exact], start: int, end: int, costs: tuple[Exact, Exact],
    prices: Sequence[Exact],
) -> Fraction:  # fmt: skip
    """What one delivery costs that lasts from one period up to, and without, another."""
    quantity = sum(needed[start:end])
    if not quantity:
        return Fraction(0)
    kept = sum(need * waits for waits, need in enumerate(needed[start:end]))
    return Fraction(costs[0] + costs[1] * kept + (prices[start] * quantity if prices else 0))


def _quantities(needed: Sequence[Exact], starts: Sequence[int]) -> tuple[Exact, ...]:
    """What each period brings, walked back from the last one."""
    found: list[Exact] = [0] * len(needed)
    end = len(needed)
    while end:
        start = starts[end]
        found[start] = sum(needed[start:end])
        end = start
    return tuple(found)
