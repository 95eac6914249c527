"""Service by cost: the site's service on average over all uses, for the least money tied up."""

from collections.abc import Sequence
from dataclasses import dataclass

from stockbook.forecast.distributions import Array, Distribution

ITEMS_POWER, LENSES_POWER = 0.5, 1.0
"""How cost weighs. One unit more of a lens serves one case for its cost; a case that misses several
items is one case short, so that of items less is gained, and half the power was the best of those
tried in LIST-MIX."""

ALWAYS = 0.5
"""However dear, a unit is held that is used with more than this chance before it can come again."""

NEGLIGIBLE = 1e-9
"""Units that are wanted with less than this chance are not looked at."""


@dataclass(frozen=True, eq=False, slots=True)
class Candidate:
    """An item: what a use costs, how often it is used, and its demand until the next delivery and
    until its own.
    """

    cost: float
    uses: float
    until_next: Distribution
    until_own: Distribution


class Ranking:
    """The units of several items, from the one that is worth most for its money on.

    A unit serves when it is used between its own delivery and the next, so what it is worth is the
    chance of that (E. A. Silver, D. F. Pyke and D. J. Thomas, Inventory and Production Management,
    4th ed., section 7.9, for the share of demand served; unit by unit here) over the cost of a use
    to the `power`. Units are taken in this order until, over all uses, the mean chance of running
    short before the next delivery is small enough, or with `fill` the mean share not served.

    Two items with the same demand, one nine times as dear:

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> demand, before = distribution_of(poisson(20)), distribution_of(poisson(14))
    >>> cheap, dear = Candidate(1, 1, demand, before), Candidate(9, 1, demand, before)
    >>> Ranking([cheap, dear], 0.0).levels(0.05), Ranking([cheap, dear], 1.0).levels(0.05)
    ([28, 27], [31, 26])
    """

    def __init__(self, found: Sequence[Candidate], power: float, *, fill: bool = False) -> None:
        """Sort the units of all; `fill` says what is short, as above."""
        import numpy as np

        whole = sum(one.uses for one in found)
        self.items = len(found)
        parts = [_units(one, power, fill=fill) for one in found]
        weights = [one.uses / whole if whole else 1 / self.items for one in found]
        worth = np.concatenate([worth for worth, _ in parts])
        gain = np.concatenate([w * gain for w, (_, gain) in zip(weights, parts, strict=True)])
        item = np.repeat(np.arange(self.items), [len(worth) for worth, _ in parts])
        order = np.argsort(-worth, kind="stable")
        self.item = item[order]
        left = gain.sum() - np.append(0.0, gain[order].cumsum())
        self.short = np.minimum.accumulate(left)
        self.least = int(np.isinf(worth).sum())

    def levels(self, short: float) -> list[int]:
        """The level of each item at which no more than this is short on average."""
        import numpy as np

        enough = np.searchsorted(-self.short, -short - NEGLIGIBLE)
        units = self.item[: max(self.least, int(enough))]
        return [int(level) for level in np.bincount(units, minlength=self.items)]


def _units(one: Candidate, power: float, *, fill: bool) -> tuple[Array, Array]:
    """By unit, what it is worth for its money, never rising, and by how much less is short."""
    import numpy as np

    size = max(len(one.until_next.chances), len(one.until_own.chances))
    after, before = (np.pad(of.chances, (0, size - len(of.chances)))
                     for of in (one.until_next, one.until_own))  # fmt: skip
    wanted, earlier = (chances[::-1].cumsum()[::-1][1:] for chances in (after, before))
    served = wanted - earlier
    worth = np.maximum.accumulate(served[::-1])[::-1]
    kept = np.count_nonzero(wanted > NEGLIGIBLE)
    mean = float(served.sum())
    gain = served / mean if fill and mean > 0 else after[1:]
    money = max(one.cost, NEGLIGIBLE) ** power
    return np.where(worth > ALWAYS, np.inf, worth / money)[:kept], gain[:kept]


def in_permille(share: float) -> int:
    """The nearest whole parts of a thousand, and never more than all of them.

    >>> in_permille(0.9512), in_permille(1 + 1e-9)
    (951, 1000)
    """
    return min(1000, round(1000 * share))
