"""Every item's prospect: what it faces until the order after next can come, from all its uses."""

import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.days import days_between
from stockbook.domain.facts import Item
from stockbook.domain.forecasts import NoBasis, PlainDemand, Shares
from stockbook.domain.foresight import LotAhead, Spiked
from stockbook.domain.levels import usable_by_someone
from stockbook.domain.service_levels import ServiceLevel
from stockbook.forecast import estimates
from stockbook.forecast.coming import Days, extended, protection
from stockbook.forecast.demand import Demand, Lines, item_demand
from stockbook.forecast.distributions import Distribution, always
from stockbook.forecast.outlook import Ahead, ahead_of, amounts_of
from stockbook.forecast.plain_use import with_plain_use
from stockbook.jobs.forecast_ground import Ground, ground_of
from stockbook.jobs.forecast_supply import leads_of
from stockbook.jobs.ordering import to_come
from stockbook.jobs.plain_items import PlainUse, plain_use_of
from stockbook.ledger.facts import all_of

NEVER_USED = "no case of this site used it, and no kit of a coming case has it"


@dataclass(frozen=True, eq=False, slots=True)
class Prospect:
    """An item, what there is of it, and its demand over its interval; finest steps.

    `until` gives its demand over so many days from today; `basis` says in words what it rests on.
    """

    item: Item
    lead: Shares
    interval: Days
    usable: int
    on_order: int
    standby: int
    service: ServiceLevel
    ahead: Ahead
    until: Callable[[int], Distribution]
    basis: str
    notes: tuple[str, ...] = ()

    @property
    def demand(self) -> Demand:
        """The demand until the order after next can come."""
        return self.ahead.demand


@dataclass(frozen=True, slots=True)
class Held:
    """What there is of an item and is to come, and how long that takes."""

    lead: Shares
    usable: int
    on_order: int
    lots: Sequence[LotAhead]


@dataclass(frozen=True, slots=True)
class Prospects:
    """All prospects on one ground, the items without one, and weeks that stand out."""

    ground: Ground
    known: tuple[Prospect, ...]
    none: tuple[NoBasis, ...]
    spikes: tuple[Spiked, ...]


def prospects_of(db: sqlite3.Connection, day: str, plan: Sequence[PlannedSpan] = ()) -> Prospects:
    """The prospect of every item and lens that has one; the others with why they have none."""
    from stockbook.jobs.prospects_lenses import lens_prospects

    items = all_of(db, Item)
    ground = ground_of(db, day, items, plan)
    leads, coming = leads_of(db, items), to_come(db)
    held = {
        item.code: _held(ground, item, leads[item.code],
                         coming[item.code].quantity if item.code in coming else 0)
        for item in items
    }  # fmt: skip
    plain, spikes = plain_use_of(db, ground, [i for i in items if i.lens_model is None])
    found = [
        _prospect(ground, item, held[item.code], plain.get(item.code))
        for item in items
        if item.lens_model is None
    ]
    found += lens_prospects(ground, [i for i in items if i.lens_model is not None], held, db)
    known = tuple(one for one in found if isinstance(one, Prospect))
    none = tuple(one for one in found if isinstance(one, NoBasis))
    return Prospects(ground, known, none, tuple(spikes))


def _held(ground: Ground, item: Item, lead: Shares, on_order: int) -> Held:
    """What is usable, what is left of the items it replaced first."""
    olds = [old for old, new in ground.replaced.items() if new == item.code]
    rows = [
        row for code in (*olds, item.code)
        for row in usable_by_someone(ground.shelf, code, ground.wish)
    ]  # fmt: skip
    lots = [LotAhead(row.quantity, days_between(ground.day, row.lot.expires_on)) for row in rows]
    return Held(lead, sum(row.quantity for row in rows), on_order, lots)


def _prospect(
    ground: Ground, item: Item, held: Held, plain: PlainUse | NoBasis | None
) -> Prospect | NoBasis:
    """One item's prospect over its review period and lead time."""
    if item.code in ground.replaced:
        return NoBasis(item.code, f"replaced by {ground.replaced[item.code]}, which has its use")
    uses, coming = _uses(ground, item), ground.coming
    weekly = plain.demand if isinstance(plain, PlainUse) else None
    if weekly is not None:
        coming, uses = with_plain_use(coming, uses, weekly)
    standby = ground.standby_of(item)
    if not uses and not standby:
        why = plain.why if isinstance(plain, NoBasis) else NEVER_USED
        return NoBasis(item.code, why)
    interval = interval_of(ground, held.lead)

    def until(days: int) -> Distribution:
        if not uses:
            return always(0)
        return item_demand(extended(coming, days), uses, {days: 1.0}).total

    ahead = ahead_of(coming, uses, interval, held.usable, held.lots) if uses else NOTHING
    return Prospect(
        item, held.lead, interval, held.usable, held.on_order, standby, ground.service_of(item),
        ahead, until, _basis(ground, item, weekly),
    )  # fmt: skip


NOTHING = Ahead(Demand(always(0), 0.0, 0.0), None, None)
"""What an item that is kept for standby alone faces, as far as anybody knows."""


def interval_of(ground: Ground, lead: Shares) -> Days:
    """Review period and lead time: until the order after next can come."""
    return protection(ground.review_days, estimates.days_of(lead))


def _uses(ground: Ground, item: Item) -> dict[int, Lines]:
    """By the number of a kind of case, what it takes of an item."""
    found = {
        number: amounts_of(
            ground.stated[kind].get(item.code, ()),
            ground.taken.get((kind, item.code), {}),
            ground.done.get(kind, 0),
        )
        for number, kind in enumerate(ground.kinds)
    }
    return {number: lines for number, lines in found.items() if lines}


def _basis(ground: Ground, item: Item, weekly: PlainDemand | None) -> str:
    """How many cases used it, or what else its forecast rests on."""
    seen = sum(sum(c.values()) for (_, code), c in ground.taken.items() if code == item.code)
    words = [f"{seen} of {len(ground.history.done)}"] if seen else []
    if not seen and any(item.code in stated for stated in ground.stated.values()):
        words.append("kits alone")
    if weekly is not None:
        words.append(weekly.basis)
    olds = [old for old, new in ground.replaced.items() if new == item.code]
    if olds:
        words.append(f"with {', '.join(olds)}")
    return "; ".join(words) or "standby alone"
