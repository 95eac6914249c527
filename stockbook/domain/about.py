"""What is shown of one item, of a pack size or of a person."""

from dataclasses import dataclass

from stockbook.domain.facts import Item, Level, PackSize, Shelf, StaffCode


@dataclass(frozen=True, slots=True)
class Pack:
    """A way an item is sold, with the item."""

    size: PackSize
    item: Item


@dataclass(frozen=True, slots=True)
class KeptAt:
    """A place that has a shelf or a level for an item; either may be missing."""

    place: str
    shelf: Shelf | None
    level: Level | None


@dataclass(frozen=True, slots=True)
class AboutItem:
    """An item with the ways it is sold and where it is to be found."""

    item: Item
    packs: tuple[Pack, ...]
    kept: tuple[KeptAt, ...]


@dataclass(frozen=True, slots=True)
class Person:
    """A staff code with the name beside it, if there is one."""

    staff: StaffCode
    name: str | None
