"""Orders: what was ordered, what of it came, what is still to come and what was given up."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.amounts import half_even
from stockbook.domain.days import days_after, days_between
from stockbook.domain.facts import Item
from stockbook.domain.order_facts import OrderLine, PurchaseOrder, SupplyTerms

OPEN, COMPLETE, CLOSED = "open", "complete", "closed"
"""Open and closed are kept with the order; complete follows from what came."""

Came = Mapping[str, int]
"""Finest steps that came on an order, by item; deliveries that were reversed brought nothing."""


@dataclass(frozen=True, slots=True)
class LineState:
    """A line and how much came on it; ordered = received + to come + given up, always."""

    line: OrderLine
    item: Item
    came: int
    closed: bool = False

    @property
    def received(self) -> int:
        """What came of what was ordered."""
        return min(self.came, self.line.quantity)

    @property
    def over(self) -> int:
        """What came beyond what was ordered."""
        return self.came - self.received

    @property
    def missing(self) -> int:
        """What of it has not come."""
        return self.line.quantity - self.received

    @property
    def to_come(self) -> int:
        """What is still expected."""
        return 0 if self.closed else self.missing

    @property
    def given_up(self) -> int:
        """What is expected no more, because the order was closed."""
        return self.missing if self.closed else 0


@dataclass(frozen=True, slots=True)
class OrderState:
    """An order with each of its lines, and what came on it that was never ordered."""

    order: PurchaseOrder
    lines: tuple[LineState, ...]
    beside: tuple[tuple[Item, int], ...] = ()

    @property
    def state(self) -> str:
        """Open, complete or closed."""
        if self.order.state == CLOSED:
            return CLOSED
        return OPEN if any(line.missing for line in self.lines) else COMPLETE

    @property
    def value(self) -> int:
        """What all of it costs, as far as prices are agreed; minor units."""
        return sum(line.line.price or 0 for line in self.lines)

    @property
    def without_price(self) -> tuple[str, ...]:
        """The items whose price is not agreed."""
        return tuple(line.item.code for line in self.lines if line.line.price is None)

    def days_late(self, day: str) -> int:
        """How many days ago it was due, while something is still to come; else nothing.

        >>> order = PurchaseOrder("O-1", "ACME", "2027-01-01", "2027-01-10", ())
        >>> OrderState(order, ()).days_late("2027-01-12")
        0
        """
        return max(0, days_between(self.order.due_on, day)) if self.state == OPEN else 0

    def line_of(self, item: str) -> LineState | None:
        """The line that orders an item."""
        return next((line for line in self.lines if line.item.code == item), None)


def order_state(order: PurchaseOrder, items: Mapping[str, Item], came: Came) -> OrderState:
    """Where an order stands after what came on it."""
    closed = order.state == CLOSED
    lines = tuple(
        LineState(line, items[line.item], came.get(line.item, 0), closed) for line in order.lines
    )
    ordered = {line.item for line in order.lines}
    beside = tuple(
        (items[item], quantity) for item, quantity in came.items() if item not in ordered
    )
    return OrderState(order, lines, beside)


@dataclass(frozen=True, slots=True)
class ToCome:
    """So much of an item is still to come on an order, due on a day."""

    order: str
    supplier: str
    due_on: str
    quantity: int


@dataclass(frozen=True, slots=True)
class OnOrder:
    """All that is still to come of an item, what is due first at the front."""

    item: Item
    parts: tuple[ToCome, ...]

    @property
    def quantity(self) -> int:
        """Finest steps to come on all orders."""
        return sum(part.quantity for part in self.parts)


def on_order(states: Sequence[OrderState]) -> dict[str, OnOrder]:
    """What is still to come, by item."""
    found: dict[str, OnOrder] = {}
    for state in sorted(states, key=lambda one: (one.order.due_on, one.order.code)):
        order = state.order
        for line in state.lines:
            if line.to_come:
                part = ToCome(order.code, order.supplier, order.due_on, line.to_come)
                known = found.get(line.item.code)
                parts = (*known.parts, part) if known else (part,)
                found[line.item.code] = OnOrder(line.item, parts)
    return dict(sorted(found.items()))


def price_of(terms: SupplyTerms, quantity: int) -> int:
    """What so many finest steps cost by a supplier's terms: at the break they reach.

    >>> from stockbook.domain.order_facts import PriceBreak
    >>> terms = SupplyTerms("A/B", "A", "B", 10, 1000, 10, 7, breaks=(PriceBreak(50, 900),))
    >>> price_of(terms, 40), price_of(terms, 50)
    (4000, 4500)
    """
    reached = [one.price for one in terms.breaks if one.quantity <= quantity]
    return half_even((reached[-1] if reached else terms.price) * quantity, terms.price_quantity)


def due_day(ordered_on: str, lines: Sequence[OrderLine]) -> str | None:
    """The day of the line that takes longest by the quoted times; none where none is quoted."""
    quoted = [line.lead_days for line in lines if line.lead_days is not None]
    return days_after(ordered_on, max(quoted)) if quoted else None
