"""The demand of an item over a random interval, from the cases of the lists; exact.

For every possible interval the scheduled cases give the product over case types c of
(k + (1 - k) g_c(z))^n_c, with k the share that does not happen; the cases not yet scheduled are a
negative binomial count of cases of the category's mix. The intervals are averaged with their
chances; no normal curve stands in for anything. Each interval's demand is narrow beside what all
of them span, so each is transformed in a window of its own.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import comb, log

from stockbook.domain.forecasts import NoBasis
from stockbook.forecast.coming import Coming, Days, Horizons, horizons
from stockbook.forecast.distributions import Array, Distribution, of_chances
from stockbook.forecast.pgf import (
    beside_one,
    both_sides_of_one,
    count_size,
    count_turn,
    from_polar,
    log_count,
    powers_on_circle,
    safe_log,
    windows,
)

SKIPPED = 1e-16
"""Frequencies where the scheduled cases of a horizon, with its chance, leave less than this are
left out: together those of a horizon change no chance by more than this."""


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
    (found,) = demands_over(coming, [uses], over)
    return found


def demands_over(
    coming: Coming, uses: Sequence[Mapping[int, Lines]], over: Horizons
) -> list[Demand]:
    """`demand_over` of many items at once: those that need as many points go together."""
    work = _Work.of(coming, uses, over)
    listed, others = work.means()
    found = [NO_USE] * len(uses)
    wanted = [n for n in range(len(uses)) if listed[n] + others[n] > 0]
    for group, first, points in work.groups(wanted):
        chances = work.only(group).chances(first, points)
        for number, row in zip(group, chances, strict=True):
            found[number] = Demand(of_chances(row), float(listed[number]), float(others[number]))
    return found


NO_USE = Demand(of_chances([1.0]), 0.0, 0.0)

MOST_CELLS = 2_000_000
"""So many numbers of items by horizons by points are worked on at once."""


@lru_cache(maxsize=4096)
def taken(lines: Lines) -> tuple[tuple[int, float], ...]:
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


@dataclass(frozen=True, eq=False, slots=True)
class _Work:
    """Some items: what a case of each kind takes of each, as rows of chances of certain amounts."""

    which: Array
    """The row of `chances` by item and kind of case."""
    amounts: Array
    chances_of: Array
    """The chance of each amount, by row."""
    coming: Coming
    over: Horizons

    @classmethod
    def of(cls, coming: Coming, uses: Sequence[Mapping[int, Lines]], over: Horizons) -> "_Work":
        import numpy as np

        rows: dict[tuple[tuple[int, float], ...], int] = {NOTHING: 0}
        which = np.zeros((len(uses), coming.scheduled.shape[1]), dtype=int)
        for item, by_kind in enumerate(uses):
            for kind, lines in by_kind.items():
                if lines:
                    which[item, kind] = rows.setdefault(taken(lines), len(rows))
        amounts = sorted({units for row in rows for units, _ in row})
        column = {units: n for n, units in enumerate(amounts)}
        chances = np.zeros((len(rows), len(amounts)))
        for row, number in rows.items():
            for units, chance in row:
                chances[number, column[units]] = chance
        return cls(which, np.array(amounts), chances, coming, over)

    def only(self, items: Sequence[int]) -> "_Work":
        """The same for some of the items."""
        return replace(self, which=self.which[list(items)])

    def means(self) -> tuple[Array, Array]:
        """By item, the expected units from cases on the lists, and from those not yet."""
        each = (self.chances_of @ self.amounts)[self.which]
        listed = self.over.weights @ self.over.scheduled @ each.T
        others = self.over.weights @ self.over.not_yet @ self.coming.mix @ each.T
        return listed * (1 - self.coming.not_happening), others

    def groups(self, items: Sequence[int]) -> Iterator[tuple[list[int], Array, int]]:
        """Items that need as many points: their numbers, where each horizon's demand begins."""
        import numpy as np

        if not items:
            return
        z = both_sides_of_one()
        some = self.only(items)
        with np.errstate(over="ignore", invalid="ignore"):
            used = some._used(np.minimum(z ** self.amounts[:, None], LARGE))
            first, points = windows(some._logs(used))
        for size in np.unique(points):
            alike = np.flatnonzero(points == size)
            step = max(1, MOST_CELLS // (len(self.over.weights) * int(size)))
            for start in range(0, len(alike), step):
                part = alike[start : start + step]
                yield [items[n] for n in part], first[part], int(size)

    def chances(self, first: Array, points: int) -> Iterator[Array]:
        """P(D = 0), P(D = 1), ... by item: each horizon in its window, then all together."""
        import numpy as np

        spectrum = self._spectrum(first, points)
        rows = np.fft.irfft(spectrum, points)
        for begins, row in zip(first, rows, strict=True):
            at = begins[:, None] + np.arange(points)
            yield np.bincount(at.ravel(), row.ravel())

    def _spectrum(self, first: Array, points: int) -> Array:
        """By item, horizon and frequency; what leaves next to nothing is nothing."""
        import numpy as np

        used = self._used(powers_on_circle(self.amounts, points))
        kept = self._kept(used)
        listed = np.matmul(self.over.scheduled, safe_log(np.abs(kept)))
        listed += np.log(self.over.weights)[:, None]
        columns = np.flatnonzero(listed.max(axis=(0, 1)) > log(SKIPPED))
        away = np.matmul(self.coming.mix, 1 - used[..., columns])
        size, beside = self._sizes(listed[..., columns], away)
        worth = np.flatnonzero(size > log(SKIPPED))
        turn = np.matmul(self.over.scheduled, np.angle(kept[..., columns]))
        turn += 2 * np.pi / points * first[..., None] * columns
        turns = turn.ravel()[worth] + self._turns(beside, worth)
        values = np.zeros(size.shape, dtype=complex)
        values.ravel()[worth] = from_polar(np.exp(size.ravel()[worth]), turns)
        spectrum = np.zeros(listed.shape, dtype=complex)
        spectrum[..., columns] = values
        return spectrum

    def _sizes(self, listed: Array, away: Array) -> tuple[Array, list[tuple[Array, Array]]]:
        """The logarithm of the modulus with the cases not yet scheduled, and what their angles
        are made of.
        """
        variation = self.coming.variation
        beside = [
            beside_one(expected[:, None], variation, away[:, n, None])
            for n, expected in enumerate(self.over.not_yet.T)
        ]
        return listed + sum(count_size(x, y, variation) for x, y in beside), beside

    def _turns(self, beside: Sequence[tuple[Array, Array]], worth: Array) -> Array:
        variation = self.coming.variation
        return sum(count_turn(x.ravel()[worth], y.ravel()[worth], variation) for x, y in beside)

    def _used(self, powers: Array) -> Array:
        """The generating function of what a case takes, by item, kind and z, from powers of z."""
        return (self.chances_of @ powers)[self.which]

    def _kept(self, used: Array) -> Array:
        return self.coming.not_happening + (1 - self.coming.not_happening) * used

    def _logs(self, used: Array) -> Array:
        """The logarithm of each horizon's generating function, by item, horizon and real z."""
        import numpy as np

        listed = np.matmul(self.over.scheduled, safe_log(self._kept(used)))
        away = np.matmul(self.coming.mix, 1 - used)
        return listed + sum(
            log_count(expected[:, None], self.coming.variation, away[:, n, None])
            for n, expected in enumerate(self.over.not_yet.T)
        )


NOTHING = ((0, 1.0),)
LARGE = 1e300
"""A power larger than this is as good as this: the bound is not taken there."""
