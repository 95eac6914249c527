"""Every item's and every lens's prospect on one ground."""

import sqlite3
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.days import days_between
from stockbook.domain.facts import Item
from stockbook.domain.forecasts import NoBasis, Shares
from stockbook.domain.foresight import LotAhead, Spiked
from stockbook.domain.levels import usable_by_someone
from stockbook.jobs.forecast_ground import Ground, ground_of
from stockbook.jobs.forecast_supply import brought_by_any, leads_of, lines_of
from stockbook.jobs.ordering import to_come
from stockbook.jobs.plain_items import plain_use_of
from stockbook.jobs.prospects import Held, Prospect
from stockbook.jobs.prospects_items import item_prospects
from stockbook.jobs.prospects_lenses import lens_prospects
from stockbook.ledger.facts import all_of


@dataclass(frozen=True, slots=True)
class Prospects:
    """All prospects on one ground, the items without one, and weeks that stand out."""

    ground: Ground
    known: tuple[Prospect, ...]
    none: tuple[NoBasis, ...]
    spikes: tuple[Spiked, ...]


def prospects_of(
    db: sqlite3.Connection, day: str, plan: Sequence[PlannedSpan] = (),
    only: Collection[str] | None = None,
) -> Prospects:  # fmt: skip
    """The prospect of every item and lens that has one; the others with why they have none.

    With `only` some items alone; a lens then has the powers of its whole model beside it.
    """
    items = _looked_at(all_of(db, Item), only)
    ground = ground_of(db, day, items, plan)
    lines, coming = lines_of(db), to_come(db)
    leads, by_any = leads_of(db, items, lines), brought_by_any(db, items, lines)
    held = {
        item.code: _held(ground, item, leads[item.code],
                         coming[item.code].quantity if item.code in coming else 0,
                         by_any=item.code in by_any)
        for item in items
    }  # fmt: skip
    others = [item for item in items if item.lens_model is None]
    plain, spikes = plain_use_of(db, ground, others)
    found = item_prospects(ground, others, held, plain)
    found += lens_prospects(ground, [i for i in items if i.lens_model is not None], held, db)
    known = tuple(one for one in found if isinstance(one, Prospect))
    none = tuple(one for one in found if isinstance(one, NoBasis))
    return Prospects(ground, known, none, tuple(spikes))


def _looked_at(items: list[Item], only: Collection[str] | None) -> list[Item]:
    """The items asked for, with what they replaced and with their models' other powers."""
    if only is None:
        return items
    models = {item.lens_model for item in items if item.code in only and item.lens_model}
    olds = {item.replaces for item in items if item.code in only}
    return [
        item for item in items
        if item.code in only or item.code in olds or item.lens_model in models
    ]  # fmt: skip


def _held(ground: Ground, item: Item, lead: Shares, on_order: int, *, by_any: bool) -> Held:
    """What is usable, what is left of the items it replaced first."""
    olds = [old for old, new in ground.replaced.items() if new == item.code]
    rows = [
        row for code in (*olds, item.code)
        for row in usable_by_someone(ground.shelf, code, ground.wish)
    ]  # fmt: skip
    lots = [LotAhead(row.quantity, days_between(ground.day, row.lot.expires_on)) for row in rows]
    return Held(lead, sum(row.quantity for row in rows), on_order, lots, by_any)
