"""A yardstick: an exact forecast that is told the true rates, by the world and not by its history.

It orders up to the smallest level that covers what is used until the next order's arrival with the
chance asked for (the same for all things, or by their cost): scheduled cases by their type or
known power, others by calendar and curve, convolved by generating functions and mixed over the
true lead times. It still learns powers late. Levels do not hang on what was ordered before, so
they are reckoned once a world for all strengths.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from list_mix.demand import (
    LEAD_LEAST,
    LEAD_MEAN,
    LEAD_MOST,
    LEAD_SD,
    NOT_HAPPENING,
    OPERATING_DAYS,
    PAID,
    SEEN_AHEAD,
    SEEN_CHANCES,
    VOLUME_CV,
    World,
)
from list_mix.site import CHANCES, MIX, MODEL_MIX, MODELS, POWERS, Floats, Ints, Site, power_shares
from list_mix.view import UNKNOWN, View

Complex = NDArray[np.complex128]
ShortFor = Callable[[Floats], Floats]
"""From costs to chances of running short, by strength and thing."""

WEEKS_AHEAD = 6
DAYS_AHEAD = OPERATING_DAYS * WEEKS_AHEAD
ROOTS_LENSES = 128
ROOTS = {0: 256, 1: 1024, 2: 2048, 3: 2048}
"""Roots of unity, by how many a case uses at most without any event."""


def operating_days_covered() -> Floats:
    """The chance of each number of operating days before the next order's arrival."""
    lead = np.arange(LEAD_LEAST, LEAD_MOST + 1)
    weight = np.exp(-(((lead - LEAD_MEAN) / LEAD_SD) ** 2) / 2)
    weeks, rest = np.divmod(7 + lead, 7)
    days = OPERATING_DAYS * weeks + np.minimum(rest, OPERATING_DAYS)
    return np.bincount(days, weight / weight.sum(), DAYS_AHEAD + 1)


def _unseen_share() -> Floats:
    """The share of cases of 0, 1, ... weeks ahead that no list shows yet."""
    return np.array([SEEN_CHANCES[ahead > SEEN_AHEAD].sum() for ahead in range(WEEKS_AHEAD)])


def means_unseen(view: View, free: float) -> Floats:
    """Operated cases not on a list yet, by week ahead and category."""
    weeks = slice(view.week, view.week + WEEKS_AHEAD)
    opened, camp = view.open_share[weeks], view.camp[weeks]
    volumes = np.stack([PAID * opened, free * opened + camp], axis=1)
    return volumes * _unseen_share()[:, None]


def roots(number: int) -> Complex:
    """Half of the roots of unity; the other half follows for a real distribution."""
    return np.exp(-2j * np.pi * np.arange(number // 2 + 1) / number)


def uses(site: Site, z: Complex) -> Complex:
    """The generating functions of a case's use: category, procedure, root, consumable."""
    w = site.spoiled
    unit = z[:, None] * (1 - w) + z[:, None] ** 2 * w
    sure = np.stack([unit ** site.always[p] for p in range(MIX.shape[1])])
    found = []
    for category in range(2):
        case = sure.copy()
        for event, chance in enumerate(CHANCES[category]):
            case *= 1 - chance + chance * unit ** site.besides[event]
        found.append(case)
    return np.stack(found)


def unseen(means: Floats, case: Complex) -> Complex:
    """Logarithms by day ahead of cases not on a list: negative binomial, week by week.

    `means` by week, `case` the generating function of one; a part of a week has its part.
    """
    spread = VOLUME_CV**2
    part = np.arange(1, OPERATING_DAYS + 1) / OPERATING_DAYS
    weekly = means[:, None] * part
    shape = (..., *(None,) * case.ndim)
    logs = -np.log1p(spread * weekly[shape] * (1 - case)) / spread
    before = np.concatenate([np.zeros_like(logs[:1, -1]), logs[:-1, -1].cumsum(axis=0)])
    return np.asarray((before[:, None] + logs).reshape(DAYS_AHEAD, *case.shape))


def levels(by_day: Complex, number: int, short: Floats) -> Ints:
    """Smallest levels by strength and item whose chance of running short is no more than `short`.

    `by_day` are logarithms by last day covered, root and item.
    """
    weight = operating_days_covered()[1:]
    covered = np.flatnonzero(weight)
    mixed = np.tensordot(weight[covered], np.exp(by_day[covered]), axes=1)
    below = np.fft.irfft(mixed, number, axis=0).cumsum(axis=0)
    return np.stack([(below < 1 - each).sum(axis=0) for each in short])


def alike(chances: Sequence[float]) -> ShortFor:
    """The same chance of running short for everything."""
    return lambda costs: np.repeat(np.array(chances)[:, None], len(costs), axis=1)


def by_cost(chances: Sequence[float]) -> ShortFor:
    """The last unit of everything is as likely to be wanted for each unit of money it ties up.

    The chances are those of a thing that costs 10; none is above 0.3.
    """
    return lambda costs: np.minimum(np.array(chances)[:, None] * costs / 10.0, 0.3)


class Foresight:
    """The levels of one world, week by week, for several strengths."""

    def __init__(self, world: World, consumables: ShortFor, lenses: ShortFor) -> None:
        self.world, self.site = world, world.site
        split = self.site.consumables
        self.short = consumables(self.site.costs[:split]), lenses(self.site.costs[split:])
        self.known: dict[int, Ints] = {}
        need = self.site.always.max(axis=0)
        self.groups = [(np.flatnonzero(need == n), ROOTS[n]) for n in np.unique(need)]

    def level(self, view: View, strength: int) -> Ints:
        """Units by stocked thing for one of the chances."""
        if view.week not in self.known:
            means = means_unseen(view, self.world.calendar.free)
            parts = (self._consumables(view, means), self._lenses(view, means))
            self.known[view.week] = np.concatenate(parts, axis=1)
        return np.asarray(self.known[view.week][strength])

    def _consumables(self, view: View, means: Floats) -> Ints:
        listed, found = view.scheduled, np.zeros(self.short[0].shape, np.int64)
        ahead = _days_ahead(view)
        inside = ahead < DAYS_AHEAD
        counts = np.zeros((DAYS_AHEAD, *MIX.shape))
        rows = ahead[inside], listed.category[inside], listed.procedure[inside]
        np.add.at(counts, rows, 1)
        for items, number in self.groups:
            case = uses(self.site, roots(number))[..., items]
            logs = np.log(NOT_HAPPENING + (1 - NOT_HAPPENING) * case)
            by_day = np.tensordot(counts, logs, axes=2).cumsum(axis=0)
            for category in range(2):
                mixed = np.tensordot(MIX[category], case[category], axes=1)
                by_day += unseen(means[:, category], mixed)
            found[:, items] = levels(by_day, number, self.short[0][:, items])
        return found

    def _lenses(self, view: View, means: Floats) -> Ints:
        listed, z = view.scheduled, roots(ROOTS_LENSES)
        spoiled = CHANCES[0, -1]
        lens = (1 - spoiled) * z + spoiled * z**2
        shares = np.tile(power_shares(), len(MODELS))
        ahead = _days_ahead(view)
        known = np.zeros((DAYS_AHEAD, len(shares)))
        unknown = np.zeros((DAYS_AHEAD, len(MODELS)))
        inside = ahead < DAYS_AHEAD
        has = inside & (listed.power != UNKNOWN)
        np.add.at(known, (ahead[has], listed.model[has] * len(POWERS) + listed.power[has]), 1)
        has_not = inside & (listed.power == UNKNOWN)
        np.add.at(unknown, (ahead[has_not], listed.model[has_not]), 1)
        happens = 1 - NOT_HAPPENING
        logs = known[:, None] * np.log(1 + happens * (lens - 1))[:, None]
        perhaps = np.log(1 + happens * shares * (lens - 1)[:, None])
        by_day = (logs + np.repeat(unknown, len(POWERS), axis=1)[:, None] * perhaps).cumsum(axis=0)
        for category in range(2):
            part = np.repeat(MODEL_MIX[category], len(POWERS)) * shares
            by_day += unseen(means[:, category], 1 + part * (lens - 1)[:, None])
        return levels(by_day, ROOTS_LENSES, self.short[1])


def _days_ahead(view: View) -> Ints:
    """Operating days from today of every scheduled case."""
    weeks, weekday = np.divmod(view.scheduled.day - view.today, 7)
    return OPERATING_DAYS * weeks + weekday


@dataclass(frozen=True)
class Told:
    """Orders up to the levels of one strength."""

    foresight: Foresight
    strength: int

    def orders(self, view: View) -> Ints:
        """What is missing to the level."""
        return np.maximum(self.foresight.level(view, self.strength) - view.position, 0)
