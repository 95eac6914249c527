"""Items of one supplier ordered together: how often to order, and which items each time.

An order costs something whatever is in it, and something more for each item. Rates of use and of
holding are for the same length of time; money is in one unit. Exact but for roots.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stockbook.domain.handbook import Exact
from stockbook.domain.order_sizes import square_root
from stockbook.errors import InputError


@dataclass(frozen=True, slots=True)
class JointItem:
    """An item's own cost in an order, the cost of holding a unit, and its use."""

    order_cost: Exact
    holding_cost: Exact
    use: Exact

    @property
    def held(self) -> Exact:
        """What holding it costs for each length of a cycle (twice, as half of it is there)."""
        return self.holding_cost * self.use


@dataclass(frozen=True, slots=True)
class JointOrders:
    """Every `cycle` an order goes out, with item n in every `multiples[n]`-th one; its cost."""

    multiples: tuple[int, ...]
    cycle: Fraction
    cost: Fraction


def joint_orders(items: Sequence[JointItem], *, shared_cost: Exact) -> JointOrders:
    """The item that is wanted most often stands in every order, the others in every n-th one
    (E. A. Silver 1976, Manage Sci 22:1351-1361).

    Silver, Pyke & Peterson, Inventory Management, 1998, p. 428:

    >>> items = [JointItem(15, Fraction(24, 100), use) for use in (86000, 12500, 1400, 3000)]
    >>> found = joint_orders(items, shared_cost=40)
    >>> found.multiples, f"{float(found.cycle):.6f} {float(found.cost):.4f}"
    ((1, 1, 4, 3), '0.076173 2067.6508')
    """
    if not items or any(min(i.order_cost, i.held) <= 0 for i in items) or shared_cost < 0:
        raise InputError("joint orders: wanted items with costs and use above 0.")
    most = min(items, key=_own_time)
    base = Fraction(shared_cost + most.order_cost, most.held)
    multiples = tuple(
        1 if item is most else _multiple(Fraction(_own_time(item), base)) for item in items
    )
    pairs = list(zip(items, multiples, strict=True))
    each = shared_cost + sum((Fraction(i.order_cost, n) for i, n in pairs), Fraction(0))
    held = sum((i.held * n for i, n in pairs), Fraction(0))
    return JointOrders(
        multiples, square_root(Fraction(2 * each, held)), square_root(2 * each * held)
    )


def _own_time(item: JointItem) -> Fraction:
    """Grows with the time between two orders of the item if it stood alone."""
    return Fraction(item.order_cost, item.held)


def _multiple(ratio: Fraction) -> int:
    """The root of `ratio` to the nearest whole number, at least 1; a half goes down."""
    number = 1
    while (2 * number + 1) ** 2 < 4 * ratio:
        number += 1
    return number
