"""Picking: which lots leave a shelf, by one rule over a shelf that can be copied (rule 6)."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

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


class Shelf:
    """What lies where; taking from a shelf never touches the book."""

    def __init__(self, rows: Iterable[ShelfRow]) -> None:
        """Hold the rows by item, then by place and lot."""
        self._rows: dict[str, dict[tuple[str, int], ShelfRow]] = {}
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
        key = (row.place, row.lot.code)
        there = rows.get(key)
        if there:
            row = ShelfRow(
                row.place, row.lot, row.quantity + there.quantity, row.value + there.value
            )
        rows[key] = row

    def take(self, row: ShelfRow, quantity: int, *, seen: bool = False) -> Draw:
        """Units leave the shelf with their part of the value (rule 4)."""
        rows = self._rows[row.lot.item]
        there = rows.pop((row.place, row.lot.code))
        value = value_of_part(there.value, there.quantity, quantity)
        if quantity < there.quantity:
            left = ShelfRow(row.place, row.lot, there.quantity - quantity, there.value - value)
            rows[(row.place, row.lot.code)] = left
        return Draw(row.place, row.lot, quantity, value, seen)


@dataclass(frozen=True, slots=True)
class Wish:
    """For whom and when something is picked, and where it may come from, in order."""

    day: str
    places: Sequence[str]
    category: str | None = None
    sponsor: str | None = None
    least_days_left: Mapping[str, int] = field(default_factory=dict)
    quarantines: Sequence[Quarantine] = ()


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


def usable_rows(shelf: Shelf, item: str, wish: Wish) -> list[ShelfRow]:
    """What may be used of an item, in the order of picking.

    Places in the order given; within a place the soonest expiry first (FEFO: WHO good
    distribution practices, TRS 957 annex 5), then the earliest received, then the lowest lot.
    """
    order = {place: n for n, place in enumerate(wish.places)}
    rows = [
        row
        for row in shelf.rows(item)
        if row.place in order and why_not_usable(row.lot, row.place, wish) is None
    ]
    return sorted(
        rows,
        key=lambda r: (order[r.place], r.lot.expires_on, r.lot.received_on, r.lot.code),
    )


def usable_quantity(shelf: Shelf, item: str, wish: Wish) -> int:
    """How much of an item may be used."""
    return sum(row.quantity for row in usable_rows(shelf, item, wish))


def pick(shelf: Shelf, item: str, quantity: int, wish: Wish) -> Picked:
    """Take up to `quantity` of an item from the shelf; what is short is said, never invented."""
    draws: list[Draw] = []
    left = quantity
    for row in usable_rows(shelf, item, wish):
        if not left:
            break
        part = min(left, row.quantity)
        draws.append(shelf.take(row, part))
        left -= part
    return Picked(tuple(draws), left)
