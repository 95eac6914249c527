"""From a level to an order: position, packs, the smallest order, prices by quantity."""

from collections.abc import Sequence

from stockbook.domain.forecasts import Break, OrderRule, Quantity
from stockbook.domain.order_sizes import in_packs
from stockbook.forecast.distributions import Distribution


def position(usable: int, on_order: int, reserved: int) -> int:
    """What the coming demand can count on: usable + on order - reserved.

    >>> position(12, 5, 3)
    14
    """
    return usable + on_order - reserved


def order_quantity(
    level: int, at: int, rule: OrderRule | None = None, cap: int | None = None
) -> Quantity:
    """What to order so that the position reaches the level, as the supplier sells it.

    Rounded up to whole packs and to the smallest order; more where the price of a larger quantity
    makes it no dearer. Nothing of that lifts the position above `cap`, with one exception that is
    said: where something is needed, the least that is sold is ordered even if some will expire.

    >>> order_quantity(30, 14, OrderRule(pack=10)).units
    20
    >>> order_quantity(30, 14, OrderRule(pack=10), cap=30).units
    10
    >>> order_quantity(30, 26, OrderRule(pack=10), cap=30)
    Quantity(units=10, needed=4, reasons=('the least that is sold, 10, is more than can be used',))
    >>> order_quantity(30, 30, OrderRule(pack=10)).units
    0
    """
    rule = rule or OrderRule()
    needed = max(0, min(level, level if cap is None else cap) - at)
    if not needed:
        return Quantity(0, 0)
    room = None if cap is None else cap - at
    units, reasons = _as_sold(needed, rule, room)
    better, cheaper = _at_a_better_price(units, rule, room)
    return Quantity(better, needed, (*reasons, *cheaper))


def _as_sold(needed: int, rule: OrderRule, room: int | None) -> tuple[int, tuple[str, ...]]:
    """Up to whole packs and to the smallest order; down to the cap, but not below the least."""
    least = in_packs(max(rule.least, 1), rule.pack)
    up = max(in_packs(needed, rule.pack), least)
    if room is None or up <= room:
        return up, (f"packs of {rule.pack}, at least {least}",) if up > needed else ()
    down = room // rule.pack * rule.pack
    if down < least:
        return least, (f"the least that is sold, {least}, is more than can be used",)
    return down, (f"packs of {rule.pack}: one more would expire",)


def _at_a_better_price(
    units: int, rule: OrderRule, room: int | None
) -> tuple[int, tuple[str, ...]]:
    """The largest quantity from which a lower price begins that costs no more in all."""
    if not rule.breaks:
        return units, ()
    larger = [in_packs(one.units, rule.pack) for one in rule.breaks]
    fitting = [n for n in larger if n > units and (room is None or n <= room)]
    cost = price_of(units, rule.breaks) * units
    same = [n for n in fitting if price_of(n, rule.breaks) * n <= cost]
    return (max(same), (f"{max(same)} cost no more than {units}",)) if same else (units, ())


def price_of(units: int, breaks: Sequence[Break]) -> int:
    """The price of a unit when so many are bought; below the first break its price counts.

    >>> [price_of(n, (Break(1, 100), Break(50, 80))) for n in (1, 49, 50)]
    [100, 100, 80]
    """
    reached = [one for one in sorted(breaks, key=_units_of) if one.units <= units]
    return (reached[-1] if reached else min(breaks, key=_units_of)).price


def _units_of(one: Break) -> int:
    return one.units


def chance_short(demand: Distribution, at: int) -> float:
    """P(D > position): the chance of running short before the next delivery.

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> round(chance_short(distribution_of(poisson(20)), 30), 11)
    0.01347468128
    """
    return demand.more_than(at)


def chance_last_expires(until_expiry: Distribution, at: int) -> float:
    """P(D until expiry < units held): the chance that the last unit expires.

    >>> from stockbook.forecast.pgf import distribution_of, poisson
    >>> chance_last_expires(distribution_of(poisson(20)), 14) > 0.05
    True
    """
    return until_expiry.at_most(at - 1) if at > 0 else 0.0
