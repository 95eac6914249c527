"""Stock at the lower of cost and its stated value, item by item (IAS 2, paragraphs 9, 29, 33)."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.amounts import half_even, spread, value_of_part
from stockbook.domain.facts import Item, Lot
from stockbook.domain.finance_facts import StatedValue, WrittenDown


@dataclass(frozen=True, slots=True)
class Carried:
    """Units of a lot in a place and what they bear, in finest steps and minor units."""

    lot: int
    place: str
    quantity: int
    value: int


@dataclass(frozen=True, slots=True)
class Adjusted:
    """So much less (below nothing) or more that a lot's units in a place bear."""

    lot: int
    place: str
    amount: int


def outstanding(rows: Iterable[Carried], before: Iterable[WrittenDown]) -> dict[int, int]:
    """By lot, what of earlier write-downs rests on the units still there.

    >>> outstanding([Carried(1, "STORE", 5, 40)], [WrittenDown(1, 10, 20), WrittenDown(2, 4, 8)])
    {1: 10}
    """
    there: dict[int, int] = {}
    for row in rows:
        there[row.lot] = there.get(row.lot, 0) + row.quantity
    found: dict[int, int] = {}
    for one in before:
        left = min(there.get(one.lot, 0), one.quantity)
        if left:
            found[one.lot] = found.get(one.lot, 0) + value_of_part(one.amount, one.quantity, left)
    return found


def stated_worth(quantity: int, value: int, unit_places: int) -> int:
    """What so many finest steps are worth when one unit is worth `value`."""
    return half_even(value * quantity, 10**unit_places)


def adjusted(
    rows: Sequence[Carried], value: int, unit_places: int, below_cost: Mapping[int, int]
) -> list[Adjusted]:
    """What brings an item to the lower of its cost and its stated value.

    What is above the value is taken from the lots that bear most above it; a value that
    recovered gives back at most what earlier write-downs took of the units still there.

    Ten units bear 360 and are worth 35 each (OpenStax, Principles of Accounting Vol. 1, ch. 10):

    >>> adjusted([Carried(1, "STORE", 10, 360)], 35, 0, {})
    [Adjusted(lot=1, place='STORE', amount=-10)]
    >>> adjusted([Carried(1, "STORE", 10, 350)], 36, 0, {1: 4})
    [Adjusted(lot=1, place='STORE', amount=4)]
    """
    cost = sum(row.value for row in rows)
    worth = stated_worth(sum(row.quantity for row in rows), value, unit_places)
    if cost > worth:
        above = [max(0, row.value - stated_worth(row.quantity, value, unit_places)) for row in rows]
        return _changes(rows, spread(cost - worth, above), -1)
    room = min(worth - cost, sum(below_cost.values()))
    if room <= 0:
        return []
    return _changes(rows, spread(room, _by_place(rows, below_cost)), 1)


def _by_place(rows: Sequence[Carried], below_cost: Mapping[int, int]) -> list[int]:
    """What each lot lies below its cost, over the places where its units are."""
    shares = []
    for row in rows:
        units = sum(other.quantity for other in rows if other.lot == row.lot)
        shares.append(half_even(1000 * below_cost.get(row.lot, 0) * row.quantity, units))
    return shares


def _changes(rows: Sequence[Carried], amounts: Sequence[int], sign: int) -> list[Adjusted]:
    pairs = zip(rows, amounts, strict=True)
    return [Adjusted(row.lot, row.place, sign * amount) for row, amount in pairs if amount]


def written_down(
    rows: Sequence[Carried], below_cost: Mapping[int, int], made: Sequence[Adjusted]
) -> tuple[WrittenDown, ...]:
    """What lies below cost after these adjustments, lot by lot."""
    amounts = dict(below_cost)
    for one in made:
        amounts[one.lot] = amounts.get(one.lot, 0) - one.amount
    units: dict[int, int] = {}
    for row in rows:
        units[row.lot] = units.get(row.lot, 0) + row.quantity
    return tuple(
        WrittenDown(lot, units[lot], amount) for lot, amount in sorted(amounts.items()) if amount
    )


@dataclass(frozen=True, slots=True)
class ItemValue:
    """An item's stock by lot, FIFO and moving average, beside what finance says it is worth."""

    item: Item
    quantity: int
    by_lot: int
    by_method: Mapping[str, int]
    stated: StatedValue | None

    @property
    def worth(self) -> int | None:
        """What it is worth by the stated value; none where nobody has said."""
        if self.stated is None:
            return None
        return stated_worth(self.quantity, self.stated.value, self.item.unit_places)

    @property
    def lower(self) -> int:
        """The lower of cost (by lot) and the stated value."""
        return self.by_lot if self.worth is None else min(self.by_lot, self.worth)

    @property
    def to_write_down(self) -> int:
        """What it bears above that."""
        return self.by_lot - self.lower


@dataclass(frozen=True, slots=True)
class StockValue:
    """The whole stock, item by item."""

    day: str
    test: str
    methods: tuple[str, ...]
    items: tuple[ItemValue, ...]
    last_entry: int
    checksum: str


def by_class(found: StockValue) -> dict[str, int]:
    """What lies there by lot, class by class."""
    sums: dict[str, int] = {}
    for one in found.items:
        sums[one.item.item_class] = sums.get(one.item.item_class, 0) + one.by_lot
    return sums


@dataclass(frozen=True, slots=True)
class WroteDown:
    """What a statement of value changed: before, after, and each lot's part."""

    item: Item
    before: int
    after: int
    changes: tuple[tuple[Lot, str, int], ...]
    entry: int


@dataclass(frozen=True, slots=True)
class NotMoving:
    """A lot in a place of which, or of whose item, nothing was used for long."""

    item: Item
    lot: Lot
    place: str
    quantity: int
    value: int
    last_used: str | None


@dataclass(frozen=True, slots=True)
class PricePaid:
    """A lot bought in a period beside the price before it, in minor units for all its units."""

    item: Item
    lot: Lot
    paid: int
    before: int | None

    @property
    def variance(self) -> int | None:
        """Paid more (or less, below nothing) than at the price before; none for a first price."""
        return None if self.before is None else self.paid - self.before
