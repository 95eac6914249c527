"""The economic order quantity and price breaks: how much to order at a time.

Rates of use and of holding are for the same length of time (the units trap of a use by the month
and a holding cost by the year is the caller's to avoid). Money is in one unit throughout. All
figures are exact but roots, which are cut after nine decimals.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from stockbook.domain.handbook import Exact, whole_up
from stockbook.errors import InputError

PLACES = 9
"""Decimals of a root."""


def square_root(value: Exact, places: int = PLACES) -> Fraction:
    """The root, cut after so many decimals.

    >>> square_root(Fraction(9, 4)), square_root(2, places=4)
    (Fraction(3, 2), Fraction(7071, 5000))
    """
    scale = 10**places
    return Fraction(isqrt(value.numerator * scale * scale // value.denominator), scale)


def _positive(**figures: Exact) -> None:
    for name, figure in figures.items():
        if figure <= 0:
            raise InputError(f"{name}: found {figure}, wanted more than 0.")


def cost_of_ordering(
    quantity: Exact, *, order_cost: Exact, holding_cost: Exact, use: Exact
) -> Fraction:
    """What ordering and holding cost in the time of `use`, when `quantity` is ordered at a time.

    Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., eq. (3.3), data of Example 3.1.

    >>> cost_of_ordering(250, order_cost=8, holding_cost=Fraction(225, 1000), use=1300)
    Fraction(2789, 40)
    """
    _positive(quantity=quantity)
    return Fraction(order_cost * use, quantity) + Fraction(holding_cost * quantity, 2)


def economic_order_quantity(*, order_cost: Exact, holding_cost: Exact, use: Exact) -> Fraction:
    """The order at which ordering and holding cost least: the root of 2 K D / h.

    Snyder & Shen, 2nd ed., eq. (3.4), Example 3.1; its cost is `cost_of_ordering` at it.

    >>> quantity = economic_order_quantity(
    ...     order_cost=8, holding_cost=Fraction(225, 1000), use=1300)
    >>> f"{float(quantity):.5f}"
    '304.04678'
    """
    _positive(order_cost=order_cost, holding_cost=holding_cost, use=use)
    return square_root(Fraction(2 * order_cost * use, holding_cost))


def whole_order_quantity(*, order_cost: Exact, holding_cost: Exact, use: Exact) -> int:
    """The whole number of units whose cost is least; of two equal ones the smaller.

    >>> whole_order_quantity(order_cost=8, holding_cost=Fraction(225, 1000), use=1300)
    304
    """
    exact = economic_order_quantity(order_cost=order_cost, holding_cost=holding_cost, use=use)
    low = max(1, int(exact))

    def cost(quantity: int) -> Fraction:
        return cost_of_ordering(
            quantity, order_cost=order_cost, holding_cost=holding_cost, use=use
        )  # fmt: skip

    return min((low, low + 1), key=cost)


@dataclass(frozen=True, slots=True)
class OrderWithBackorders:
    """An order where what is short is supplied later: its size, its cost, and the share short."""

    quantity: Fraction
    cost: Fraction
    share_short: Fraction


def order_with_backorders(
    *, order_cost: Exact, holding_cost: Exact, backorder_cost: Exact, use: Exact
) -> OrderWithBackorders:
    """The best order when use may wait at a cost a unit and time.

    Snyder & Shen, 2nd ed., eqs. (3.27)-(3.29), Example 3.8.

    >>> best = order_with_backorders(
    ...     order_cost=8, holding_cost=Fraction(225, 1000), backorder_cost=5, use=1300)
    >>> f"{float(best.quantity):.6f} {float(best.cost):.6f} {float(best.share_short):.7f}"
    '310.812555 66.921364 0.0430622'
    """
    _positive(order_cost=order_cost, holding_cost=holding_cost, use=use)
    _positive(backorder_cost=backorder_cost)
    both = Fraction(holding_cost * backorder_cost, holding_cost + backorder_cost)
    return OrderWithBackorders(
        square_root(Fraction(2 * order_cost * use, both)),
        square_root(2 * order_cost * use * both),
        Fraction(holding_cost, holding_cost + backorder_cost),
    )


@dataclass(frozen=True, slots=True)
class PriceBreak:
    """From so many units on, every unit of the order has this price."""

    from_quantity: int
    unit_price: Exact


@dataclass(frozen=True, slots=True)
class PricedOrder:
    """An order at its price: the place of the price in the list, and the cost with the goods."""

    quantity: Exact
    price_index: int
    cost: Fraction


def best_priced_order(
    breaks: Sequence[PriceBreak], *, order_cost: Exact, holding_rate: Exact, use: Exact,
    whole: bool = True,
) -> PricedOrder:  # fmt: skip
    """The order that costs least with its goods, all units at the price of its quantity.

    `holding_rate` is the cost of holding a unit as a share of its price; breaks in rising order,
    the first from 0. Of equal ones the smaller. Snyder & Shen, 2nd ed., section 3.4, Examples
    3.5 and 3.6.

    >>> prices = [PriceBreak(0, Fraction(75, 100)), PriceBreak(400, Fraction(72, 100)),
    ...           PriceBreak(800, Fraction(68, 100))]
    >>> best = best_priced_order(prices, order_cost=8, holding_rate=Fraction(3, 10), use=1300)
    >>> best.quantity, best.price_index, float(best.cost)
    (800, 2, 978.6)
    """
    starts = [step.from_quantity for step in breaks]
    if not starts or starts[0] != 0 or starts != sorted(set(starts)):
        raise InputError(f"price breaks: found {starts}, wanted rising quantities from 0 on.")
    ends = [*starts[1:], None]
    priced = [
        _at_price(index, step, end, (order_cost, holding_rate, use), whole=whole)
        for index, (step, end) in enumerate(zip(breaks, ends, strict=True))
        if end is None or end > 1  # a price that ends at one unit is never paid
    ]
    return min(priced, key=lambda order: (order.cost, order.quantity))


def _at_price(
    index: int, step: PriceBreak, end: int | None, costs: tuple[Exact, Exact, Exact], *, whole: bool
) -> PricedOrder:
    """The best order at one price: its economic quantity, moved to where the price holds."""
    order_cost, holding_rate, use = costs
    holding = holding_rate * step.unit_price
    size = whole_order_quantity if whole else economic_order_quantity
    wanted: Exact = size(order_cost=order_cost, holding_cost=holding, use=use)
    quantity = max(wanted, step.from_quantity)
    if end is not None and quantity >= end:
        quantity = max(end - 1, step.from_quantity, 1)
    cost = cost_of_ordering(quantity, order_cost=order_cost, holding_cost=holding, use=use)
    return PricedOrder(quantity, index, cost + step.unit_price * use)


def in_packs(quantity: Exact, pack: int) -> int:
    """The units of the fewest whole packs that hold the quantity.

    >>> in_packs(25, 12), in_packs(24, 12), in_packs(0, 12)
    (36, 24, 0)
    """
    _positive(pack=pack)
    return pack * whole_up(Fraction(quantity, pack))
