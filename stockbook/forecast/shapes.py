"""Shares of a whole: a discretised normal shape, and shares that lean on a belief."""

from collections.abc import Sequence
from math import erf, sqrt


def normal_shape(values: Sequence[float], mean: float, sd: float, half: float) -> list[float]:
    """The shares of values under a normal curve, each within `half` on both sides, summing to one.

    Powers 10 to 30 by half dioptres, mean 21, sd 3: the share of 21.0 (computed once with scipy).

    >>> powers = [10 + n / 2 for n in range(41)]
    >>> round(normal_shape(powers, 21, 3, 0.25)[powers.index(21)], 11)
    0.06648743081
    """

    def below(x: float) -> float:
        return (1 + erf((x - mean) / (sd * sqrt(2)))) / 2

    shares = [below(value + half) - below(value - half) for value in values]
    whole = sum(shares)
    if whole <= 0:
        raise ValueError(f"a shape around {mean} gives none of these values a share")
    return [share / whole for share in shares]


def leaning(prior: Sequence[float], weight: float, counts: Sequence[float]) -> tuple[float, ...]:
    """Dirichlet posterior means: (weight * prior + count) / (weight + all counts).

    >>> leaning((0.5, 0.5), 2, (3, 1))
    (0.6666666666666666, 0.3333333333333333)
    """
    whole = weight + sum(counts)
    return tuple((weight * p + c) / whole for p, c in zip(prior, counts, strict=True))
