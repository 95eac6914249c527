"""What a scan means in a book: the item and its lots, or the thing of the site's own."""

from dataclasses import dataclass

from stockbook.domain.days import days_between
from stockbook.domain.facts import Case, Item, Kit, Lot, OperatingList, PackSize, Shelf, StaffCode
from stockbook.domain.scan_facts import Scan

LONG_PAST_YEARS, FAR_AHEAD_YEARS = 10, 15
OwnThing = Case | OperatingList | Lot | Shelf | StaffCode | Kit


@dataclass(frozen=True, slots=True)
class Meaning:
    """A scan and what a book says to it on a day.

    `lots` bear the printed lot or serial; several may. `own` is the case, list, lot, shelf or
    staff code that a code of the site's own names. Without a book (`asked` is false) nothing is
    known and nothing unknown.
    """

    scan: Scan
    day: str
    asked: bool = True
    item: Item | None = None
    pack: PackSize | None = None
    lots: tuple[Lot, ...] = ()
    own: OwnThing | None = None
    model: str | None = None
    """The lens model whose powers all bear this identifier; `item` where a serial says it."""

    @property
    def days_left(self) -> int | None:
        """Whole days from the day to the last usable one; below nothing when it is past."""
        expires_on = self.scan.expires_on
        return None if expires_on is None else days_between(self.day, expires_on)

    @property
    def is_expired(self) -> bool:
        """Whether the printed expiry is past; the day of the expiry itself is usable."""
        return self.days_left is not None and self.days_left < 0

    @property
    def doubts(self) -> tuple[str, ...]:
        """What makes the printed dates hard to believe; a person is asked, nothing is changed."""
        expires_on, made = self.scan.expires_on, self.scan.produced
        if expires_on is None:
            return ()
        year, now = _year(expires_on), _year(self.day)
        found = {
            "EXPIRY_LONG_PAST": _years_on(expires_on, LONG_PAST_YEARS) < self.day,
            "EXPIRY_FAR_AHEAD": year > now and expires_on > _years_on(self.day, FAR_AHEAD_YEARS),
            "EXPIRY_NOT_AFTER_PRODUCTION": made is not None and expires_on <= made[:10],
            "EXPIRY_NOT_AS_IN_BOOK": any(lot.expires_on != expires_on for lot in self.lots),
        }
        return tuple(name for name, is_so in found.items() if is_so)


def _year(day: str) -> int:
    return int(day[:4])


def _years_on(day: str, years: int) -> str:
    """The same day so many years later, as text that sorts among days."""
    return f"{_year(day) + years:04d}{day[4:]}"
