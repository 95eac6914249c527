"""Levels: what a place keeps of an item, what comes in from the stores and what goes back."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.facts import Item, Level, Lot, Place
from stockbook.domain.kits import Need
from stockbook.domain.picking import Draw, Shelf, ShelfRow, Wish, why_not_usable

Labels = Mapping[tuple[str, str], str]
"""Shelf labels by place and item."""


@dataclass(frozen=True, slots=True)
class FillLine:
    """One item of a place: usable units there, its two numbers, and what moves; finest steps."""

    item: Item
    there: int
    keep_at_least: int
    fill_to: int
    lists: int = 0
    into: tuple[Draw, ...] = ()
    back: tuple[Draw, ...] = ()
    store: str | None = None
    """Where what is too much goes back to."""
    short: int = 0
    """What the stores cannot give."""

    @property
    def is_below(self) -> bool:
        """Whether less is there than is to be kept."""
        return self.there < self.keep_at_least

    @property
    def is_within(self) -> bool:
        """Whether nothing is to be moved, nor missing."""
        return not (self.into or self.back or self.short)


@dataclass(frozen=True, slots=True)
class Filling:
    """A place beside its levels, with what would move; `left_out` are cases and why."""

    day: str
    place: str
    stores: tuple[str, ...]
    lines: tuple[FillLine, ...]
    labels: Labels
    lists: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    without_level: tuple[str, ...] = ()
    """Lenses that the lists need and that have no level here."""
    warnings: tuple[str, ...] = ()

    @property
    def moving(self) -> tuple[FillLine, ...]:
        """The items of which something moves."""
        return tuple(line for line in self.lines if line.into or line.back)


@dataclass(frozen=True, slots=True)
class ListNeeds:
    """A list that is still to be served: the needs of each case whose kit is known."""

    list: str
    cases: tuple[tuple[Need, ...], ...]
    left_out: tuple[str, ...] = ()


def for_someone(lot: Lot, wish: Wish) -> Wish:
    """The wish of somebody whom the lot's terms allow: shelves serve nobody in particular."""
    if not (lot.categories or lot.sponsors):
        return wish
    category = lot.categories[0] if lot.categories else None
    return replace(wish, category=category, sponsor=lot.sponsors[0] if lot.sponsors else None)


def usable_by_someone(shelf: Shelf, item: str, wish: Wish) -> list[ShelfRow]:
    """What may be used of an item by anybody, in the order of picking (rule 6)."""
    order = {place: n for n, place in enumerate(wish.places)}
    rows = [
        row for row in shelf.rows(item)
        if row.place in order
        and why_not_usable(row.lot, row.place, for_someone(row.lot, wish)) is None
    ]  # fmt: skip
    return sorted(
        rows, key=lambda r: (order[r.place], r.lot.expires_on, r.lot.received_on, r.lot.code)
    )


def fill_line(
    shelf: Shelf, item: Item, level: Level, wish: Wish, stores: Sequence[str], home: str | None
) -> FillLine:
    """An item filled from the stores, or brought back to within its level; taken from the shelf.

    Below *keep at least* it is filled to *fill to*; what is above *fill to* goes to `home`, the
    latest expiry first. What must not be used counts for nothing and stays where it is.
    """
    here = usable_by_someone(shelf, item.code, replace(wish, places=(level.place,)))
    there = sum(row.quantity for row in here)
    into: list[Draw] = []
    back: list[Draw] = []
    if there < level.keep_at_least:
        rows = usable_by_someone(shelf, item.code, replace(wish, places=stores))
        into = _taken(shelf, _welcome(rows, level.place, wish), level.fill_to - there)
    elif there > level.fill_to and home is not None:
        back = _taken(shelf, here[::-1], there - level.fill_to)
    wanted = level.fill_to - there if there < level.keep_at_least else 0
    return FillLine(
        item, there, level.keep_at_least, level.fill_to, level.lists, tuple(into), tuple(back),
        home if back else None, wanted - sum(draw.quantity for draw in into),
    )  # fmt: skip


def _welcome(rows: Iterable[ShelfRow], place: str, wish: Wish) -> list[ShelfRow]:
    """What may be used where it goes to as well: nothing fills a place that is stopped."""
    return [r for r in rows if why_not_usable(r.lot, place, for_someone(r.lot, wish)) is None]


def _taken(shelf: Shelf, rows: Iterable[ShelfRow], quantity: int) -> list[Draw]:
    """Up to a quantity taken from the rows in their order."""
    draws = []
    for row in rows:
        part = min(quantity, row.quantity)
        if part:
            draws.append(shelf.take(row, part))
            quantity -= part
    return draws


def needed(cases: Iterable[Sequence[Need]], levelled: Collection[str]) -> dict[str, int]:
    """How much of each item so many cases need, in finest steps.

    Of alternatives the first with a level counts. What has only to be in reach is needed once,
    however many cases want it, and beside what is drawn.
    """
    drawn: dict[str, int] = {}
    in_reach: dict[str, int] = {}
    for needs in cases:
        for need in needs:
            item = next((i for i in need.items if i in levelled), need.items[0])
            if need.standby:
                in_reach[item] = max(in_reach.get(item, 0), need.quantity)
            else:
                drawn[item] = drawn.get(item, 0) + need.quantity
    return {
        item: drawn.get(item, 0) + in_reach.get(item, 0)
        for item in (*drawn, *(i for i in in_reach if i not in drawn))
    }


def by_lists(level: Level, lists: Sequence[ListNeeds], levelled: Collection[str]) -> Level:
    """The level with both numbers from what its next lists need, where it is given that way."""
    if not level.lists:
        return level
    cases = [needs for one in lists[: level.lists] for needs in one.cases]
    amount = needed(cases, levelled).get(level.item, 0)
    return replace(level, keep_at_least=amount, fill_to=amount)


def wrong_storage(item: Item, place: Place) -> str | None:
    """What is wrong with keeping an item at a place, in words; none when the classes agree."""
    if item.storage_class is None or item.storage_class == place.storage_class:
        return None
    there = f"is {place.storage_class}" if place.storage_class else "has no storage class"
    return f"{item.code} is to be kept {item.storage_class}; {place.code} {there}."


def in_shelf_order(draws: Iterable[Draw], places: Sequence[str], labels: Labels) -> list[Draw]:
    """Draws as one walks: places in their order, then shelf label, then item; unlabelled last."""
    order = {place: n for n, place in enumerate(places)}

    def walked(draw: Draw) -> tuple[object, ...]:
        label = labels.get((draw.place, draw.lot.item))
        place = (order.get(draw.place, len(order)), draw.place)
        return (*place, label is None, label or "", draw.lot.item, draw.lot.code)

    return sorted(draws, key=walked)
