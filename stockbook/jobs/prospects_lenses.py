"""The prospect of every lens: cases of known power exactly, the others by shares."""

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from stockbook.domain.case_history import DatedCase
from stockbook.domain.days import days_between
from stockbook.domain.facts import Item
from stockbook.domain.forecasts import Estimate, NoBasis
from stockbook.domain.foresight import LotAhead
from stockbook.domain.site_rules import power_deviation, power_mean
from stockbook.forecast import estimates
from stockbook.forecast.coming import Days
from stockbook.forecast.distributions import Distribution
from stockbook.forecast.lens_outlook import (
    demand_of_power,
    lens_left,
    lens_left_by_lot,
    power_ahead,
)
from stockbook.forecast.lens_powers import LensCases, model_cases, power_demands
from stockbook.forecast.lens_shares import power_shares
from stockbook.forecast.outlook import NO_DEMAND, Ahead
from stockbook.forecast.year_ahead import YEAR
from stockbook.jobs.forecast_ground import Ground
from stockbook.jobs.prospects import Held, Prospect, interval_of, shared_interval
from stockbook.ledger.settings import setting


@dataclass(frozen=True, eq=False, slots=True)
class Model:
    """A lens model's items by rising power, its coming cases and the share of each power."""

    name: str
    items: tuple[Item, ...]
    cases: LensCases
    shares: tuple[float, ...]
    counts: tuple[int, ...]
    """Finished cases with this model, by power."""

    @property
    def used(self) -> int:
        """Finished cases with this model."""
        return sum(self.counts)

    @property
    def has_basis(self) -> bool:
        """Whether any case had this model, or one on the lists is to have it."""
        return bool(self.used or self.cases.known.any() or self.cases.unknown.any())


def lens_prospects(
    ground: Ground, items: Sequence[Item], held: Mapping[str, Held], db: sqlite3.Connection
) -> list[Prospect | NoBasis]:
    """The prospect of each lens; models that no case ever had or will have have none."""
    mean, deviation = power_mean(setting(db, "lens_power_mean")), power_deviation(
        setting(db, "lens_power_sd")
    )  # fmt: skip
    by_model: dict[str, list[Item]] = defaultdict(list)
    for item in items:
        by_model[str(item.lens_model)].append(item)
    if not by_model:
        return []
    counts = _counts(ground, by_model)
    shares = power_shares(counts, mean, deviation)
    models = [
        _model(ground, name, sorted(own, key=_power), shares[name], counts[name])
        for name, own in sorted(by_model.items())
    ]
    demands = _demands(ground, models, held)
    return [one for model in models for one in _prospects(ground, model, held, demands)]


def _power(item: Item) -> int:
    return int(item.power or 0)


def _counts(ground: Ground, by_model: Mapping[str, Sequence[Item]]) -> dict[str, dict[int, int]]:
    """Finished cases by model and power, of the powers that are items."""
    seen = Counter((case.lens_model, case.power) for case in ground.history.done)
    return {
        name: {_power(item): seen[name, _power(item)] for item in own}
        for name, own in by_model.items()
    }


def _model(
    ground: Ground, name: str, items: Sequence[Item], shares: Mapping[int, float],
    counts: Mapping[int, int],
) -> Model:  # fmt: skip
    column = {_power(item): n for n, item in enumerate(items)}
    known, unknown, without = [], [], []
    for case in ground.history.listed:
        ahead = days_between(ground.day, case.day)
        if ahead >= YEAR:
            continue
        if case.lens_model == name and case.power in column:
            known.append((ahead, column[int(case.power or 0)]))
        elif case.lens_model == name:
            unknown.append(ahead)
        elif case.lens_model is None:
            without.append((ahead, ground.categories.index(case.category)))
    part = [_part(ground, name, category) for category in ground.categories]
    cases = model_cases(
        ground.coming, len(items), known, unknown, part, without, spoiled_lenses(ground).result
    )
    powers = [_power(item) for item in items]
    return Model(
        name, tuple(items), cases, tuple(shares[power] for power in powers),
        tuple(counts[power] for power in powers),
    )  # fmt: skip


def _part(ground: Ground, model: str, category: str) -> float:
    """The share of a category's cases that have this model, finished and on the lists."""
    cases: list[DatedCase] = [
        case for case in (*ground.history.done, *ground.history.listed)
        if case.category == category and case.lens_model is not None
    ]  # fmt: skip
    every = [case for case in ground.history.done if case.category == category]
    without = sum(case.lens_model is None for case in every)
    mine = sum(case.lens_model == model for case in cases)
    return estimates.share_of(mine, len(cases) + without)


def spoiled_lenses(ground: Ground) -> Estimate:
    """How often a lens is spoiled and a second one taken."""
    lenses = {
        (case, item): quantity for (case, item), quantity in ground.history.taken.items()
        if item in ground.history.lenses
    }  # fmt: skip
    more = sum(max(0, quantity - 1) for quantity in lenses.values())
    return estimates.spoilage("a lens that is spoiled", more, sum(lenses.values()))


def _demands(
    ground: Ground, models: Sequence[Model], held: Mapping[str, Held]
) -> dict[str, Distribution]:
    """The demand of each lens that there is something to reckon from, by its code; all those over
    one interval at once.
    """
    over: dict[tuple[int, bool], dict[str, Model]] = defaultdict(dict)
    for model in models:
        for item in model.items if model.has_basis else ():
            over[shared_interval(held[item.code])][item.code] = model
    found: dict[str, Distribution] = {}
    for mine in over.values():
        interval = interval_of(ground, held[next(iter(mine))])
        asked = list({model.name: model for model in mine.values()}.values())
        made = power_demands([(model.cases, model.shares) for model in asked], interval)
        for model, demands in zip(asked, made, strict=True):
            of_items = zip(model.items, demands, strict=True)
            found |= {item.code: demand for item, demand in of_items if item.code in mine}
    return found


def _prospects(
    ground: Ground, model: Model, held: Mapping[str, Held], demands: Mapping[str, Distribution]
) -> list[Prospect | NoBasis]:
    if not model.has_basis:
        return [_unused(ground, item, held[item.code]) for item in model.items]
    found: list[Prospect | NoBasis] = []
    for number, item in enumerate(model.items):
        own = held[item.code]
        ahead = power_ahead(
            model.cases, model.shares[number], number, interval_of(ground, own),
            demands[item.code], own.usable,
        )  # fmt: skip
        left = lens_left(model.cases, model.shares[number], number, own.lots)
        over = partial(demand_of_power, model.cases, model.shares[number], number)
        basis = f"{model.used} of {len(ground.history.done)}"
        lots = partial(lens_left_by_lot, model.cases, model.shares[number], number)
        made = _prospect(ground, item, own, replace(ahead, left=left), over, basis, lots)
        found.append(replace(made, notes=_notes(ground, model, number)))
    return found


def _notes(ground: Ground, model: Model, number: int) -> tuple[str, ...]:
    """What the power's share is reckoned from."""
    share = 100 * model.shares[number]
    known = model.cases.known[:, number].sum()
    return (
        f"{model.name}: {model.used} of {len(ground.history.done)} finished cases, "
        f"{model.counts[number]} of them of this power; its share is taken as {share:.1f} %.",
        f"On the lists with this power: {known:.0f}; with {model.name} and no power yet: "
        f"{model.cases.unknown.sum():.0f}.",
    )


def _prospect(
    ground: Ground, item: Item, own: Held, ahead: Ahead, over: "partial[Distribution]",
    basis: str, lots: Callable[[Sequence[LotAhead]], list[float]],
) -> Prospect:  # fmt: skip
    return Prospect(
        item, own.lead, interval_of(ground, own), own.usable, own.on_order,
        ground.standby_of(item), ground.service_of(item), ahead, over, basis, lots,
        ground.review_days,
    )  # fmt: skip


def _unused(ground: Ground, item: Item, own: Held) -> Prospect | NoBasis:
    """A lens of a model that nobody has had: kept for standby, or without a basis."""
    if not ground.standby_of(item):
        return NoBasis(item.code, f"no case had or will have a lens {item.lens_model}")
    return _prospect(ground, item, own, NO_DEMAND, partial(_nothing), "standby alone", _all_left)


def _nothing(_: Days) -> Distribution:
    return NO_DEMAND.demand.total


def _all_left(lots: Sequence[LotAhead]) -> list[float]:
    return [lot.quantity for lot in lots]
