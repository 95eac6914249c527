"""Answers to questions about stock and entries, ready to be shown."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from stockbook.domain.asking import AsOf, is_below_nothing
from stockbook.domain.facts import Item
from stockbook.domain.money import Currency
from stockbook.domain.picking import ShelfRow

T = TypeVar("T")


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
    as_of: AsOf | None = None

    @property
    def below_nothing(self) -> tuple[StockRow, ...]:
        """Places that a sheet which came late leaves with less than nothing as at the day."""
        return tuple(row for row in self.rows if is_below_nothing(row.row))


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
    on_order: int = 0


@dataclass(frozen=True, slots=True)
class LensGrid:
    """Usable lenses by power and model, in whole lenses; powers in hundredths."""

    day: str
    models: tuple[str, ...]
    powers: tuple[int, ...]
    usable: Mapping[tuple[str, int], int]
    stopped: int
    as_of: AsOf | None = None
    below_nothing: int = 0
    """How many rows a sheet which came late leaves with less than nothing as at the day."""


@dataclass(frozen=True, slots=True)
class Site:
    """What every heading says: the site, its money, and whether it is a demonstration."""

    name: str
    money: Currency
    demonstration: bool
    people: Mapping[str, str]
    book: str = ""
    """The book's random id: whose page it is when two sites have one name."""
    paper: str = "a4"


class Standing(Protocol):
    """An answer that says which entry was the book's last when it was asked."""

    @property
    def last_entry(self) -> int:
        """That entry's number."""

    @property
    def checksum(self) -> str:
        """Its checksum."""


@dataclass(frozen=True, slots=True)
class Listed(Generic[T]):
    """Rows of an answer and the entry it stands on."""

    rows: tuple[T, ...]
    last_entry: int
    checksum: str
