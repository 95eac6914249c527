"""The forecast as a policy: it estimates every rate from the history that a view shows.

What the engine believes beforehand is not what is true here: notice alike over all weeks, one
case in ten not happening, one lens in a hundred spoiled, and what the site's kits state. Levels
are those of `stockbook.forecast` by cost, as where the site's rule `service_by_cost` is yes; a
strength is a chance of running short, as a mean over all uses of consumables, and of lenses.
Levels do not hang on what was ordered, so they are reckoned once a week of a world for all
strengths.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from list_mix.demand import WARM_UP_WEEKS, WEEKS, World
from list_mix.site import (
    CATEGORIES,
    EVENTS,
    MODELS,
    POWERS,
    PROCEDURES,
    SUPPLIERS,
    Floats,
    Ints,
    Site,
)
from list_mix.view import UNKNOWN, Past, Scheduled, View
from stockbook.domain.forecasts import Shares, Volume
from stockbook.forecast import estimates
from stockbook.forecast.coming import (
    Coming,
    horizons,
    protection,
    protection_with_crossing,
    still_to_come,
)
from stockbook.forecast.demand import Lines, demands_over, item_demand
from stockbook.forecast.distributions import Distribution
from stockbook.forecast.lens_powers import LensCases, model_cases, power_demands
from stockbook.forecast.lens_shares import power_shares
from stockbook.forecast.levels import order_up_to
from stockbook.forecast.outlook import amounts_of
from stockbook.forecast.service_costs import ITEMS_POWER, LENSES_POWER, Candidate, Ranking
from stockbook.forecast.shapes import leaning

DAYS = 7 * 7
"""A week's review and the longest lead time."""
WEEKS_AHEAD = DAYS // 7
NOTICE = (1 / 6,) * 6
MISSED, MISSED_WEIGHT = 0.10, 50.0
SPOILED, SPOILED_WEIGHT = 0.01, 150.0
POWER_MEAN, POWER_SD = 2120, 250
FIRST_WEEK = 8
"""Before that nothing is ordered by forecast: the opening stock lasts, the year is a warm-up."""
KINDS = len(CATEGORIES) * len(PROCEDURES)


@dataclass(frozen=True)
class Intervals:
    """How long it takes until an order comes, and how long it covers."""

    own: Mapping[int, float]
    plain: Mapping[int, float]
    """What is ordered now and then: until the next order comes."""
    covered: Mapping[int, float]
    """What is in every order: until the first of all later ones comes."""


@dataclass(frozen=True)
class Learned:
    """All that is estimated on a Monday."""

    coming: Coming
    uses: Sequence[Mapping[int, Lines]]
    """By consumable."""
    intervals: Sequence[Intervals]
    """By supplier."""
    model_parts: Floats
    """The share of each model in a category's cases, by model and category."""
    shares: Sequence[Sequence[float]]
    """By model, the share of each power."""
    spoiled: float


class Sight:
    """The levels of one world, week by week, for several strengths."""

    def __init__(self, world: World, consumables: Sequence[float], lenses: Sequence[float]) -> None:
        self.site = world.site
        self.consumables, self.lenses = tuple(consumables), tuple(lenses)
        self.known: dict[int, Ints] = {}

    def level(self, view: View, strength: int) -> Ints:
        """Units by stocked thing at one strength."""
        if view.week not in self.known:
            self.known[view.week] = self._levels(view)
        return np.asarray(self.known[view.week][strength])

    def _levels(self, view: View) -> Ints:
        if view.week < FIRST_WEEK:
            return np.zeros((len(self.lenses), len(self.site.names)), np.int64)
        learned = learn(view)
        found = [*self._of_consumables(view, learned), *self._of_lenses(view, learned)]
        return np.array(found).T

    def _of_consumables(self, view: View, learned: Learned) -> list[list[int]]:
        items = range(self.site.consumables)
        uses = (view.past.need > 0).sum(axis=0)
        units = view.past.need.sum(axis=0) / np.maximum(uses, 1)
        costs = self.site.costs[: len(items)] * units
        demands = _demands(self.site, learned)
        ranking = Ranking([Candidate(*one) for one in zip(costs, uses, *demands, strict=True)],
                          ITEMS_POWER)  # fmt: skip
        return _by_thing([ranking.levels(short) for short in self.consumables])

    def _of_lenses(self, view: View, learned: Learned) -> list[list[int]]:
        uses = np.bincount(view.past.model[view.past.happened == 1], minlength=len(MODELS))
        found = []
        for model, shares in enumerate(learned.shares):
            first = self.site.lens(model, 0)
            intervals = learned.intervals[self.site.supplier[first]]
            asked = [(lens_cases(view, learned, model), shares)]
            until_next, until_own = (power_demands(asked, interval)[0]
                                     for interval in (intervals.plain, intervals.own))  # fmt: skip
            found += [
                Candidate(float(self.site.costs[first]), uses[model] * share, after, before)
                for share, after, before in zip(shares, until_next, until_own, strict=True)
            ]
        ranking = Ranking(found, LENSES_POWER)
        return _by_thing([ranking.levels(short) for short in self.lenses])


def _by_thing(by_strength: list[list[int]]) -> list[list[int]]:
    return [list(levels) for levels in zip(*by_strength, strict=True)]


def _demands(site: Site, learned: Learned) -> tuple[list[Distribution], list[Distribution]]:
    """Of every consumable, all together: until the first of later orders comes, and its own."""
    every = range(site.consumables)
    uses = [learned.uses[item] for item in every]

    def over(by_supplier: Sequence[Mapping[int, float]]) -> list[Distribution]:
        found = [horizons(learned.coming, interval) for interval in by_supplier]
        made = demands_over(learned.coming, uses, [found[site.supplier[item]] for item in every])
        return [demand.total for demand in made]

    return (over([one.covered for one in learned.intervals]),
            over([one.own for one in learned.intervals]))  # fmt: skip


def level(demand: Distribution, short: float) -> int:
    """The smallest level at which more is wanted with no more than this chance."""
    return order_up_to(demand, 1 - short)


def learn(view: View) -> Learned:
    """Everything estimated from the past, the lists and the calendar."""
    past, site = view.past, view.site
    happened = past.happened == 1
    curve = estimates.scheduling_curve(_notice(view), prior=NOTICE)
    missed = estimates.learned(
        "not happening", MISSED, "", MISSED_WEIGHT, float((~happened).sum()), len(happened)
    ).result
    lenses = past.lenses[happened]
    spoiled = estimates.learned(
        "spoiled", SPOILED, "", SPOILED_WEIGHT, float((lenses - 1).sum()), float(lenses.sum())
    ).result
    volumes = [_volume(view, category) for category in range(len(CATEGORIES))]
    coming = _coming(view, volumes, curve, missed)
    counts = np.stack([
        np.bincount(past.model[happened & (past.category == c)], minlength=len(MODELS))
        for c in range(len(CATEGORIES))
    ], axis=1)  # fmt: skip
    return Learned(
        coming, _uses(view), _intervals(view, site),
        counts / np.maximum(counts.sum(axis=0), 1), _shares(view), spoiled,
    )  # fmt: skip


def _notice(view: View) -> list[float]:
    """Cases by how early they were on a list: in their week, by its Monday, n weeks before."""
    found = Counter(np.maximum(view.past.seen_ahead, -1).tolist())
    return [float(found[ahead]) for ahead in range(-1, max(found, default=-1) + 1)]


def _volume(view: View, category: int) -> Volume:
    """Operated cases of a usual week of a category, camps apart; closed weeks are left out."""
    past = view.past
    own = (past.category == category) & (past.camp == 0) & (past.happened == 1)
    weeks = np.bincount(past.week[own], minlength=view.week)[: view.week]
    usual = weeks[view.open_share[: view.week] == 1]
    found = estimates.volume(CATEGORIES[category], [float(n) for n in usual])
    assert isinstance(found, Volume)
    return found


def _coming(view: View, volumes: Sequence[Volume], curve: Shares, missed: float) -> Coming:
    """Cases on the lists by day and kind, and those not yet there by day and category."""
    listed, past = view.scheduled, view.past
    scheduled = np.zeros((DAYS, KINDS))
    not_yet = np.zeros((DAYS, len(CATEGORIES)))
    ahead = listed.day - view.today
    inside = ahead < DAYS
    np.add.at(scheduled, (ahead[inside], _kind(listed)[inside]), 1)
    variation = float(np.mean([one.variation.result for one in volumes]))
    for weeks, category in product(range(WEEKS_AHEAD), range(len(CATEGORIES))):
        share = estimates.visible_share(curve, weeks)
        at = min(view.week + weeks, len(view.camp) - 1)
        in_week = (listed.week == view.week + weeks) & (listed.category == category)
        usual = volumes[category].mean.result * view.open_share[at]
        seen = float((in_week & (listed.camp == 0)).sum()) * (1 - missed)
        rest = still_to_come(usual, variation, share, seen)
        if category == CATEGORIES.index("free"):
            camp = float((in_week & (listed.camp == 1)).sum()) * (1 - missed)
            rest += still_to_come(float(view.camp[at]), variation, share, camp)
        not_yet[7 * weeks : 7 * weeks + 5, category] = rest / 5
    kinds = np.bincount(_kind(past), minlength=KINDS).reshape(len(CATEGORIES), -1)
    mix = np.zeros((len(CATEGORIES), KINDS))
    for category, row in enumerate(kinds):
        prior = (1 / len(PROCEDURES),) * len(PROCEDURES)
        shares = leaning(prior, estimates.MIX_WEIGHT, tuple(row.tolist()))
        mix[category, category * len(PROCEDURES) : (category + 1) * len(PROCEDURES)] = shares
    return Coming(scheduled, not_yet, mix, missed, variation)


def _kind(cases: Past | Scheduled) -> Ints:
    """The number of each case's category and procedure."""
    return np.asarray(cases.category * len(PROCEDURES) + cases.procedure)


def _uses(view: View) -> list[dict[int, Lines]]:
    """By consumable and kind what a case takes: what the kits state, and what cases took."""
    past, site = view.past, view.site
    happened = past.happened == 1
    kind = _kind(past)
    found: list[dict[int, Lines]] = [{} for _ in range(site.consumables)]
    for number in range(KINDS):
        category, procedure = divmod(number, len(PROCEDURES))
        need = past.need[happened & (kind == number)]
        for item in range(site.consumables):
            seen = Counter(need[:, item].tolist())
            stated = _stated(site, category, procedure, item)
            lines = amounts_of(stated, seen, len(need))
            if lines:
                found[item][number] = lines
    return found


def _stated(site: Site, category: int, procedure: int, item: int) -> list[tuple[int, float]]:
    """What the kit says of an item: the sure units, and more where an event happens."""
    chances = {int(site.always[procedure, item]): 1.0}
    for event in range(len(EVENTS)):
        more, chance = int(site.besides[event, item]), float(site.kit_chances[category, event])
        if more:
            chances = _either(chances, more, chance)
    return sorted(chances.items())


def _either(chances: Mapping[int, float], more: int, chance: float) -> dict[int, float]:
    found: dict[int, float] = {}
    for units, part in chances.items():
        found[units] = found.get(units, 0.0) + part * (1 - chance)
        found[units + more] = found.get(units + more, 0.0) + part * chance
    return found


def _intervals(view: View, site: Site) -> list[Intervals]:
    """From each supplier's receipts and the quoted time, to the next order and the first of all.

    Where receipts overtook one another, what is in every order is covered by the first to come.
    """
    placed, came = view.receipts.ordered_day, view.receipts.received_day
    found = []
    for supplier in range(SUPPLIERS):
        own = view.receipts.supplier == supplier
        days = (came - placed)[own].tolist()
        lead = estimates.lead_times(str(supplier), days, site.quoted_lead_days, longest=DAYS - 7)
        assert isinstance(lead, Shares)
        times = estimates.days_of(lead)
        plain = protection(7, times)
        crossed = bool((np.diff(came[own][np.argsort(placed[own])]) < 0).any())
        covered = protection_with_crossing(7, times) if crossed else plain
        found.append(Intervals(times, plain, covered))
    return found


def _shares(view: View) -> list[list[float]]:
    """Power shares of each model, pooled and by itself, from the published shape on."""
    past = view.past
    known = past.happened == 1
    grid = [round(100 * power) for power in POWERS]
    counts = {
        str(model): dict(zip(grid, np.bincount(
            past.power[known & (past.model == model)], minlength=len(POWERS)
        ).tolist(), strict=True))
        for model in range(len(MODELS))
    }  # fmt: skip
    shares = power_shares(counts, POWER_MEAN, POWER_SD)
    return [[shares[str(model)][power] for power in grid] for model in range(len(MODELS))]


def lens_cases(view: View, learned: Learned, model: int) -> LensCases:
    """A model's coming cases: those of the lists with and without a power, and those to come."""
    listed = view.scheduled
    own = (listed.model == model) & (listed.day - view.today < DAYS)
    day = listed.day - view.today
    known = own & (listed.power != UNKNOWN)
    return model_cases(
        learned.coming, len(POWERS),
        list(zip(day[known].tolist(), listed.power[known].tolist(), strict=True)),
        day[own & (listed.power == UNKNOWN)].tolist(), learned.model_parts[model].tolist(), [],
        learned.spoiled,
    )  # fmt: skip


@dataclass(frozen=True)
class Estimated:
    """Orders up to the levels of one strength."""

    sight: Sight
    strength: int

    def orders(self, view: View) -> Ints:
        """What is missing to the level."""
        return np.maximum(self.sight.level(view, self.strength) - view.position, 0)


COVERED_DAYS = 21
"""What calibration looks at: three weeks, a review and a usual lead time."""


def coverage(view: View, wanted_by_week: Ints, shares: Sequence[float]) -> Floats:
    """How many consumables needed no more in three weeks than the level that is enough with each
    of these chances; how many there are.
    """
    learned = learn(view)
    weeks = slice(view.week, view.week + COVERED_DAYS // 7)
    came = wanted_by_week[weeks, : view.site.consumables].sum(axis=0)
    demands = [item_demand(learned.coming, uses, {COVERED_DAYS: 1.0}).total
               for uses in learned.uses]  # fmt: skip
    pairs = list(zip(came, demands, strict=True))
    return np.array([
        sum(units <= order_up_to(demand, share) for units, demand in pairs) for share in shares
    ])  # fmt: skip


class Calibrating:
    """A policy that orders as another does and counts how often its levels were enough."""

    def __init__(self, other: Estimated, world: World, shares: Sequence[float]) -> None:
        self.other, self.wanted, self.shares = other, world.wanted_by_week, tuple(shares)
        self.enough = np.zeros(len(shares))
        self.looked = 0

    def orders(self, view: View) -> Ints:
        """The other's orders; every fourth week of the last two years is looked at."""
        ends = view.week + COVERED_DAYS // 7
        if view.week >= WARM_UP_WEEKS and view.week % 4 == 0 and ends <= WEEKS:
            self.enough += coverage(view, self.wanted, self.shares)
            self.looked += view.site.consumables
        return self.other.orders(view)
