"""What is coming: cases on the lists, cases still to be scheduled, and how long to be covered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.forecast.distributions import Array

Days = Mapping[int, float]
"""So many days ahead, each with its chance: a protection interval or a lead time."""


@dataclass(frozen=True, eq=False, slots=True)
class Coming:
    """The cases of the coming days; row 0 is the first day of the interval.

    `scheduled` counts cases by day and case type, `not_yet` expects cases by day and category,
    `mix` has the share of each case type in a category's cases (its rows sum to one).
    """

    scheduled: Array
    not_yet: Array
    mix: Array
    not_happening: float = 0.0
    """The share of scheduled cases that do not happen."""
    variation: float = 0.0
    """f in Var = m + f m^2 of the number of cases that are not yet scheduled."""

    def days(self) -> int:
        """How many days are looked at."""
        return len(self.scheduled)


def still_to_come(volume: float, variation: float, visible_share: float, visible: float) -> float:
    """Cases of a week expected beyond those on its lists, learned from how many there are already.

    A week's volume is Poisson around `volume` times a gamma number of variance `variation`; the
    cases seen so far say what that number is (A. Gelman and others, Bayesian Data Analysis, 3rd
    ed., section 2.6: gamma prior, Poisson counts). Without variation nothing is learned.

    >>> still_to_come(40, 0.02, 0.5, 20), round(still_to_come(40, 0.02, 0.5, 30), 3)
    (20.0, 22.857)
    >>> still_to_come(40, 0.0, 0.5, 30)
    20.0
    """
    rest = volume * (1 - visible_share)
    if variation <= 0:
        return rest
    certainty = 1 / variation
    return rest * (certainty + visible) / (certainty + volume * visible_share)


@dataclass(frozen=True, eq=False, slots=True)
class Horizons:
    """The different amounts of work that an interval may hold, each with its chance, growing."""

    weights: Array
    scheduled: Array
    """Cases by horizon and case type."""
    not_yet: Array
    """Expected cases by horizon and category."""


def expected_not_yet(volumes: Sequence[float], visible: Sequence[float]) -> list[float]:
    """Cases still to be scheduled day by day: volume times (1 - share visible at that horizon).

    >>> expected_not_yet([10, 10, 10], [0.9, 0.5, 0.0])
    [1.0, 5.0, 10.0]
    """
    return [
        round(volume * max(0.0, 1 - share), 12)
        for volume, share in zip(volumes, visible, strict=True)
    ]


def protection(review_days: int, lead_days: Days) -> dict[int, float]:
    """Review period plus lead time: until the order after next can arrive.

    >>> protection(7, {10: 0.5, 14: 0.5})
    {17: 0.5, 21: 0.5}
    """
    return {review_days + days: chance for days, chance in sorted(lead_days.items()) if chance > 0}


def protection_with_crossing(review_days: int, lead_days: Days) -> dict[int, float]:
    """Until the first of all later orders can arrive, where orders overtake one another.

    Orders are made at every review and each takes its own time: what is covered ends with the
    least of review + lead time, twice the review + another lead time, and so on.

    >>> found = protection_with_crossing(7, {10: 0.5, 20: 0.5})
    >>> found
    {17: 0.5, 24: 0.25, 27: 0.25}
    """
    last = max(lead_days)
    later = {days: _later_than(lead_days, days) for days in range(last + 1)}
    found, alive = {}, 1.0
    for day in range(review_days + last + 1):
        still = 1.0
        for order in range(1, day // review_days + 1):
            still *= later.get(day - order * review_days, 0.0)
        if alive - still > 0:
            found[day] = alive - still
        alive = still
    return found


def _later_than(lead_days: Days, days: int) -> float:
    return sum(chance for lead, chance in lead_days.items() if lead > days)


def horizons(coming: Coming, interval: Days) -> Horizons:
    """The work of each possible interval; days without work make no horizon of their own.

    An interval beyond the days that are looked at is refused rather than cut.
    """
    import numpy as np

    last = max(interval)
    if last > coming.days():
        raise ValueError(f"{last} days to be covered, {coming.days()} days known")
    order = sorted(interval)
    weights = np.array([interval[days] for days in order], dtype=float)
    work = np.hstack([_until(coming.scheduled, order), _until(coming.not_yet, order)])
    fresh = np.append(True, np.any(work[1:] != work[:-1], axis=1))
    starts = np.flatnonzero(fresh)
    types = coming.scheduled.shape[1]
    summed = np.add.reduceat(weights, starts) / weights.sum()
    return Horizons(summed, work[starts, :types], work[starts, types:])


def lengthened(over: Horizons, number: int) -> Horizons:
    """The same with so many horizons: the last one is repeated with no chance.

    >>> import numpy as np
    >>> one = Horizons(np.ones(1), np.zeros((1, 2)), np.zeros((1, 3)))
    >>> lengthened(one, 4).weights.tolist()
    [1.0, 0.0, 0.0, 0.0]
    """
    import numpy as np

    rows = np.minimum(np.arange(number), len(over.weights) - 1)
    weights = np.append(over.weights, np.zeros(number - len(over.weights)))
    return Horizons(weights, over.scheduled[rows], over.not_yet[rows])


def _until(by_day: Array, order: Sequence[int]) -> Array:
    """Sums of the rows before each of the days."""
    import numpy as np

    whole = np.vstack([np.zeros((1, by_day.shape[1])), np.cumsum(by_day, axis=0)])
    return whole[np.asarray(order)]


def extended(coming: Coming, days: int) -> Coming:
    """The same for more days: beyond those known, weeks go on as the last one is expected.

    >>> import numpy as np
    >>> short = Coming(np.zeros((7, 1)), np.ones((7, 1)), np.ones((1, 1)))
    >>> float(extended(short, 20).not_yet.sum())
    20.0
    """
    import numpy as np

    more = days - coming.days()
    if more <= 0:
        return coming
    week = coming.not_yet[-7:]
    later = np.tile(week, (-(-more // 7), 1))[:more]
    nothing = np.zeros((more, coming.scheduled.shape[1]))
    return Coming(
        np.vstack([coming.scheduled, nothing]), np.vstack([coming.not_yet, later]), coming.mix,
        coming.not_happening, coming.variation,
    )  # fmt: skip
