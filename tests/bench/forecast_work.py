"""A full site's forecast: 200 items and 180 lens powers, 2,000 cases on the lists; two ways.

The plain way draws 10,000 times, one array operation for all runs: lead times by supplier, cases
that happen, cases that are not yet scheduled, and what each of them takes.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stockbook.forecast.coming import Coming, Days, expected_not_yet, horizons, protection
from stockbook.forecast.demand import Line, Lines, demands_over
from stockbook.forecast.distributions import Distribution
from stockbook.forecast.estimates import quoted_and_rounded, scheduling_curve, visible_share
from stockbook.forecast.lens_powers import LensCases, power_demands
from stockbook.forecast.levels import order_up_to
from stockbook.forecast.shapes import normal_shape

ITEMS, CASES, RUNS = 200, 2000, 10_000
MODELS = (0.6, 0.3, 0.1)
"""The share of each lens model in the cases."""

POWERS = 60
WEEKS, OPERATING = 6, 5
"""Cases are on the lists for six weeks, on five days of seven."""

KINDS, CATEGORIES, SUPPLIERS = 12, 2, 7
NOT_HAPPENING, VARIATION, SPOILED, KNOWN = 0.06, 0.02, 0.00662, 0.7
SERVICE = 0.99


@dataclass(frozen=True)
class Site:
    """What both ways are given."""

    coming: Coming
    intervals: tuple[Days, ...]
    items: tuple[tuple[int, dict[int, Lines]], ...]
    """The supplier and the uses of each."""
    lenses: tuple[LensCases, ...]
    shares: tuple[float, ...]


def site(seed: int = 1) -> Site:
    """An invented site, the same for the same seed."""
    rng = np.random.default_rng(seed)
    lead = [quoted_and_rounded(mean, 5, 3, 35) for mean in range(10, 10 + SUPPLIERS)]
    intervals = tuple(protection(7, days) for days in lead)
    days = max(max(interval) for interval in intervals)
    scheduled, not_yet = _cases(rng, days)
    mix = rng.dirichlet(np.ones(KINDS), CATEGORIES)
    shape = (*normal_shape([10 + n / 2 for n in range(41)], 21, 3, 0.25), *[0.0] * (POWERS - 41))
    return Site(
        Coming(scheduled, not_yet, mix, NOT_HAPPENING, VARIATION),
        intervals,
        tuple((n % SUPPLIERS, _uses(rng)) for n in range(ITEMS)),
        tuple(_lenses(rng, scheduled.sum(axis=1), not_yet, share, shape) for share in MODELS),
        shape,
    )


def _cases(rng: np.random.Generator, days: int) -> tuple[np.ndarray, np.ndarray]:
    """2,000 cases over the weeks that are on the lists; others as the curve has them."""
    open_days = np.array([day % 7 < OPERATING and day < 7 * WEEKS for day in range(days)])
    scheduled = np.zeros((days, KINDS))
    cells = rng.multinomial(CASES, np.full(open_days.sum() * KINDS, 1 / open_days.sum() / KINDS))
    scheduled[open_days] = cells.reshape(-1, KINDS)
    curve = scheduling_curve()
    visible = [visible_share(curve, day // 7) for day in range(days)]
    usual = [CASES / WEEKS / OPERATING * (day % 7 < OPERATING) for day in range(days)]
    return scheduled, np.outer(expected_not_yet(usual, visible), [0.7, 0.3]) * 0.3


def _uses(rng: np.random.Generator) -> dict[int, Lines]:
    """An item that half of the case types use, some surely, others now and then."""
    spoiled = SPOILED if rng.random() < 0.1 else 0.0
    rates = rng.choice([1.0, 0.02, 0.1, 0.3], KINDS, p=[0.4, 0.2, 0.2, 0.2])
    quantities = rng.integers(1, 3, KINDS)
    taken = np.flatnonzero(rng.random(KINDS) < 0.5)
    return {
        int(kind): (Line(int(quantities[kind]), float(rates[kind]), spoiled),) for kind in taken
    } or {0: (Line(),)}


def _lenses(
    rng: np.random.Generator, cases: np.ndarray, not_yet: np.ndarray, share: float,
    shape: Sequence[float],
) -> LensCases:  # fmt: skip
    """The model's part of the cases; seven in ten of the powers are known."""
    own = rng.binomial(cases.astype(int), share)
    known = rng.binomial(own, KNOWN)
    powers = np.array([rng.multinomial(n, shape) for n in known])
    return LensCases(powers, own - known, not_yet * share, NOT_HAPPENING, SPOILED, VARIATION)


def exact(given: Site) -> list[Distribution]:
    """Ours: every item, then every power of every model."""
    over = [horizons(given.coming, interval) for interval in given.intervals]
    uses = [one for _, one in given.items]
    made = demands_over(given.coming, uses, [over[supplier] for supplier, _ in given.items])
    models = [(one, given.shares) for one in given.lenses]
    lenses = power_demands(models, given.intervals[0])
    return [*(demand.total for demand in made), *(demand for model in lenses for demand in model)]


def levels(demands: Sequence[Distribution]) -> list[int]:
    """What is asked of them."""
    return [order_up_to(demand, SERVICE) for demand in demands]


def drawn(given: Site, seed: int = 2) -> list[np.ndarray]:
    """The plain way: what each item and power needs in every run."""
    rng = np.random.default_rng(seed)
    ends = [
        rng.choice(list(interval), RUNS, p=list(interval.values())) for interval in given.intervals
    ]
    cases = [_done(rng, given.coming, end) for end in ends]
    items = [_taken(rng, cases[n], uses) for n, uses in given.items]
    lenses = [_lenses_taken(rng, one, given.shares, ends[0]) for one in given.lenses]
    return [*items, *(taken for model in lenses for taken in model)]


def _until(by_day: np.ndarray, ends: np.ndarray) -> np.ndarray:
    whole = np.vstack([np.zeros((1, by_day.shape[1])), np.cumsum(by_day, axis=0)])
    return whole[ends]


def _counted(rng: np.random.Generator, means: np.ndarray) -> np.ndarray:
    """Negative binomial counts, as Poisson counts of gamma means."""
    return rng.poisson(means * rng.gamma(1 / VARIATION, VARIATION, means.shape))


def _done(rng: np.random.Generator, coming: Coming, ends: np.ndarray) -> np.ndarray:
    """Cases by run and type that happen before the end."""
    listed = rng.binomial(_until(coming.scheduled, ends).astype(int), 1 - coming.not_happening)
    others = _counted(rng, _until(coming.not_yet, ends))
    for category, shares in enumerate(coming.mix):
        listed = listed + rng.multinomial(others[:, category], shares)
    return listed


def _taken(rng: np.random.Generator, cases: np.ndarray, uses: dict[int, Lines]) -> np.ndarray:
    """Units by run."""
    units = np.zeros(len(cases), dtype=int)
    for kind, lines in uses.items():
        for line in lines:
            some = cases[:, kind] if line.chance == 1 else rng.binomial(cases[:, kind], line.chance)
            taken = line.quantity * some
            units += taken + (rng.binomial(taken, line.spoiled) if line.spoiled else 0)
    return units


def _lenses_taken(
    rng: np.random.Generator, model: LensCases, shares: Sequence[float], ends: np.ndarray
) -> np.ndarray:
    """Lenses by power and run."""
    happening = 1 - model.not_happening
    known = rng.binomial(_until(model.known, ends).astype(int), happening)
    unknown = rng.binomial(_until(model.unknown[:, None], ends).astype(int)[:, 0], happening)
    others = _counted(rng, _until(model.not_yet, ends)).sum(axis=1)
    taken = known + rng.multinomial(unknown + others, shares)
    return (taken + rng.binomial(taken, model.spoiled)).T


def drawn_levels(draws: Sequence[np.ndarray]) -> list[int]:
    """The same level from the runs: the smallest that so large a part of them needs no more of."""
    nth = int(np.ceil(SERVICE * RUNS)) - 1
    return [int(np.partition(units, nth)[nth]) for units in draws]


if __name__ == "__main__":
    print(len(levels(exact(site()))), "scipy" in sys.modules)
