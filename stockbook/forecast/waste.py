"""What will be left of the lots on hand when each expires, the soonest expiry used first."""

from collections.abc import Sequence

from stockbook.forecast.distributions import Array, Distribution


def expected_waste(lots: Sequence[int], between: Sequence[Distribution]) -> list[float]:
    """Units of each lot expected to be left at its expiry, exactly, on chances.

    With Q_k the units of the first k lots and D_k the demand between the expiries of lots k - 1
    and k, what is used or gone by expiry k is y_k = max(y_(k-1) + D_k, Q_k), and lot k leaves
    E(Q_k - y_(k-1) - D_k)+ (S. Nahmias 1975, Oper Res 23:735-749, for one lot and more).

    Lots of 30, 20 and 15, Poisson 25, 18 and 10 between: computed once.

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> demands = [distribution_of(poisson(mean)) for mean in (25, 18, 10)]
    >>> [round(left, 9) for left in expected_waste([30, 20, 15], demands)]
    [5.451863974, 2.682765103, 4.278595631]
    """
    import numpy as np

    gone = np.append(1.0, np.zeros(sum(lots)))
    held, waste = 0, []
    for lot, demand in zip(lots, between, strict=True):
        held += lot
        gone = _later(gone, demand.chances)
        below = gone[:held]
        waste.append(float(below @ (held - np.arange(held))))
        gone[held] += below.sum()
        gone[:held] = 0.0
    return waste


def _later(gone: Array, chances: Array) -> Array:
    """What is gone after more demand; beyond all lots is as good as all of them."""
    import numpy as np

    whole = np.convolve(gone, chances)
    last = len(gone) - 1
    return np.append(whole[:last], whole[last:].sum())
