"""The demand of an item over a random interval, from the cases of the lists; exact.

For every possible interval the scheduled cases give the product over case types c of
(k + (1 - k) g_c(z))^n_c, with k the share that does not happen; the cases not yet scheduled are a
negative binomial count of cases of the category's mix. The intervals are averaged with their
chances; no normal curve stands in for anything.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log

from stockbook.domain.forecasts import NoBasis
from stockbook.forecast.coming import Coming, Days, Horizons, horizons
from stockbook.forecast.distributions import Array, Distribution, of_chances
from stockbook.forecast.pgf import above_one, half_circle, least_points, log_count, safe_log

SKIPPED = 1e-16
"""Frequencies where the scheduled cases alone leave less than this are left out: together they
change no chance by more than this."""


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


Lines = tuple[Line, ...]
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
    """`item_demand` for horizons that items of one supplier share."""
    work = _Work.of(coming, uses, over)
    means = work.means()
    if sum(means) <= 0:
        return Demand(of_chances([1.0]), 0.0, 0.0)
    points = int(least_points(work.log_at_longest(above_one())))
    return Demand(of_chances(work.chances(points)), *means)


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
        which = np.zeros((coming.scheduled.shape[1], len(kinds)))
        for number, lines in uses.items():
            if lines:
                which[number, kinds.index(lines)] = 1.0
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

    def log_at_longest(self, z: Array) -> Array:
        """The logarithm for the longest interval alone, z above one: it bounds the average."""
        import numpy as np

        with np.errstate(over="ignore", invalid="ignore"):
            used = _used(self.kinds, z)
            listed = self.scheduled[-1] @ safe_log(self._kept(used))
            return listed + self._log_not_yet(used, self.over.not_yet[-1:])[0]

    def chances(self, points: int) -> Array:
        """P(D = 0), P(D = 1), ... from the frequencies that are worth it."""
        import numpy as np

        used = _used(self.kinds, half_circle(points))
        kept = self._kept(used)
        size = safe_log(np.abs(kept))
        worth = np.flatnonzero(self.scheduled[0] @ size > log(SKIPPED))
        spectrum = np.zeros(points // 2 + 1, dtype=complex)
        spectrum[worth] = self._averaged(used[:, worth], size[:, worth], np.angle(kept[:, worth]))
        return np.fft.irfft(spectrum, points)

    def _averaged(self, used: Array, size: Array, angle: Array) -> Array:
        """The mean over the horizons at each frequency; each horizon has its own worthless ones."""
        import numpy as np

        sizes = self.scheduled @ size + np.log(self.over.weights)[:, None]
        rows, columns = np.nonzero(sizes > log(SKIPPED))
        turns = (self.scheduled @ angle)[rows, columns]
        away = self.share @ (1 - used)
        logs = sizes[rows, columns] + 1j * turns
        for n, expected in enumerate(self.over.not_yet.T):
            logs += log_count(expected[rows], self.variation, away[n, columns])
        values = np.exp(logs)
        real, imaginary = (
            np.bincount(columns, part, used.shape[1]) for part in (values.real, values.imag)
        )
        return real + 1j * imaginary

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
        unit = z if not line.spoiled else z * (1 - line.spoiled + line.spoiled * z)
        whole = whole * (1 - line.chance + line.chance * unit**line.quantity)
    return whole
