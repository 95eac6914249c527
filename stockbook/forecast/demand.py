"""The demand of an item over a random interval, from the cases of the lists; exact.

How it is worked out stands in `side_by_side`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import comb

from stockbook.domain.forecasts import NoBasis
from stockbook.forecast.coming import Coming, Days, Horizons, horizons, lengthened
from stockbook.forecast.distributions import Distribution
from stockbook.forecast.side_by_side import SideBySide, Taken, in_ways

NEIGHBOURS = 4
"""So many horizons share a window: it grows a little, and there are fewer of them."""


@dataclass(frozen=True, slots=True)
class Line:
    """What a case takes of an item: a quantity, the chance that it does, and of spoiling a unit."""

    quantity: int = 1
    chance: float = 1.0
    spoiled: float = 0.0

    @property
    def mean(self) -> float:
        """Units a case, spoiled ones included.

        >>> Line(2, 0.5, 0.01).mean
        1.01
        """
        return self.quantity * self.chance * (1 + self.spoiled)

    @property
    def chances(self) -> tuple[tuple[int, float], ...]:
        """Amounts above nothing, each with its chance: any number of the units may be spoiled.

        >>> Line(1, 0.5, 0.1).chances
        ((1, 0.45), (2, 0.05))
        """
        if not self.spoiled:
            return ((self.quantity, self.chance),)
        return tuple(
            (self.quantity + more, self.chance * self._spoiled(more))
            for more in range(self.quantity + 1)
        )

    def _spoiled(self, units: int) -> float:
        kept = (1 - self.spoiled) ** (self.quantity - units)
        return float(comb(self.quantity, units)) * self.spoiled**units * kept


@dataclass(frozen=True, slots=True)
class Amounts:
    """What a case was seen to take: amounts above nothing, each with its chance."""

    chances: tuple[tuple[int, float], ...]

    @property
    def mean(self) -> float:
        """Units a case.

        >>> Amounts(((1, 0.5), (2, 0.25))).mean
        1.0
        """
        return sum(quantity * chance for quantity, chance in self.chances)


Lines = tuple[Line | Amounts, ...]
"""All that one case takes of one item."""


@dataclass(frozen=True, eq=False, slots=True)
class Demand:
    """An item's demand over its interval, and which part of the mean is on the lists already."""

    total: Distribution
    scheduled_mean: float
    not_yet_mean: float


def item_demand(coming: Coming, uses: Mapping[int, Lines], interval: Days) -> Demand:
    """The demand of an item that case types (by their number) use, over a random interval.

    Scheduled cases are whole numbers; a fraction of a case has no generating function.

    Ten cases that use one each, one in ten of them cancelled: nine expected.

    >>> import numpy as np
    >>> coming = Coming(np.full((1, 1), 10), np.zeros((1, 1)), np.ones((1, 1)), not_happening=0.1)
    >>> found = item_demand(coming, {0: (Line(),)}, {1: 1.0})
    >>> round(found.total.mean, 9), round(found.total.chance_of(10), 9) == round(0.9**10, 9)
    (9.0, True)
    """
    return demand_over(coming, uses, horizons(coming, interval))


def demand_with_basis(
    what: str, coming: Coming, uses: Mapping[int, Lines], interval: Days
) -> Demand | NoBasis:
    """`item_demand` where there is something to reckon from: a kit line, and cases to come.

    >>> import numpy as np
    >>> none = Coming(np.zeros((9, 1)), np.zeros((9, 1)), np.ones((1, 1)))
    >>> demand_with_basis("HOOK", none, {}, {9: 1.0})
    NoBasis(what='HOOK', why='no line of a kit names it')
    >>> demand_with_basis("HOOK", none, {0: (Line(),)}, {9: 1.0})
    NoBasis(what='HOOK', why='no case is scheduled or expected in 9 days')
    """
    if not any(uses.values()):
        return NoBasis(what, "no line of a kit names it")
    over = horizons(coming, interval)
    if not over.scheduled[-1].any() and not over.not_yet[-1].any():
        return NoBasis(what, f"no case is scheduled or expected in {max(interval)} days")
    return demand_over(coming, uses, over)


def demand_over(coming: Coming, uses: Mapping[int, Lines], over: Horizons) -> Demand:
    """`item_demand` for horizons that are worked out once for all items of a supplier."""
    (found,) = demands_over(coming, [uses], [over])
    return found


def demands_over(
    coming: Coming, uses: Sequence[Mapping[int, Lines]], over: Sequence[Horizons]
) -> list[Demand]:
    """`demand_over` of many items at once, each with its horizons: it takes a fraction of the time.

    Horizons of one supplier should be the same object.
    """
    if not uses:
        return []
    whole = _side_by_side(coming, uses, over)
    return [
        Demand(total, float(listed), float(others))
        for total, listed, others in zip(whole.distributions(), *whole.means(), strict=True)
    ]


def _side_by_side(
    coming: Coming, uses: Sequence[Mapping[int, Lines]], over: Sequence[Horizons]
) -> SideBySide:
    """Case types that take the same of an item are one way of taking it."""
    import numpy as np

    ways: list[list[Taken]] = []
    kinds = np.zeros((len(uses), coming.mix.shape[1]), dtype=int) - 1  # none
    for number, by_kind in enumerate(uses):
        mine: dict[Taken, int] = {}
        for kind, lines in by_kind.items():
            kinds[number, kind] = mine.setdefault(taken(lines), len(mine))
        ways.append(list(mine))
    rows, amounts, chances = in_ways(ways)
    as_ways = (kinds[..., None] == np.arange(rows.shape[1])).astype(float)
    different = list({id(one): one for one in over}.values())
    place = {id(one): n for n, one in enumerate(different)}
    of = np.array([place[id(one)] for one in over])
    most = max(len(one.weights) for one in different)
    neighbours = min(NEIGHBOURS, most)
    full = [lengthened(one, -(-most // neighbours) * neighbours) for one in different]
    scheduled = np.array([one.scheduled for one in full])[of]
    return SideBySide(
        rows, amounts, chances, np.array([one.weights for one in full])[of],
        np.matmul(scheduled, as_ways), np.array([one.not_yet for one in full])[of],
        np.matmul(coming.mix, as_ways), coming.not_happening, coming.variation, neighbours,
    )  # fmt: skip


@lru_cache(maxsize=4096)
def taken(lines: Lines) -> Taken:
    """All that a case may take of an item by these lines, nothing included, with the chances.

    >>> taken((Line(1, 0.5), Line(2)))
    ((2, 0.5), (3, 0.5))
    """
    whole = {0: 1.0}
    for line in lines:
        nothing = 1 - sum(chance for _, chance in line.chances)
        then: dict[int, float] = {}
        for units, part in whole.items():
            for more, chance in ((0, nothing), *line.chances):
                if chance:
                    then[units + more] = then.get(units + more, 0.0) + part * chance
        whole = then
    return tuple(sorted(whole.items()))
