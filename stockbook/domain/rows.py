"""Rows of a file on their way into the book, and the faults found in them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from stockbook.domain.cells import spoilt
from stockbook.errors import BadRow, BadRows, InputError

T = TypeVar("T")
MOST_FAULTS = 200


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number in the file (the header is row 1) and its cells by column."""

    number: int
    values: Mapping[str, str]

    def get(self, column: str) -> str:
        """A cell's text without outer blanks; empty when the column is not there."""
        return self.values.get(column, "").strip()


Chosen = tuple[str | None, ...]
"""For each column of a file the name it is read by; none for one that is not read."""

Choose = Callable[[Sequence[str]], Chosen]
"""Decides from a file's header which columns are read and what they are called here."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A file's rows under its own name.

    `from_file` says that a spreadsheet may have spoilt the cells, `separator` what stood between
    them; `days` are the cells (row, column) that a spreadsheet kept as days, `unread` the file's
    own names of the columns that were not read.
    """

    name: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    from_file: bool = False
    separator: str = ","
    days: frozenset[tuple[int, str]] = frozenset()
    unread: tuple[str, ...] = ()


def every_column(header: Sequence[str]) -> Chosen:
    """All columns by their own names, in small letters."""
    return tuple(cell.strip().lower() for cell in header)


@dataclass
class Faults:
    """Collects every fault of a sheet, so that all are named at once."""

    sheet: Sheet
    found: list[BadRow] = field(default_factory=list)

    def cell(self, row: Row, column: str, parse: Callable[[str], T]) -> T | None:
        """The parsed cell, or none with the fault kept; what a spreadsheet spoilt is told so."""
        text = row.get(column)
        words = None
        if text and self.sheet.from_file:
            words = spoilt(column, text, as_day=self._is_day(row, column))
        try:
            if words is None:
                return parse(text)
        except InputError as error:
            words = error.message
        self.add(row, column, words)
        return None

    def _is_day(self, row: Row, column: str) -> bool:
        return bool(self.sheet.days) and (row.number, column) in self.sheet.days

    def add(self, row: Row, column: str, message: str) -> None:
        """One more fault; `message` is cut to what was wanted."""
        wanted = message.partition("wanted ")[2] or message.partition(": ")[2] or message
        self.found.append(BadRow(row.number, column, row.get(column), wanted.rstrip(".")))

    def check(self) -> None:
        """Refuse the whole file when anything was wrong."""
        if self.found:
            raise BadRows(self.sheet.name, self.found)


def check_columns(sheet: Sheet, required: Sequence[str], optional: Sequence[str]) -> None:
    """The header has all required columns, only known ones, each once."""
    known = {*required, *optional}
    missing = [c for c in required if c not in sheet.columns]
    unknown = [c for c in sheet.columns if c not in known]
    twice = sorted({c for c in sheet.columns if sheet.columns.count(c) > 1})
    for names, words in ((missing, "lacks"), (unknown, "has the unknown"), (twice, "has twice")):
        if names:
            raise InputError(
                f"{sheet.name}, row 1: the header {words} column {', '.join(names)}. "
                f"Wanted: {', '.join([*required, *optional])}."
            )
