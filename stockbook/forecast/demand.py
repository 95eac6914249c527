"""The demand of an item over a random interval, from the cases of the lists; exact.

For every possible interval the scheduled cases give the product over case types c of
(k + (1 - k) g_c(z))^n_c, with k the share that does not happen; the cases not yet scheduled are a
negative binomial count of cases of the category's mix. The intervals are averaged with their
chances; no normal curve stands in for anything. Each interval's demand is narrow beside what all
of them span, so each is transformed in a window of its own.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log

from stockbook.domain.forecasts import NoBasis
from stockbook.forecast.coming import Coming, Days, Horizons, horizons
from stockbook.forecast.distributions import Array, Distribution, of_chances
from stockbook.forecast.pgf import (
    beside_one,
    both_sides_of_one,
    count_size,
    count_turn,
    from_polar,
    half_circle,
    log_count,
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

    def generating(self, z: Array) -> Array:
        """The generating function of what it takes."""
        unit = z if not self.spoiled else z * (1 - self.spoiled + self.spoiled * z)
        powered: Array = 1 - self.chance + self.chance * unit**self.quantity
        return powered


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

    def generating(self, z: Array) -> Array:
        """The generating function of what is taken."""
        taken = sum(chance for _, chance in self.chances)
        whole: Array = z * 0 + (1 - taken)
        for quantity, chance in self.chances:
            whole = whole + chance * z**quantity
        return whole


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
    work = _Work.of(coming, uses, over)
    means = work.means()
    if sum(means) <= 0:
        return Demand(of_chances([1.0]), 0.0, 0.0)
    return Demand(of_chances(work.chances()), *means)


@dataclass(frozen=True, eq=False, slots=True)
class _Work:
    """One item's horizons with case types that use it alike taken together."""

    kinds: Sequence[Lines]
    scheduled: Array
    """Cases by horizon and kind."""
    share: Array
    """The share of each kind in a category's cases, by category and kind."""
    over: Horizons
    not_happening: float
    variation: float

    @classmethod
    def of(cls, coming: Coming, uses: Mapping[int, Lines], over: Horizons) -> "_Work":
        import numpy as np

        kinds = list(dict.fromkeys(lines for lines in uses.values() if lines))
        column = {lines: n for n, lines in enumerate(kinds)}
        which = np.zeros((coming.scheduled.shape[1], len(kinds)))
        for number, lines in uses.items():
            if lines:
                which[number, column[lines]] = 1.0
        return cls(
            kinds, over.scheduled @ which, coming.mix @ which, over,
            coming.not_happening, coming.variation,
        )  # fmt: skip

    def means(self) -> tuple[float, float]:
        """Expected units from cases on the lists, and from those not yet."""
        import numpy as np

        each = np.array([sum(line.mean for line in lines) for lines in self.kinds])
        listed = self.over.weights @ self.scheduled @ each * (1 - self.not_happening)
        return float(listed), float(self.over.weights @ self.over.not_yet @ self.share @ each)

    def windows(self) -> tuple[Array, int]:
        """Where each horizon's demand begins, and a number of points that holds any of them."""
        import numpy as np

        z = both_sides_of_one()
        with np.errstate(over="ignore", invalid="ignore"):
            used = _used(self.kinds, z)
            logs = self.scheduled @ safe_log(self._kept(used))
            logs = logs + self._log_not_yet(used, self.over.not_yet)
        return windows(logs)

    def chances(self) -> Array:
        """P(D = 0), P(D = 1), ...: each horizon in its window, then all with their chances."""
        import numpy as np

        first, points = self.windows()
        used = _used(self.kinds, half_circle(points))
        kept = self._kept(used)
        listed = self.scheduled @ safe_log(np.abs(kept)) + np.log(self.over.weights)[:, None]
        columns = np.flatnonzero(listed.max(axis=0) > log(SKIPPED))
        size, beside = self._sizes(listed[:, columns], self.share @ (1 - used[:, columns]))
        worth = np.flatnonzero(size > log(SKIPPED))
        turn = self.scheduled @ np.angle(kept[:, columns])
        turn += 2 * np.pi / points * np.outer(first, columns)
        turns = turn.ravel()[worth] + self._turns(beside, worth)
        values = np.zeros(size.shape, dtype=complex)
        values.ravel()[worth] = from_polar(np.exp(size.ravel()[worth]), turns)
        spectrum = np.zeros(listed.shape, dtype=complex)
        spectrum[:, columns] = values
        at = first[:, None] + np.arange(points)
        return np.bincount(at.ravel(), np.fft.irfft(spectrum, points).ravel())

    def _sizes(self, listed: Array, away: Array) -> tuple[Array, list[tuple[Array, Array]]]:
        """The logarithm of the modulus with the cases not yet scheduled, by horizon and z; and
        what their angles are made of.
        """
        beside = [
            beside_one(expected[:, None], self.variation, distance)
            for expected, distance in zip(self.over.not_yet.T, away, strict=True)
        ]
        return listed + sum(count_size(x, y, self.variation) for x, y in beside), beside

    def _turns(self, beside: Sequence[tuple[Array, Array]], worth: Array) -> Array:
        return sum(
            count_turn(x.ravel()[worth], y.ravel()[worth], self.variation) for x, y in beside
        )

    def _kept(self, used: Array) -> Array:
        return self.not_happening + (1 - self.not_happening) * used

    def _log_not_yet(self, used: Array, expected: Array) -> Array:
        """Summed over categories, by horizon and z."""
        away = self.share @ (1 - used)
        return sum(
            log_count(expected[:, n, None], self.variation, away[n])
            for n in range(expected.shape[1])
        )


def _used(kinds: Sequence[Lines], z: Array) -> Array:
    """The generating function of what a case of each kind uses, by kind and z."""
    import numpy as np

    return np.array([_one_case(lines, z) for lines in kinds])


def _one_case(lines: Lines, z: Array) -> Array:
    whole = z * 0 + 1
    for line in lines:
        whole = whole * line.generating(z)
    return whole
