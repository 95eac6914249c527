"""Reading a sheet into facts and movements, with every fault kept for the end."""

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from stockbook.domain.entries import Movement, Signature
from stockbook.domain.facts import Fact, Item
from stockbook.domain.rows import Faults, Row, Sheet
from stockbook.errors import InputError
from stockbook.ledger.facts import all_of, find

T = TypeVar("T")
F = TypeVar("F")
MANY = 50
"""From so many rows on all facts of a kind are fetched at once."""

TELL_EVERY = 5_000


@dataclass
class Reading:
    """A sheet on its way into the book.

    In a `partial` sheet any column may be missing: what is known keeps its value there.
    """

    db: sqlite3.Connection
    sheet: Sheet
    faults: Faults
    signature: Signature
    partial: bool = False
    tell: Callable[[int], None] | None = None
    facts: list[Fact] = field(default_factory=list)
    moves: list[Movement] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    next_lot: int = 0
    _codes: dict[tuple[str, str], int] = field(default_factory=dict)
    _known: dict[type[Any], dict[str, Any]] = field(default_factory=dict)
    _read: int = 0

    def row(self, row: Row, **parsers: Callable[[str], object]) -> dict[str, object] | None:
        """The row's cells, each parsed; none when any was wrong (all faults are kept)."""
        self._count()
        before = len(self.faults.found)
        values = {
            column: None if self._left_out(column) else self.faults.cell(row, column, parse)
            for column, parse in parsers.items()
        }
        return None if len(self.faults.found) > before else values

    def _count(self) -> None:
        self._read += 1
        if self.tell is not None and self._read % TELL_EVERY == 0:
            self.tell(self._read)

    def _left_out(self, column: str) -> bool:
        return self.partial and column not in self.sheet.columns

    def keep(self, values: dict[str, Any], known: object | None, **fields: str) -> None:
        """Columns that the sheet has not keep what the book has; `fields` names their fields."""
        if known is None:
            return
        for column, name in fields.items():
            if column not in self.sheet.columns:
                values[column] = getattr(known, name)

    def once(self, row: Row, column: str, code: str) -> bool:
        """Whether a code stands for the first time in this file; a second time is a fault."""
        first = self._codes.setdefault((column, code), row.number)
        if first != row.number:
            self.faults.add(row, column, f"{column}: wanted each once; {code} is in row {first}")
        return first == row.number

    def known(self, cls: type[F], code: str) -> F | None:
        """A fact as the book has it, or none; for many rows all are fetched once."""
        if cls not in self._known and len(self.sheet.rows) < MANY:
            return find(self.db, cls, code)
        if cls not in self._known:
            self._known[cls] = {fact.code: fact for fact in all_of(self.db, cls)}  # type: ignore[attr-defined]
        found: F | None = self._known[cls].get(code)
        return found

    def item(self, text: str) -> Item:
        """An item of the book."""
        found = self.known(Item, text.strip().upper())
        if found is None:
            raise InputError(f"item: wanted an item of this book; {text!r} is not one")
        return found


def optional(parse: Callable[[str], T]) -> Callable[[str], T | None]:
    """A cell that may be empty."""
    return lambda text: parse(text) if text else None
