"""Answers to questions about stock and entries, ready to be shown."""

from collections.abc import Mapping
from dataclasses import dataclass

from stockbook.domain.facts import Item
from stockbook.domain.money import Currency
from stockbook.domain.picking import ShelfRow


@dataclass(frozen=True, slots=True)
class StockRow:
    """One lot at one place, with what stops its use, if anything."""

    row: ShelfRow
    item: Item
    stopped: str | None


@dataclass(frozen=True, slots=True)
class Stock:
    """What lies where on a day."""

    day: str
    rows: tuple[StockRow, ...]
    asked: str


@dataclass(frozen=True, slots=True)
class StockSum:
    """Lots taken together; quantities (in steps) only where all of them are of one item."""

    code: str
    name: str
    item: Item | None
    lots: int
    usable: int
    stopped: int
    value: int


@dataclass(frozen=True, slots=True)
class LensGrid:
    """Usable lenses by power and model, in whole lenses; powers in hundredths."""

    day: str
    models: tuple[str, ...]
    powers: tuple[int, ...]
    usable: Mapping[tuple[str, int], int]
    stopped: int


@dataclass(frozen=True, slots=True)
class Site:
    """What every heading says: the site, its money, and whether it is a demonstration."""

    name: str
    money: Currency
    demonstration: bool
    people: Mapping[str, str]
