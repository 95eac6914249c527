"""From estimates to the outlook of one item: how much, until when, how likely too little."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.foresight import LotAhead
from stockbook.forecast.coming import Coming
from stockbook.forecast.demand import Amounts, Demand, Lines, item_demand
from stockbook.forecast.distributions import Array, Distribution, always
from stockbook.forecast.estimates import KIT_WEIGHT
from stockbook.forecast.waste import expected_waste

SERVICE_LEVELS = (0.90, 0.95, 0.98, 0.99)
LEAST_CHANCE = 1e-4


@dataclass(frozen=True, slots=True)
class Ahead:
    """An item's demand over its interval, the day it runs out on and what its lots leave."""

    demand: Demand
    last_day: int | None
    left: float | None


NO_DEMAND = Ahead(Demand(always(0), 0.0, 0.0), None, None)
"""What faces an item of which nobody expects any use."""


def amounts_of(stated: Sequence[tuple[int, float]], seen: Mapping[int, int], cases: int) -> Lines:
    """What a kind of case takes of an item: the kit's lines are worth 20 cases beside those seen.

    `stated` are amounts with their chances by the kit, `seen` how many cases took how much.

    A kit of one, and ten cases of which two took two:

    >>> [part.chances for part in amounts_of([(1, 1.0)], {1: 8, 2: 2}, 10)]
    [((1, 0.9333333333333333), (2, 0.06666666666666667))]
    """
    before = dict(stated)
    whole = KIT_WEIGHT + cases
    chances = tuple(
        (amount, (KIT_WEIGHT * before.get(amount, 0.0) + seen.get(amount, 0)) / whole)
        for amount in sorted({*before, *seen})
        if amount > 0
    )
    return (Amounts(chances),) if chances else ()


def amount_of_a_use(uses: Mapping[int, Lines]) -> float:
    """What a case takes on average when it takes any; one where nothing is known.

    >>> amount_of_a_use({0: (Amounts(((2, 0.5), (4, 0.5))),), 1: (Amounts(((3, 0.5),)),)})
    3.0
    """
    parts = [
        pair for lines in uses.values() for line in lines if isinstance(line, Amounts)
        for pair in line.chances
    ]  # fmt: skip
    whole = sum(chance for _, chance in parts)
    return sum(amount * chance for amount, chance in parts) / whole if whole else 1.0


def ahead_of(
    coming: Coming, uses: Mapping[int, Lines], demand: Demand, usable: int,
    lots: Sequence[LotAhead],
) -> Ahead:  # fmt: skip
    """What an item faces beside its demand: `coming` has to reach as far as the last lot."""
    return Ahead(
        demand, runs_out_on(daily_means(coming, uses), usable),
        left_at_expiry(coming, uses, lots),
    )  # fmt: skip


def daily_means(coming: Coming, uses: Mapping[int, Lines]) -> list[float]:
    """The expected use of each day."""
    import numpy as np

    each = np.zeros(coming.scheduled.shape[1])
    for number, lines in uses.items():
        each[number] = sum(line.mean for line in lines)
    listed = coming.scheduled @ each * (1 - coming.not_happening)
    found: list[float] = (listed + coming.not_yet @ (coming.mix @ each)).tolist()
    return found


def weekday_shares(counts: Sequence[int]) -> list[float]:
    """The share of each day of the week; five days alike where nothing was counted.

    >>> weekday_shares([1, 0, 3, 0, 0, 0, 0])[:3], weekday_shares([0] * 7)
    ([0.25, 0.0, 0.75], [0.2, 0.2, 0.2, 0.2, 0.2, 0.0, 0.0])
    """
    whole = sum(counts)
    return [count / whole for count in counts] if whole else [0.2] * 5 + [0.0] * 2


def one_in(chance: float) -> int | None:
    """One chance in so many; none where it is less than one in 10,000.

    >>> one_in(0.02), one_in(0.00001)
    (50, None)
    """
    return None if chance < LEAST_CHANCE else max(1, round(1 / chance))


def runs_out_on(means: Sequence[float], usable: int) -> int | None:
    """The number of the first day on which the expected use has taken all; none in the time.

    >>> runs_out_on([1, 1, 1], 2), runs_out_on([1, 1, 1], 3), runs_out_on([1.0], 0)
    (2, None, 0)
    """
    used = 0.0
    for number, mean in enumerate(means):
        used += mean
        if used > usable + 1e-9:
            return number
    return None


def left_at_expiry(
    coming: Coming, uses: Mapping[int, Lines], lots: Sequence[LotAhead]
) -> float | None:
    """Units expected to be left over of lots that expire in the time, the soonest used first."""
    ending = [lot for lot in lots if lot.days_left < coming.days()]
    return sum(left_by_lot(coming, uses, ending)) if ending else None


def left_by_lot(coming: Coming, uses: Mapping[int, Lines], lots: Sequence[LotAhead]) -> list[float]:
    """Units expected to be left of each of these lots, in the order of their expiry."""

    def demand(first: int, last: int) -> Distribution:
        return demand_between(coming, uses, first, last)

    return left_in_turn(sorted(lots, key=_days_left), demand)


def left_in_turn(
    lots: Sequence[LotAhead], demand: Callable[[int, int], Distribution]
) -> list[float]:
    """The same where `demand` tells what is used from one day up to, and without, another."""
    between, start = [], 0
    for lot in lots:
        between.append(demand(start, lot.days_left + 1))
        start = max(start, lot.days_left + 1)
    return expected_waste([lot.quantity for lot in lots], between) if lots else []


def whole_units(units: float) -> int:
    """The nearest whole number of units.

    >>> whole_units(2.7)
    3
    """
    return round(units)


def _days_left(lot: LotAhead) -> int:
    return lot.days_left


def demand_between(
    coming: Coming, uses: Mapping[int, Lines], first: int, last: int
) -> Distribution:
    """The demand of the days from one number up to, and without, another."""
    if last <= first:
        return always(0)
    part = Coming(
        coming.scheduled[first:last], coming.not_yet[first:last], coming.mix,
        coming.not_happening, coming.variation,
    )  # fmt: skip
    return item_demand(part, uses, {last - first: 1.0}).total


def coming_of(
    scheduled: Sequence[Sequence[float]], not_yet: Sequence[Sequence[float]],
    mix: Sequence[Sequence[float]], not_happening: float, variation: float,
) -> Coming:  # fmt: skip
    """Plain rows of numbers as what is coming."""

    def rows(values: Sequence[Sequence[float]]) -> Array:
        import numpy as np

        return np.array(values, dtype=float)

    return Coming(rows(scheduled), rows(not_yet), rows(mix), not_happening, variation)
