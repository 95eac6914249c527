"""As of when an answer is given: what is known now about a day, or what was known at an entry."""

from dataclasses import dataclass

from stockbook.domain.picking import ShelfRow
from stockbook.errors import InputError


@dataclass(frozen=True, slots=True)
class AsOf:
    """The day an answer is for, and which entries it counts.

    With an `entry` the book as it stood after that one; without, everything that is known now
    to have happened by the day. `is_now` leaves nothing out.
    """

    day: str
    entry: int | None = None
    is_now: bool = False

    @property
    def words(self) -> str:
        """What a heading adds to the day; nothing when the book is asked as it is.

        >>> AsOf("2027-03-01", 12).words, AsOf("2027-03-01").words
        ('as it stood after entry 12', 'as known now')
        """
        if self.is_now:
            return ""
        return "as known now" if self.entry is None else f"as it stood after entry {self.entry}"

    def through(self, last_day: str) -> str:
        """The last day that counts of a period that ends on `last_day`."""
        cut = self.entry is None and not self.is_now
        return min(last_day, self.day) if cut else last_day


def period_end(first_day: str, last_day: str, as_of: AsOf | None = None) -> str:
    """The last day that counts of a period, which does not end before it begins.

    >>> period_end("2027-03-01", "2027-03-31", AsOf("2027-03-12"))
    '2027-03-12'
    """
    last = as_of.through(last_day) if as_of else last_day
    if first_day > last:
        raise InputError(f"period: {first_day} lies after {last}.")
    return last


def is_below_nothing(row: ShelfRow) -> bool:
    """Whether only a sheet that came late explains a row: as at that day less than nothing.

    A place is never below nothing in the order of recording (rule 3); in the order of the days
    it can be (rule 7).
    """
    return row.quantity <= 0 or row.value < 0
