"""Lens powers: which share of a model's lenses is of which power, and the demand of each power.

Shares are Dirichlet estimates in two steps: all models together lean on a published shape until
they are many, each model leans on all models together.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.forecasts import Shares
from stockbook.forecast.coming import Coming, Days, Horizons, horizons
from stockbook.forecast.distributions import Array, Distribution, always, of_chances
from stockbook.forecast.pgf import (
    above_one,
    half_circle,
    least_points,
    log_count,
    safe_log,
)
from stockbook.forecast.shapes import leaning, normal_shape

POWERS = tuple(10 + n / 2 for n in range(41))
"""Half dioptres from 10 to 30."""

SHAPE_MEAN, SHAPE_SD = 21.2, 2.5
"""The published shape of implanted powers, a setting of the site."""

SHAPE_WEIGHT = 100.0
POOLED_WEIGHT = 60.0
"""How many lenses the shape counts for, and all models together beside one model's own."""


def power_shares(
    counts: Mapping[str, Sequence[float]], powers: Sequence[float] = POWERS,
    mean: float = SHAPE_MEAN, sd: float = SHAPE_SD, half: float = 0.25,
) -> dict[str, Shares]:  # fmt: skip
    """The shares of powers by model, from lenses implanted so far by model and power.

    Without any history every model has the published shape.

    >>> found = power_shares({"A": [0.0] * 41})["A"]
    >>> found.seen, found.names[found.result.index(max(found.result))]
    (0.0, '+21.00')
    """
    shape = normal_shape(powers, mean, sd, half)
    together = [sum(column) for column in zip(*counts.values(), strict=True)]
    pooled = leaning(shape, SHAPE_WEIGHT, together)
    names = tuple(f"{power:+.2f}" for power in powers)
    source = f"all models together, and a normal shape of mean {mean} and sd {sd}"
    return {
        model: Shares(
            f"powers of {model}", names, pooled, source, POOLED_WEIGHT, tuple(own),
            leaning(pooled, POOLED_WEIGHT, own),
        )
        for model, own in counts.items()
    }  # fmt: skip


@dataclass(frozen=True, eq=False, slots=True)
class LensCases:
    """The coming cases of one lens model; rows are days.

    `known` counts scheduled cases by day and power, `unknown` those without a power by day,
    `not_yet` expects cases of this model by day and category.
    """

    known: Array
    unknown: Array
    not_yet: Array
    not_happening: float = 0.0
    spoiled: float = 0.0
    variation: float = 0.0


def power_demands(cases: LensCases, shares: Sequence[float], interval: Days) -> list[Distribution]:
    """The demand of each power of a model over a random interval; powers of equal use at once.

    Two cases of known power, none cancelled: two lenses of that power, surely.

    >>> import numpy as np
    >>> cases = LensCases(np.array([[2, 0]]), np.zeros(1), np.zeros((1, 1)))
    >>> [round(found.mean, 9) for found in power_demands(cases, [0.5, 0.5], {1: 1.0})]
    [2.0, 0.0]
    """
    import numpy as np

    over = _lens_horizons(cases, interval)
    model = _Model(over, np.asarray(shares, dtype=float), cases)
    points = least_points(model.logs(1 - above_one(), longest=True)[:, 0])
    found: list[Distribution] = [always(0)] * len(points)
    for size in sorted(set(points)):
        alike = np.flatnonzero(points == size)
        chances = model.only(alike).chances(int(size))
        for power, row in zip(alike, chances, strict=True):
            found[power] = of_chances(row)
    return found


def _lens_horizons(cases: LensCases, interval: Days) -> Horizons:
    """Horizons whose last kind of scheduled case is the one without a known power."""
    import numpy as np

    scheduled = np.hstack([cases.known, np.asarray(cases.unknown)[:, None]])
    return horizons(Coming(scheduled, cases.not_yet, np.eye(1)), interval)


@dataclass(frozen=True, eq=False, slots=True)
class _Model:
    """Some powers of one model with their shares; `over` has a column for each and one more."""

    over: Horizons
    shares: Array
    cases: LensCases

    def only(self, powers: Array) -> "_Model":
        """The same for some of the powers."""
        import numpy as np

        columns = np.append(powers, -1)
        over = replace(self.over, scheduled=self.over.scheduled[:, columns])
        return replace(self, over=over, shares=self.shares[powers])

    def logs(self, beside_one: Array, *, longest: bool = False) -> Array:
        """The logarithm at z = 1 - beside_one by power, horizon and z; or of the longest alone."""
        import numpy as np

        rows = slice(-1, None) if longest else slice(None)
        known, unknown = np.split(self.over.scheduled[rows].T[:, :, None], [-1])
        happening = 1 - self.cases.not_happening
        with np.errstate(over="ignore"):
            away = beside_one * (1 + self.cases.spoiled * (1 - beside_one))
        mine = self.shares[:, None, None] * away
        listed = known * safe_log(1 - happening * away)
        listed = listed + unknown * safe_log(1 - happening * mine)
        return listed + sum(
            log_count(expected[None, :, None], self.cases.variation, mine)
            for expected in self.over.not_yet[rows].T
        )

    def chances(self, points: int) -> Array:
        """P(D = 0), P(D = 1), ... by power."""
        import numpy as np

        values = np.exp(self.logs(1 - half_circle(points)))
        return np.fft.irfft(self.over.weights @ values, points)
