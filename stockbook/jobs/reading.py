"""Reading a sheet into facts and movements, with every fault kept for the end."""

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from stockbook.domain.entries import Movement, Signature
from stockbook.domain.facts import Fact, Item
from stockbook.domain.rows import Faults, Row, Sheet
from stockbook.errors import InputError
from stockbook.ledger.facts import all_of

T = TypeVar("T")


@dataclass
class Reading:
    """A sheet on its way into the book."""

    db: sqlite3.Connection
    sheet: Sheet
    faults: Faults
    signature: Signature
    facts: list[Fact] = field(default_factory=list)
    moves: list[Movement] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    next_lot: int = 0
    _codes: dict[tuple[str, str], int] = field(default_factory=dict)
    _items: dict[str, Item] | None = None

    def row(self, row: Row, **parsers: Callable[[str], object]) -> dict[str, object] | None:
        """The row's cells, each parsed; none when any was wrong (all faults are kept)."""
        before = len(self.faults.found)
        values = {c: self.faults.cell(row, c, parse) for c, parse in parsers.items()}
        return None if len(self.faults.found) > before else values

    def once(self, row: Row, column: str, code: str) -> bool:
        """Whether a code stands for the first time in this file; a second time is a fault."""
        first = self._codes.setdefault((column, code), row.number)
        if first != row.number:
            self.faults.add(row, column, f"{column}: wanted each once; {code} is in row {first}")
        return first == row.number

    def item(self, text: str) -> Item:
        """An item of the book, looked up once for all rows."""
        if self._items is None:
            self._items = {item.code: item for item in all_of(self.db, Item)}
        found = self._items.get(text.strip().upper())
        if found is None:
            raise InputError(f"item: wanted an item of this book; {text!r} is not one")
        return found


def optional(parse: Callable[[str], T]) -> Callable[[str], T | None]:
    """A cell that may be empty."""
    return lambda text: parse(text) if text else None
