"""Facts of finance: periods and their statements."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Period:
    """A span of days for finance; nothing is booked on or before the last day of a closed one.

    `number` counts the statements of the book, this one's included; `statement` is the digest of
    its figures, so that whoever prints it again sees that it is the same.
    """

    code: str
    first_day: str
    last_day: str
    closed: bool = False
    number: int = 0
    statement: str | None = None
