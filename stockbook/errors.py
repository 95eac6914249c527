"""What can go wrong, as one tree; `cli/main.py` alone turns it into an exit code.

StockbookError
├── InputError            2  what was typed, or a file, is wrong
│   ├── BadRows           2  a file has bad rows: all of them are named
│   ├── NeedsAnswer       2  a question has to be answered and nobody is there to ask
│   └── ScanRefused       2  a scan cannot be read, with the name of the reason
├── Refused               3  a rule of the book stands in the way; no entry is written
│   ├── NoMachine         3  a kit follows a machine and none stands in the theatre
│   └── NotEnough         3  units are missing, with a table of what and by how much
├── BookUnusable          4  missing, empty, not a book, newer, read-only, busy, no space
└── BookDamaged           5  the book contradicts itself

A question whose answer is no is no error: it leaves with ANSWERED_NO (6).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

ANSWERED_NO = 6
"""The exit code of a question that was answered with no."""


class StockbookError(Exception):
    """Something a person can put right; `message` says what, why and what to do next."""

    exit_code = 1

    def __init__(self, message: str) -> None:
        """Keep the message; it is shown as it stands."""
        super().__init__(message)
        self.message = message


class InputError(StockbookError):
    """What was typed, or a file, is wrong."""

    exit_code = 2


@dataclass(frozen=True)
class BadRow:
    """One fault in a file: where it is, what was found and what is wanted."""

    row: int
    column: str
    found: str
    wanted: str


class BadRows(InputError):
    """A file has bad rows; nothing of it was taken."""

    def __init__(self, file: str, rows: Sequence[BadRow]) -> None:
        """Keep every bad row for the report."""
        plural = "row has a fault" if len(rows) == 1 else "faults"
        super().__init__(
            f"{file}: {len(rows)} {plural}; nothing was taken from this file. "
            "Put them right and give the file again."
        )
        self.file = file
        self.rows = tuple(rows)


class NeedsAnswer(InputError):
    """A question has to be answered and there is no terminal to ask on."""

    def __init__(self, question: str) -> None:
        """Say the question and how to answer it beforehand."""
        super().__init__(
            f"{question} Nothing was recorded. Answer at a terminal, or give -y to say yes."
        )
        self.question = question


class ScanRefused(InputError):
    """A scan cannot be read; `name` is the reason, `fields` what belongs to it."""

    def __init__(self, name: str, message: str, fields: Mapping[str, object]) -> None:
        """Keep name and fields for programs, the message for people."""
        super().__init__(message)
        self.name = name
        self.fields = dict(fields)


class Refused(StockbookError):
    """A rule of the book stands in the way; no entry was written."""

    exit_code = 3


class NoMachine(Refused):
    """A kit has lines that follow a machine, and none of those stands in the theatre."""


@dataclass(frozen=True)
class Missing:
    """One thing that is not there: how much was wanted, how much is usable, what is near."""

    case: str
    item: str
    name: str
    wanted: str
    usable: str
    short: str
    near: str


class NotEnough(Refused):
    """Units are missing; `missing` has one row for each thing."""

    def __init__(self, message: str, missing: Sequence[Missing]) -> None:
        """Keep the rows for the table."""
        super().__init__(message)
        self.missing = tuple(missing)


class BookUnusable(StockbookError):
    """The book cannot be used as it is: missing, empty, foreign, newer, busy or full."""

    exit_code = 4


class BookDamaged(StockbookError):
    """The book contradicts itself."""

    exit_code = 5
