"""The prospect of every item that is no lens: what cases, lists and services use of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Item
from stockbook.domain.forecasts import NoBasis, PlainDemand
from stockbook.domain.foresight import LotAhead
from stockbook.forecast.coming import Coming, Days, extended, horizons
from stockbook.forecast.demand import Demand, Lines, demands_over, item_demand
from stockbook.forecast.distributions import Distribution, always
from stockbook.forecast.outlook import NO_DEMAND, ahead_of, amount_of_a_use, amounts_of, left_by_lot
from stockbook.forecast.plain_use import with_plain_use
from stockbook.jobs.forecast_ground import Ground
from stockbook.jobs.plain_items import PlainUse
from stockbook.jobs.prospects import Held, Prospect, interval_of, shared_interval

NEVER_USED = "no case of this site used it, and no kit of a coming case has it"


@dataclass(frozen=True, eq=False, slots=True)
class _Draft:
    """An item with all that uses it, before its demand is reckoned."""

    item: Item
    held: Held
    coming: Coming
    uses: dict[int, Lines]
    weekly: PlainDemand | None

    def over(self, interval: Days) -> Distribution:
        """Its demand over a random interval from today, however long."""
        if not self.uses:
            return always(0)
        return item_demand(extended(self.coming, max(interval)), self.uses, interval).total

    def left(self, lots: Sequence[LotAhead]) -> list[float]:
        """What is expected to be left of each of some lots."""
        return left_by_lot(self.coming, self.uses, lots)


def item_prospects(
    ground: Ground, items: Sequence[Item], held: Mapping[str, Held],
    plain: Mapping[str, PlainUse | NoBasis],
) -> list[Prospect | NoBasis]:  # fmt: skip
    """Each item's prospect over its review period and lead time, or why it has none."""
    found = [_draft(ground, item, held[item.code], plain.get(item.code)) for item in items]
    demands = _demands(ground, [one for one in found if isinstance(one, _Draft)])
    return [
        _prospect(ground, one, demands[one.item.code]) if isinstance(one, _Draft) else one
        for one in found
    ]


def _draft(
    ground: Ground, item: Item, held: Held, plain: PlainUse | NoBasis | None
) -> _Draft | NoBasis:
    if item.code in ground.replaced:
        return NoBasis(item.code, f"replaced by {ground.replaced[item.code]}, which has its use")
    uses, coming = _uses(ground, item), ground.coming
    weekly = plain.demand if isinstance(plain, PlainUse) else None
    if weekly is not None:
        coming, uses = with_plain_use(coming, uses, weekly)
    if not uses and not ground.standby_of(item):
        return NoBasis(item.code, plain.why if isinstance(plain, NoBasis) else NEVER_USED)
    return _Draft(item, held, coming, uses, weekly)


def _demands(ground: Ground, drafts: Sequence[_Draft]) -> dict[str, Demand]:
    """Demands by item: those of cases alone are reckoned at once."""
    found: dict[str, Demand] = {}
    together: list[_Draft] = []
    for one in drafts:
        if one.coming is ground.coming:
            together.append(one)
        else:
            interval = interval_of(ground, one.held)
            found[one.item.code] = item_demand(one.coming, one.uses, interval)
    over = {shared_interval(one.held): horizons(ground.coming, interval_of(ground, one.held))
            for one in together}  # fmt: skip
    uses = [one.uses for one in together]
    made = demands_over(ground.coming, uses, [over[shared_interval(one.held)] for one in together])
    return found | {one.item.code: demand for one, demand in zip(together, made, strict=True)}


def _prospect(ground: Ground, one: _Draft, demand: Demand) -> Prospect:
    held, item = one.held, one.item
    ahead = ahead_of(one.coming, one.uses, demand, held.usable, held.lots)
    return Prospect(
        item, held.lead, interval_of(ground, held), held.usable, held.on_order,
        ground.standby_of(item), ground.service_of(item), ahead if one.uses else NO_DEMAND,
        one.over, _basis(ground, item, one.weekly), one.left, ground.review_days,
        amount_of_a_use(one.uses), by_any=held.by_any,
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
