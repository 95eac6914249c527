"""Distributions as generating functions E[z^D], and the way back by one Fourier transform.

A generating function is a Python function of an array of z, complex on the unit circle, real
above one where a bound is wanted. Read at the N-th roots of unity and transformed back it gives
P(D = k) + P(D = k + N) + P(D = k + 2N) + ... (J. Abate and W. Whitt 1992, Oper Res Lett
12:245-251): what is added falsely is at most P(D >= N), and N is chosen so that this is below
`ALIASING`.
"""

from collections.abc import Callable, Sequence
from functools import lru_cache
from math import log

from stockbook.forecast.circle import half_circle, handy_sizes
from stockbook.forecast.distributions import Array, Distribution, of_chances

Pgf = Callable[[Array], Array]
"""E[z^D] for each z of an array."""

ALIASING = 1e-13
"""No chance is wrong by more than this because the circle has only N points."""

NO_VARIATION = 1e-15
"""A count that varies by less than this is a Poisson count."""

LARGEST = 1 << 22
"""More points than any demand of a theatre needs; beyond it the input is absurd."""


def sure(quantity: int) -> Pgf:
    """A sure line: z^q."""
    return lambda z: z**quantity


def conditional(chance: float, quantity: int = 1) -> Pgf:
    """A line that only some cases need: (1 - p) + p z^q."""
    return lambda z: 1 - chance + chance * z**quantity


def with_second_unit(used: Pgf, spoiled: float) -> Pgf:
    """Each unit is spoiled with a chance w and a second one taken: z becomes (1 - w) z + w z^2."""
    return lambda z: used((1 - spoiled) * z + spoiled * z * z)


def poisson(mean: float) -> Pgf:
    """Arrivals without memory: exp(m (z - 1)).

    P(D > 30) at a mean of 20 is 0.01347 (computed once with scipy).

    >>> round(distribution_of(poisson(20)).more_than(30), 11)
    0.01347468128
    """
    return counted(mean, 0.0)


def negative_binomial(mean: float, variance: float) -> Pgf:
    """Counts that scatter more than Poisson ones, by mean and variance.

    P(D > 30) at mean 20 and variance 32 is 0.04136 (computed once with scipy).

    >>> round(distribution_of(negative_binomial(20, 32)).more_than(30), 11)
    0.04135745903
    """
    return counted(mean, max(variance - mean, 0.0) / mean**2 if mean else 0.0)


def counted(mean: float, variation: float) -> Pgf:
    """A count with variance m + f m^2: negative binomial, (1 + f m (1 - z))^(-1/f); f = 0 is
    Poisson (N. L. Johnson, A. W. Kemp and S. Kotz, Univariate Discrete Distributions, chapter 5).

    >>> round(distribution_of(counted(20, 0.03)).variance, 9)
    32.0
    """

    def at(z: Array) -> Array:
        import numpy as np

        return np.exp(log_count(mean, variation, 1 - z))

    return at


def log_count(mean: float | Array, variation: float, distance: Array) -> Array:
    """A count's generating function at 1 - distance, its logarithm; infinite where it has none."""
    import numpy as np

    scale = scaled(mean, variation)
    if np.iscomplexobj(distance):
        size, turn = log_counts([scale], [distance.real], [distance.imag], variation)
        return size + 1j * turn
    return log_counts_real([scale], [distance], variation)


def scaled(mean: Array, variation: float) -> Array:
    """f m, by which the distance from one is multiplied; m where f is nothing."""
    return mean if variation < NO_VARIATION else variation * mean


def log_counts(
    scales: Sequence[Array], x: Sequence[Array], y: Sequence[Array], variation: float
) -> tuple[Array, Array]:
    """`log_count` of independent counts together at 1 - (x + iy): logarithm of the modulus, angle.

    Two at a time are multiplied before the logarithm is taken: 1 + f m (1 - z) has no negative
    real part, so the angle of two is never more than half a turn.
    """
    import numpy as np

    parts = [(scale * u, scale * v) for scale, u, v in zip(scales, x, y, strict=True)]
    if variation < NO_VARIATION:
        return -sum(u for u, _ in parts), -sum(v for _, v in parts)
    size, turn = 0.0, 0.0
    for n in range(0, len(parts), 2):
        u, v = _product_less_one(parts[n : n + 2])
        more = u * (2 + u) + v * v
        square = more + 1
        size = size + np.log(square) + (more - (square - 1)) / square  # log1p, and faster
        u += np.sqrt(square) + 1
        turn = turn + np.arctan(v / u)  # of half the angle
    return size * (-0.5 / variation), turn * (-2 / variation)


def _product_less_one(parts: Sequence[tuple[Array, Array]]) -> tuple[Array, Array]:
    """(1 + a)(1 + b) - 1 = a + b + ab, both parts of it; little is lost where a and b are small."""
    (x, y), *more = parts
    for u, v in more:
        x, y = x + u + (x * u - y * v), y + v + (x * v + y * u)
    return x, y


def log_counts_real(scales: Sequence[Array], x: Sequence[Array], variation: float) -> Array:
    """`log_counts` at 1 - x, infinite where one of them has none; at 1 - (x + iy) the modulus is
    never more.
    """
    import numpy as np

    if variation < NO_VARIATION:
        return -sum(scale * u for scale, u in zip(scales, x, strict=True))
    whole = 1.0
    for scale, u in zip(scales, x, strict=True):
        whole = whole * np.maximum(1 + scale * u, 0)
    with np.errstate(divide="ignore"):
        return np.log(whole) / -variation


def safe_log(values: Array) -> Array:
    """The logarithm; that of nothing is one far below any other."""
    import numpy as np

    if np.iscomplexobj(values):
        return safe_log(np.abs(values)) + 1j * np.angle(values)
    return np.log(np.maximum(values, 1e-300))


def from_chances(chances: Sequence[float]) -> Pgf:
    """A distribution given chance by chance: the polynomial with these coefficients."""

    def at(z: Array) -> Array:
        import numpy as np

        return np.polynomial.polynomial.polyval(z, np.asarray(chances, dtype=float))

    return at


def compound(count: Pgf, size: Pgf) -> Pgf:
    """So many arrivals, each of a random size: count(size(z)).

    Poisson 12, sizes 1, 2, 3 with 0.8, 0.15, 0.05: P(D <= 24) is 0.96908 (computed once).

    >>> whole = distribution_of(compound(poisson(12), from_chances([0, 0.8, 0.15, 0.05])))
    >>> round(whole.mean, 9), round(whole.variance, 9), round(whole.at_most(24), 9)
    (15.0, 22.2, 0.969082298)
    """
    return lambda z: count(size(z))


def mixture(parts: Sequence[tuple[float, Pgf]]) -> Pgf:
    """One of several, each with its chance: their average."""
    total = sum(chance for chance, _ in parts)
    return lambda z: sum(chance / total * part(z) for chance, part in parts)


def product(parts: Sequence[Pgf]) -> Pgf:
    """Several independent parts together."""

    def at(z: Array) -> Array:
        whole = z**0
        for part in parts:
            whole = whole * part(z)
        return whole

    return at


def repeated(part: Pgf, times: int) -> Pgf:
    """The same part so many times, independently.

    40 cases at 0.12, 25 at 0.30 and 10 at 0.90: P(D <= 25) is 0.90195 (computed once).

    >>> rates = ((40, 0.12), (25, 0.30), (10, 0.90))
    >>> whole = product([repeated(conditional(p), n) for n, p in rates])
    >>> round(distribution_of(whole).at_most(25), 10)
    0.9019520707
    """
    return lambda z: part(z) ** times


def distribution_of(pgf: Pgf) -> Distribution:
    """The exact distribution behind a generating function, but for `ALIASING`."""
    import numpy as np

    points = points_for(lambda r: _log_above_one(pgf, r))
    return of_chances(np.fft.irfft(pgf(half_circle(points)), points))


def _log_above_one(pgf: Pgf, z: Array) -> Array:
    import numpy as np

    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        return np.log(pgf(z))


def points_for(log_pgf: Callable[[Array], Array]) -> int:
    """How many points of the circle are enough for a generating function, by its logarithm.

    >>> points_for(lambda z: 20 * (z - 1))
    72
    """
    return int(least_points(log_pgf(above_one())))


def least_points(logs: Array, aliasing: float = ALIASING) -> Array:
    """The smallest handy N with P(D >= N) <= aliasing, from log E[z^D] at `above_one`."""
    return handy_sizes(highest(logs, aliasing))


def highest(logs: Array, aliasing: float = ALIASING) -> Array:
    """The smallest N with P(D >= N) <= aliasing, from log E[z^D] at `above_one` (last axis).

    By the bound P(D >= N) <= E[z^D] / z^N for every z above one (H. Chernoff 1952, Ann Math Stat
    23:493-507), solved for N and minimised over a fixed set of z.
    """
    import numpy as np

    needed = (logs - log(aliasing)) / np.log(above_one())
    least = np.where(np.isfinite(needed), needed, LARGEST).min(axis=-1)
    if np.max(least, initial=0) >= LARGEST:
        raise ValueError("a demand this large or this scattered is no demand of a theatre")
    return least.astype(int) + 1


def lowest(logs: Array, aliasing: float = ALIASING) -> Array:
    """The largest N with P(D < N) <= aliasing, from log E[z^D] at 1 / `above_one` (last axis)."""
    import numpy as np

    return ((log(aliasing) - logs) / np.log(above_one())).max(axis=-1).clip(0).astype(int)


@lru_cache(maxsize=1)
def above_one() -> Array:
    """The values of z that the bound is minimised over: close to one for many, far for few."""
    import numpy as np

    return 1 + np.geomspace(1e-3, 1e3, 29)
