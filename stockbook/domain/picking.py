"""Picking: which lots leave a shelf, by one rule over a shelf that can be copied (rule 6)."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice

from stockbook.domain.amounts import value_of_part
from stockbook.domain.days import days_after, expiry_text
from stockbook.domain.facts import Lot, Quarantine


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """What lies at one place of one lot."""

    place: str
    lot: Lot
    quantity: int
    value: int


@dataclass(frozen=True, slots=True)
class Draw:
    """So much of one lot taken from one place, with its value."""

    place: str
    lot: Lot
    quantity: int
    value: int
    seen: bool = False


@dataclass(frozen=True, slots=True)
class Wish:
    """For whom and when something is picked, and where it may come from, in order."""

    day: str
    places: Sequence[str]
    category: str | None = None
    sponsor: str | None = None
    least_days_left: Mapping[str, int] = field(default_factory=dict)
    quarantines: Sequence[Quarantine] = ()


class Shelf:
    """What lies where; taking from a shelf never touches the book."""

    def __init__(self, rows: Iterable[ShelfRow]) -> None:
        """Hold the rows by item, then by place and lot."""
        self._rows: dict[str, dict[tuple[str, int], ShelfRow]] = {}
        self._with_terms: set[str] = set()
        self._orders: dict[str, dict[tuple[int, ...], _Order]] = {}
        self._abouts: dict[tuple[object, ...], int] = {}
        self._wishes: dict[int, tuple[Wish, tuple[int, int], tuple[int, int]]] = {}
        for row in rows:
            self.put(row)

    def copy(self) -> "Shelf":
        """Another shelf with the same rows, to try things on."""
        return Shelf(row for rows in self._rows.values() for row in rows.values())

    def rows(self, item: str) -> list[ShelfRow]:
        """What lies of one item, anywhere."""
        return list(self._rows.get(item, {}).values())

    def put(self, row: ShelfRow) -> None:
        """The row's units lie at its place."""
        rows = self._rows.setdefault(row.lot.item, {})
        if row.lot.categories or row.lot.sponsors:
            self._with_terms.add(row.lot.item)
        if self._orders:
            self._orders.pop(row.lot.item, None)
        key = (row.place, row.lot.code)
        there = rows.get(key)
        if there:
            row = ShelfRow(
                row.place, row.lot, row.quantity + there.quantity, row.value + there.value
            )
        rows[key] = row

    def take(self, row: ShelfRow, quantity: int, *, seen: bool = False) -> Draw:
        """Units leave the shelf with their part of the value (rule 4)."""
        rows, key = self._rows[row.lot.item], (row.place, row.lot.code)
        return _take(rows, key, rows[key], quantity, seen)

    def draw(self, item: str, quantity: int, wish: Wish) -> tuple[list[Draw], int]:
        """Up to so much of an item leaves the shelf in the order of picking; and what is short."""
        draws: list[Draw] = []
        rows, order = self._rows.get(item, {}), self._order(item, wish)
        at = order.first_left(rows)
        while quantity and at < len(order.keys):
            key = order.keys[at]
            there = rows.get(key)
            at += 1
            if there is not None:
                part = min(quantity, there.quantity)
                draws.append(_take(rows, key, there, part, False))
                quantity -= part
        return draws, quantity

    def in_order(self, item: str, wish: Wish) -> Iterator[ShelfRow]:
        """What may be used of an item, in the order of picking, as it lies when it is reached.

        Worked out once for all wishes that agree about the item; later takes leave the order as
        it is, and putting something of the item there begins anew.
        """
        rows = self._rows.get(item, {})
        return self._order(item, wish).left(rows)

    def _order(self, item: str, wish: Wish) -> "_Order":
        orders = self._orders.get(item)
        if orders is None:
            orders = self._orders[item] = {}
        least, about = wish.least_days_left.get(item, 0), self._about(wish, item)
        if least:
            about = (*about, least)
        order = orders.get(about)
        if order is None:
            order = orders[about] = _Order(_keys_in_order(self._rows.get(item, {}), wish))
        return order

    def _about(self, wish: Wish, item: str) -> tuple[int, ...]:
        """Numbers for what a wish says of an item: when and where, and (with terms) for whom.

        Equal wishes have the same ones.
        """
        known = self._wishes.get(id(wish))
        if known is None:
            abouts = (
                (wish.day, tuple(wish.places), tuple(wish.quarantines)),
                (wish.category, wish.sponsor),
            )
            where, whom = (self._abouts.setdefault(a, len(self._abouts)) for a in abouts)
            known = self._wishes[id(wish)] = (wish, (where, whom), (where, -1))
        return known[1] if item in self._with_terms else known[2]


@dataclass(slots=True)
class _Order:
    """Places and lots in the order of picking; `start` passes by those that are drained."""

    keys: list[tuple[str, int]]
    start: int = 0

    def first_left(self, rows: Mapping[tuple[str, int], ShelfRow]) -> int:
        """Where the first of them stands that is not drained."""
        keys = self.keys
        while self.start < len(keys) and keys[self.start] not in rows:
            self.start += 1
        return self.start

    def left(self, rows: Mapping[tuple[str, int], ShelfRow]) -> Iterator[ShelfRow]:
        """What still lies there, each looked for when it is reached."""
        keys = islice(self.keys, self.first_left(rows), None)
        return (row for key in keys if (row := rows.get(key)) is not None)


def _take(
    rows: dict[tuple[str, int], ShelfRow], key: tuple[str, int], there: ShelfRow, quantity: int,
    seen: bool,  # noqa: FBT001 handed on as it came
) -> Draw:  # fmt: skip
    value = value_of_part(there.value, there.quantity, quantity)
    if quantity < there.quantity:
        left, worth = there.quantity - quantity, there.value - value
        rows[key] = ShelfRow(there.place, there.lot, left, worth)
    else:
        del rows[key]
    return Draw(there.place, there.lot, quantity, value, seen)


@dataclass(frozen=True, slots=True)
class Picked:
    """The draws made and how much was not there."""

    draws: tuple[Draw, ...]
    short: int


def is_stopped(quarantine: Quarantine, lot: Lot, place: str) -> bool:
    """Whether a quarantine's condition covers a lot at a place; blank parts match all."""
    if (
        quarantine.released
        or quarantine.item not in (None, lot.item)
        or quarantine.number not in (None, lot.number)
        or quarantine.serial not in (None, lot.serial)
        or quarantine.supplier not in (None, lot.supplier)
        or quarantine.place not in (None, place)
    ):
        return False
    first, last = quarantine.expires_from, quarantine.expires_through
    return (first or "") <= lot.expires_on and (last is None or lot.expires_on <= last)


def why_not_usable(lot: Lot, place: str, wish: Wish) -> str | None:
    """What rule 6 has against using this lot, in words; none when it may be used.

    Usable: received on or before the day; in date through its expiry, with the item's least
    days left; not quarantined; allowed by its terms.
    """
    if lot.received_on > wish.day:
        return f"received only on {lot.received_on}"
    if lot.expires_on < wish.day:
        return f"expired {expiry_text(lot.expires_on, lot.expiry_precision)}"
    least = wish.least_days_left.get(lot.item, 0)
    if least and lot.expires_on < days_after(wish.day, least):
        return f"fewer than {least} days left"
    for quarantine in wish.quarantines:
        if is_stopped(quarantine, lot, place):
            return f"in quarantine {quarantine.code}"
    return terms_against(lot, wish) if lot.categories or lot.sponsors else None


def terms_against(lot: Lot, wish: Wish) -> str | None:
    """What a lot's terms have against this category and sponsor, in words; none when nothing."""
    if lot.categories and wish.category not in lot.categories:
        return f"{lot.terms} for {', '.join(lot.categories)} only"
    if lot.sponsors and wish.sponsor not in lot.sponsors:
        return f"{lot.terms} for {', '.join(lot.sponsors)} only"
    return None


def _keys_in_order(rows: Mapping[tuple[str, int], ShelfRow], wish: Wish) -> list[tuple[str, int]]:
    """The places and lots of what may be used, in the order of picking.

    Places in the order given; within a place the soonest expiry first (FEFO: WHO good
    distribution practices, TRS 957 annex 5), then the earliest received, then the lowest lot.
    """
    order = {place: n for n, place in enumerate(wish.places)}
    usable = [
        (order[row.place], row.lot.expires_on, row.lot.received_on, row.lot.code, key)
        for key, row in rows.items()
        if row.place in order and why_not_usable(row.lot, row.place, wish) is None
    ]
    usable.sort()
    return [key for *_, key in usable]


def usable_quantity(shelf: Shelf, item: str, wish: Wish) -> int:
    """How much of an item may be used."""
    return sum(row.quantity for row in shelf.in_order(item, wish))


def has_usable(shelf: Shelf, item: str, wish: Wish, quantity: int) -> bool:
    """Whether that much of an item may be used; looks no further than it has to."""
    for row in shelf.in_order(item, wish):
        if quantity <= 0:
            break
        quantity -= row.quantity
    return quantity <= 0


def pick(shelf: Shelf, item: str, quantity: int, wish: Wish) -> Picked:
    """Take up to `quantity` of an item from the shelf; what is short is said, never invented."""
    draws, short = shelf.draw(item, quantity, wish)
    return Picked(tuple(draws), short)
