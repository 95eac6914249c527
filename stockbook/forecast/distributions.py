"""A distribution of whole units, and what is asked of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any, Protocol

Array = Any
"""A numpy array; numpy itself is imported where it is used, so that no page waits for it."""

ROUNDING = 1e-12
"""A chance this little below a level counts as reaching it: sums of floats are that exact."""


class Law(Protocol):
    """What levels and one-time buys ask of a demand, whatever curve it follows."""

    @property
    def mean(self) -> float: ...  # noqa: D102

    def smallest_reaching(self, level: float) -> int: ...  # noqa: D102
    def expected_beyond(self, stock: int) -> float: ...  # noqa: D102
    def expected_left(self, stock: int) -> float: ...  # noqa: D102


@dataclass(frozen=True, eq=False, slots=True)
class Distribution:
    """The chance of 0, 1, 2, ... units; what lies beyond the last one is negligible."""

    chances: Array

    @property
    def mean(self) -> float:
        """The expected number of units.

        >>> of_chances([0.25, 0.5, 0.25]).mean
        1.0
        """
        return float(self.chances @ _units(self.chances))

    @property
    def variance(self) -> float:
        """The expected squared distance from the mean.

        >>> of_chances([0.25, 0.5, 0.25]).variance
        0.5
        """
        return float(self.chances @ (_units(self.chances) - self.mean) ** 2)

    def chance_of(self, units: int) -> float:
        """P(D = units)."""
        inside = 0 <= units < len(self.chances)
        return float(self.chances[units]) if inside else 0.0

    def at_most(self, units: int) -> float:
        """P(D <= units).

        >>> of_chances([0.25, 0.5, 0.25]).at_most(1)
        0.75
        """
        return min(1.0, float(self.chances[: max(units + 1, 0)].sum()))

    def more_than(self, units: int) -> float:
        """P(D > units), summed from above so that small chances stay exact.

        >>> of_chances([0.25, 0.5, 0.25]).more_than(1)
        0.25
        """
        return min(1.0, float(self.chances[max(units + 1, 0) :].sum()))

    def smallest_reaching(self, level: float) -> int:
        """The smallest s with P(D <= s) >= level: a quantile.

        >>> [of_chances([0.25, 0.5, 0.25]).smallest_reaching(x) for x in (0.25, 0.26, 1)]
        [0, 1, 2]
        """
        reached = self.chances.cumsum().searchsorted(min(level, 1.0) - ROUNDING)
        return min(int(reached), len(self.chances) - 1)

    def largest_needed(self, confidence: float) -> int:
        """The largest s with P(D >= s) >= confidence: so many are needed almost surely.

        >>> [of_chances([0.25, 0.5, 0.25]).largest_needed(x) for x in (0.75, 0.76)]
        [1, 0]
        """
        beyond = self.chances[::-1].cumsum()[::-1]  # P(D >= s), falling in s
        return max(0, int((beyond >= confidence - ROUNDING).sum()) - 1)

    def expected_beyond(self, stock: int) -> float:
        """E(D - stock)+: units that a stock leaves unserved (the loss function of L. V. Snyder
        and Z.-J. M. Shen, Fundamentals of Supply Chain Theory, 2nd ed. 2019, section C.3).

        >>> from stockbook.forecast.pgf import distribution_of, poisson
        >>> round(distribution_of(poisson(15)).expected_beyond(18), 9)
        0.517609528
        """
        start = max(stock, 0)
        above = self.chances[start:]
        return float(above @ (_units(above) + (start - stock)))

    def expected_left(self, stock: int) -> float:
        """E(stock - D)+: units of a stock that nobody uses (the complementary loss).

        >>> from stockbook.forecast.pgf import distribution_of, poisson
        >>> round(distribution_of(poisson(15)).expected_left(18), 9)
        3.517609528
        """
        below = self.chances[: max(stock, 0)]
        return float(below @ (stock - _units(below)))

    def mean_given_at_least(self, units: int) -> float:
        """E[D | D >= units]: what a week probably wanted that used `units` and then ran out.

        Of Poisson 2 and 3 used: 3.67 (computed once with scipy 1.x).

        >>> from stockbook.forecast.pgf import distribution_of, poisson
        >>> round(distribution_of(poisson(2)).mean_given_at_least(3), 10)
        3.6743014121
        """
        chance = self.more_than(units - 1)
        if chance <= 0:
            return float(max(units, 0))
        return units + self.expected_beyond(units) / chance


def _units(chances: Array) -> Array:
    import numpy as np

    return np.arange(len(chances))


def of_chances(chances: Sequence[float] | Array) -> Distribution:
    """A distribution from chances (or counts) of 0, 1, 2, ...; they are made to sum to one.

    >>> of_chances([1, 2, 1]).chance_of(1)
    0.5
    """
    import numpy as np

    given = np.maximum(np.asarray(chances, dtype=float), 0.0)
    total = float(given.sum())
    if not isfinite(total) or total <= 0:
        raise ValueError("a distribution needs at least one chance above nothing")
    return Distribution(given / total)


def always(units: int) -> Distribution:
    """Exactly so many units.

    >>> always(2).mean
    2.0
    """
    return of_chances([0.0] * units + [1.0])


def together(parts: Sequence[Distribution]) -> Distribution:
    """The sum of independent demands, such as cases of the lists and use outside kits.

    >>> together([always(2), of_chances([0.5, 0.5])]).mean
    2.5
    """
    import numpy as np

    whole = np.ones(1)
    for part in parts:
        whole = np.convolve(whole, part.chances)
    return of_chances(whole)


def beta_binomial(cases: int, a: float, b: float) -> Distribution:
    """How many of so many cases need it when the rate itself is only known as Beta(a, b)
    (J. G. Skellam 1948, J R Stat Soc B 10:257-261).

    Of 30 cases, the rate 2.5 in 50 so far: at most 3 with 0.8988 (computed once with scipy).

    >>> round(beta_binomial(30, 2.5, 47.5).at_most(3), 10)
    0.8988102353
    """
    from math import comb, exp, lgamma

    def log_beta(x: float, y: float) -> float:
        return lgamma(x) + lgamma(y) - lgamma(x + y)

    whole = log_beta(a, b)
    return of_chances(
        [comb(cases, k) * exp(log_beta(k + a, cases - k + b) - whole) for k in range(cases + 1)]
    )
