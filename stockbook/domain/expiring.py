"""Expiring stock: what is past its day and still on a shelf, then what comes next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.amounts import value_of_part
from stockbook.domain.days import NO_EXPIRY, days_after, days_between, months_from
from stockbook.domain.facts import Item
from stockbook.domain.leftover import RecentUse, expected_left
from stockbook.domain.picking import ShelfRow

BANDS = (30, 60, 90)


@dataclass(frozen=True, slots=True)
class ExpiringRow:
    """One lot at one place: days left (negative once past) and the band it falls in.

    `left` is what is expected to be left at its expiry, in finest steps, and `at_stake` its
    value; both none where no use of the item was seen.
    """

    row: ShelfRow
    item: Item
    days_left: int
    band: int | None
    quarantine: str | None
    left: int | None = None
    at_stake: int | None = None


@dataclass(frozen=True, slots=True)
class Expiring:
    """Expired rows first, then by band; value by month of expiry for the bars."""

    day: str
    within: int
    rows: tuple[ExpiringRow, ...]
    months: tuple[tuple[str, int], ...]
    use_days: int = 0
    """Over how many days use was looked at for what will be left; 0 when there was none."""

    @property
    def expired(self) -> tuple[ExpiringRow, ...]:
        """What must not be used any more and still lies on a shelf."""
        return tuple(row for row in self.rows if row.band is None)


def with_leftover(
    rows: Sequence[ExpiringRow], shelves: Sequence[ShelfRow], used: Mapping[str, int], days: int
) -> list[ExpiringRow]:
    """The rows with what is expected to be left of each, all lots of their items considered.

    `used` is the recent use by item, in steps within `days`; `shelves` is everything on hand.
    """
    left: dict[tuple[str, int], int] = {}
    by_item: dict[str, list[ShelfRow]] = {}
    days_of = {(e.row.place, e.row.lot.code): e for e in rows}
    for shelf in shelves:
        if used.get(shelf.lot.item, 0) > 0:
            by_item.setdefault(shelf.lot.item, []).append(shelf)
    today = next((days_after(e.row.lot.expires_on, -e.days_left) for e in rows), NO_EXPIRY)
    for item, lots in by_item.items():
        lots.sort(key=lambda r: (r.lot.expires_on, r.lot.received_on, r.lot.code, r.place))
        asked = [(days_between(today, r.lot.expires_on), r.quantity) for r in lots]
        found = expected_left(asked, RecentUse(used[item], days))
        left |= {(r.place, r.lot.code): n for r, n in zip(lots, found, strict=True)}
    return [_left(e, left.get(key)) for key, e in days_of.items()]


def _left(row: ExpiringRow, left: int | None) -> ExpiringRow:
    """A row with what will be left; nothing usable is left whole, whatever the use."""
    if row.days_left < 0:
        left = row.row.quantity
    if left is None:
        return row
    return replace(row, left=left, at_stake=value_of_part(row.row.value, row.row.quantity, left))


def band_of(days_left: int, bands: Sequence[int]) -> int | None:
    """The smallest band that holds so many days; none when past. Usable through the day itself.

    >>> band_of(0, BANDS), band_of(30, BANDS), band_of(31, BANDS), band_of(-1, BANDS)
    (30, 30, 60, None)
    """
    if days_left < 0:
        return None
    return next((band for band in bands if days_left <= band), bands[-1])


def bands_within(within: int) -> tuple[int, ...]:
    """The bands up to a number of days, that number last.

    >>> bands_within(45)
    (30, 45)
    """
    return (*(band for band in BANDS if band < within), within)


def value_by_month(rows: Sequence[ShelfRow], day: str, count: int) -> tuple[tuple[str, int], ...]:
    """Value on hand by month of expiry, for `count` months from that of `day`, past ones first."""
    months = months_from(day, count)
    sums = {"before": 0} | dict.fromkeys(months, 0)
    for row in rows:
        month = row.lot.expires_on[:7]
        key = "before" if row.lot.expires_on < day else month
        if row.lot.expires_on != NO_EXPIRY and key in sums:
            sums[key] += row.value
    return tuple(sums.items())


def days_left(row: ShelfRow, day: str) -> int:
    """Whole days a lot may still be used after `day`; negative once its expiry is past."""
    return days_between(day, row.lot.expires_on)
