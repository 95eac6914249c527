"""What happens at the site, whoever orders: calendar, cases, what they need, lead times."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from list_mix.site import (
    CHANCES,
    EVENTS,
    MIX,
    MODEL_MIX,
    POWERS,
    SUPPLIERS,
    Floats,
    Ints,
    Site,
    power_shares,
)

WARM_UP_WEEKS, COUNTED_WEEKS = 52, 104
WEEKS = WARM_UP_WEEKS + COUNTED_WEEKS
OPERATING_DAYS = 5
PAID, FREE_FLAT, FREE_BESIDE_CAMPS = 42.0, 18.0, 12.0
VOLUME_CV = 0.12
NOT_HAPPENING = 0.06
POWER_KNOWN_WHEN_SCHEDULED = 0.70
SEEN_AHEAD = np.array([-1, 0, 1, 2, 3, 4])
"""Weeks ahead of its own in which a case becomes visible; -1 is after that week's Monday."""
SEEN_CHANCES = np.array([0.10, 0.10, 0.20, 0.25, 0.20, 0.15])
CALENDAR_AHEAD = 6
CLOSURE_SHARE = 0.30
LEAD_MEAN, LEAD_SD, LEAD_LEAST, LEAD_MOST = 14.0, 5.0, 3, 35
SCENARIOS = ("flat", "camps", "uneven")
NEVER = 10**6

Draw = np.random.Generator


@dataclass(frozen=True)
class Calendar:
    """By week: camp cases planned, and the share of the usual volume that is operated."""

    camp: Floats
    open_share: Floats
    free: float


@dataclass(frozen=True)
class Cases:
    """The scheduled cases in the order in which they come, one place of each array a case.

    `category` and `procedure` by their places in the site; `model`, `power` likewise; `camp` and
    `happens` are flags; `seen_week` is the week on whose Monday the case is first on a list (the
    week after its own: never on one beforehand); `power_day` the first day on which the power is
    known. `need` is what it uses of each consumable, `lenses` how many lenses of its power; a case
    that does not happen needs nothing.
    """

    week: Ints
    day: Ints
    category: Ints
    camp: Ints
    procedure: Ints
    model: Ints
    power: Ints
    happens: Ints
    seen_week: Ints
    power_day: Ints
    events: Ints
    need: Ints
    lenses: Ints


@dataclass(frozen=True)
class World:
    """One site over three years, the same for every policy."""

    site: Site
    scenario: str
    seed: int
    calendar: Calendar
    cases: Cases
    lead_days: Ints
    """By week and supplier."""

    @cached_property
    def stocked(self) -> Ints:
        """Where each case's lens stands in the site's order."""
        return np.asarray(self.site.lens(self.cases.model, self.cases.power))

    @cached_property
    def wanted(self) -> Ints:
        """Units by day of the three years and stocked thing."""
        cases = self.cases
        units = np.zeros((7 * WEEKS, len(self.site.names)), np.int64)
        np.add.at(units[:, : self.site.consumables], cases.day, cases.need)
        np.add.at(units, (cases.day, self.stocked), cases.lenses)
        return units

    @cached_property
    def wanted_by_week(self) -> Ints:
        """Units by week and stocked thing."""
        return self.wanted.reshape(WEEKS, 7, -1).sum(axis=1)


def made_world(site: Site, scenario: str, seed: int) -> World:
    """The world of a scenario and a seed; policies have no part in it."""
    draws = [np.random.default_rng(s) for s in np.random.SeedSequence(seed).spawn(3)]
    calendar = _calendar(scenario, draws[0])
    cases = _cases(site, calendar, draws[1])
    return World(site, scenario, seed, calendar, cases, _lead_days(draws[2]))


def _calendar(scenario: str, draw: Draw) -> Calendar:
    weeks = WEEKS + CALENDAR_AHEAD + 1
    camp, opened = np.zeros(weeks), np.ones(weeks)
    if scenario == "flat":
        return Calendar(camp, opened, FREE_FLAT)
    if scenario == "camps":
        camp[3::4] = 24.0
        return Calendar(camp, opened, FREE_BESIDE_CAMPS)
    held = draw.random(weeks) < 0.2
    camp[held] = draw.choice([12.0, 24.0, 36.0, 48.0], size=int(held.sum()))
    for year in range(0, WEEKS, 52):
        opened[year + draw.choice(52, size=2, replace=False)] = CLOSURE_SHARE
    camp[opened < 1.0] = 0.0
    return Calendar(camp, opened, FREE_BESIDE_CAMPS)


def _cases(site: Site, calendar: Calendar, draw: Draw) -> Cases:
    """Scheduled cases, week by week; within a day in an order by chance."""
    week, category, camp = _volumes(calendar, draw)
    number = len(week)
    weekday = draw.integers(0, OPERATING_DAYS, number)
    order = np.lexsort((draw.random(number), weekday, week))
    week, category, camp, weekday = (a[order] for a in (week, category, camp, weekday))
    day = 7 * week + weekday
    events = (draw.random((number, len(EVENTS))) < CHANCES[category]).astype(np.int64)
    procedure, model = _chosen(MIX[category], draw), _chosen(MODEL_MIX[category], draw)
    happens = (draw.random(number) >= NOT_HAPPENING).astype(np.int64)
    need = (site.always[procedure] + events @ site.besides) * happens[:, None]
    seen_week = week - draw.choice(SEEN_AHEAD, size=number, p=SEEN_CHANCES)
    return Cases(
        week, day, category, camp, procedure, model,
        draw.choice(len(POWERS), size=number, p=power_shares()),
        happens,
        seen_week, _power_days(week, day, camp, seen_week, draw), events,
        need + draw.binomial(need, site.spoiled),
        happens * (1 + events[:, EVENTS.index("spoiled lens")]),
    )  # fmt: skip


def _volumes(calendar: Calendar, draw: Draw) -> tuple[Ints, Ints, Ints]:
    """Week, category and camp flag of every scheduled case."""
    opened = calendar.open_share[:WEEKS]
    means = np.stack([PAID * opened, calendar.free * opened, calendar.camp[:WEEKS]])
    shape = 1 / VOLUME_CV**2
    volume = draw.gamma(shape, 1 / shape, means.shape)
    counts = draw.poisson(means * volume / (1 - NOT_HAPPENING))
    week = np.concatenate([np.repeat(np.arange(WEEKS), count) for count in counts])
    kind = np.repeat(np.arange(3), counts.sum(axis=1))
    return week, np.minimum(kind, 1), (kind == 2).astype(np.int64)


def _chosen(shares: Floats, draw: Draw) -> Ints:
    """One place for each row of shares."""
    above = draw.random((len(shares), 1)) >= shares.cumsum(axis=1)
    return np.asarray(np.minimum(above.sum(axis=1), shares.shape[1] - 1))


def _power_days(week: Ints, day: Ints, camp: Ints, seen_week: Ints, draw: Draw) -> Ints:
    """Base cases: seven in ten when scheduled, all by their week's Monday; camps on the eve."""
    at_once = draw.random(len(week)) < POWER_KNOWN_WHEN_SCHEDULED
    base = np.where(at_once, 7 * seen_week, np.maximum(7 * week, 7 * seen_week))
    return np.where(camp == 1, day - 1, base)


def _lead_days(draw: Draw) -> Ints:
    """Whole days, drawn again until they lie within the limits."""
    days = np.zeros((WEEKS, SUPPLIERS))
    wrong = np.ones(days.shape, bool)
    while wrong.any():
        days[wrong] = np.rint(draw.normal(LEAD_MEAN, LEAD_SD, int(wrong.sum())))
        wrong = (days < LEAD_LEAST) | (days > LEAD_MOST)
    return days.astype(np.int64)
