"""The unit circle: how many points of it, and what stands at them."""

from functools import lru_cache

from stockbook.forecast.distributions import Array

ROOTS = 1024
"""What is left of an angle is below 0.0031, its sixth power over 720 below 1e-17."""


def handy(least: int) -> int:
    """The smallest even length from `least` on that is quickly transformed: 2^a, 3 2^a or 9 2^a.

    >>> [handy(n) for n in (1, 33, 49, 65)]
    [18, 36, 64, 72]
    """
    found = 32
    while found < least:
        found *= 2
    return min(size for size in (found, found // 4 * 3, found // 16 * 9) if size >= least)


def handy_sizes(least: Array) -> Array:
    """`handy` of each."""
    import numpy as np

    sizes = [handy(1)]
    while sizes[-1] < np.max(least, initial=1):
        sizes.append(handy(sizes[-1] + 1))
    return np.array(sizes)[np.searchsorted(sizes, least)]


@lru_cache(maxsize=64)
def half_circle(points: int) -> Array:
    """The roots of unity in the order of a real transform; the other half is their mirror."""
    import numpy as np

    return np.exp(-2j * np.pi * np.arange(points // 2 + 1) / points)


def powers_on_circle(amounts: tuple[int, ...], points: int) -> Array:
    """`half_circle` to the power of each amount, by amount and root: roots again, looked up.

    >>> import numpy as np
    >>> found = powers_on_circle((0, 3), 16)
    >>> bool(np.allclose(found[1], half_circle(16) ** 3)), bool((found[0] == 1).all())
    (True, True)
    """
    import numpy as np

    whole = np.exp(-2j * np.pi * np.arange(points) / points)
    return whole[np.outer(amounts, np.arange(points // 2 + 1)) % points]


def polar(size: Array, turn: Array) -> Array:
    """exp(size + i turn): a root of unity nearby from a table, and the first terms of the series
    for what is left of the angle; it takes half the time of a complex exponential.

    >>> import numpy as np
    >>> turn = np.linspace(-9, 9, 1000)
    >>> bool(np.abs(polar(np.zeros(1000), turn) - np.exp(1j * turn)).max() < 1e-14)
    True
    """
    import numpy as np

    near = np.rint(turn * (ROOTS / (2 * np.pi)))
    rest = turn - near * (2 * np.pi / ROOTS)
    square = rest * rest
    modulus = np.exp(size)
    found = np.empty(size.shape, dtype=complex)
    found.real = modulus * (1 - square * (1 / 2 - square * (1 / 24)))
    found.imag = modulus * (rest * (1 - square * (1 / 6 - square * (1 / 120))))
    found *= _roots().take(near.astype(int) & (ROOTS - 1))
    return found


@lru_cache(maxsize=1)
def _roots() -> Array:
    import numpy as np

    return np.exp(2j * np.pi / ROOTS * np.arange(ROOTS))
