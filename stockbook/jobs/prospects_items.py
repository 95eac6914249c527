"""The prospect of every item that is no lens: what cases, lists and services use of it."""

from collections.abc import Sequence

from stockbook.domain.facts import Item
from stockbook.domain.forecasts import NoBasis, PlainDemand
from stockbook.domain.foresight import LotAhead
from stockbook.forecast.coming import extended
from stockbook.forecast.demand import Lines, item_demand
from stockbook.forecast.distributions import Distribution, always
from stockbook.forecast.outlook import NO_DEMAND, ahead_of, amount_of_a_use, amounts_of, left_by_lot
from stockbook.forecast.plain_use import with_plain_use
from stockbook.jobs.forecast_ground import Ground
from stockbook.jobs.plain_items import PlainUse
from stockbook.jobs.prospects import Held, Prospect, interval_of

NEVER_USED = "no case of this site used it, and no kit of a coming case has it"


def item_prospect(
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
        return item_demand(extended(coming, days), uses, {days: 1}).total

    def left(lots: Sequence[LotAhead]) -> list[float]:
        return left_by_lot(coming, uses, lots)

    ahead = ahead_of(coming, uses, interval, held.usable, held.lots) if uses else NO_DEMAND
    return Prospect(
        item, held.lead, interval, held.usable, held.on_order, standby, ground.service_of(item),
        ahead, until, _basis(ground, item, weekly), left, ground.review_days, amount_of_a_use(uses),
    )  # fmt: skip


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
