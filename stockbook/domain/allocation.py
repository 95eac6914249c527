"""What is spent in common, shared over what it serves: by activity, and step by step.

Every share is whole minor units and the shares of an amount sum to it (`amounts.spread`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from stockbook.domain.amounts import spread
from stockbook.errors import InputError


@dataclass(frozen=True, slots=True)
class Pool:
    """An activity, what it cost in minor units, and how much of it each thing took."""

    name: str
    cost: int
    drivers: tuple[int, ...]

    @property
    def rate(self) -> Fraction:
        """Minor units for one of the driver, exactly.

        >>> Pool("setups", 20_000_000, (2000, 1500, 1500)).rate
        Fraction(4000, 1)
        """
        return Fraction(self.cost, sum(self.drivers))


def by_activity(pools: Sequence[Pool]) -> tuple[int, ...]:
    """What each thing takes of all pools, in minor units.

    OpenStax, Principles of Accounting, volume 2, section 6.3 (costs in whole dollars):

    >>> by_activity([Pool("setups", 200000, (2000, 1500, 1500)),
    ...              Pool("requisitions", 500000, (5000, 4000, 1000)),
    ...              Pool("inspection", 300000, (10000, 9000, 1000)),
    ...              Pool("parts", 600000, (15000, 3000, 12000)),
    ...              Pool("machine hours", 900000, (80000, 60000, 10000))])
    (1260000, 815000, 425000)
    """
    for pool in pools:
        _check_drivers(pool.name, pool.drivers)
    shares = [spread(pool.cost, pool.drivers) for pool in pools]
    return tuple(sum(column) for column in zip(*shares, strict=True))


def _check_drivers(name: str, drivers: Sequence[int]) -> None:
    if not drivers or min(drivers) < 0 or not sum(drivers):
        raise InputError(
            f"{name}: found {list(drivers)}, wanted amounts of its driver, one above zero."
        )


@dataclass(frozen=True, slots=True)
class Service:
    """A department that serves others: its own cost, and the driver its cost is shared by.

    `drivers` may name whom it serves before it in the order; those take nothing of it.
    """

    name: str
    cost: int
    drivers: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Step:
    """One service shared out: what it had by then, and who took how much of it."""

    name: str
    amount: int
    shares: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class StepDown:
    """All steps in their order, and what the served departments bear in the end."""

    steps: tuple[Step, ...]
    total: Mapping[str, int]


def step_down(services: Sequence[Service], served: Mapping[str, int]) -> StepDown:
    """Services are closed one after the other; a closed one takes nothing more.

    `served` are the departments that bear it all, with their own cost. Garrison and Noreen,
    Managerial Accounting, exercise on the step-down method:

    >>> found = step_down(
    ...     [Service("admin", 200000, {"building": 320, "groceries": 2720, "coffee": 160}),
    ...      Service("building", 60000, {"groceries": 9500, "coffee": 500})],
    ...     {"groceries": 3860000, "coffee": 340000})
    >>> found.steps[1].amount, dict(found.total)
    (80000, {'groceries': 4106000, 'coffee': 354000})
    """
    costs = {one.name: one.cost for one in services} | dict(served)
    steps = []
    for place, service in enumerate(services):
        closed = {one.name for one in services[: place + 1]}
        open_ones = {name: n for name, n in service.drivers.items() if name not in closed}
        _check_served(service.name, open_ones, costs)
        amount = costs.pop(service.name)
        shares = dict(zip(open_ones, spread(amount, list(open_ones.values())), strict=True))
        for name, share in shares.items():
            costs[name] += share
        steps.append(Step(service.name, amount, shares))
    return StepDown(tuple(steps), costs)


def _check_served(name: str, drivers: Mapping[str, int], costs: Mapping[str, int]) -> None:
    unknown = sorted(set(drivers) - set(costs))
    if unknown:
        raise InputError(f"{name}: serves {', '.join(unknown)}, which has no cost of its own here.")
    _check_drivers(name, list(drivers.values()))
