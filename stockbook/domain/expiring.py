"""Expiring stock: what is past its day and still on a shelf, then what comes next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.amounts import value_of_part
from stockbook.domain.asking import AsOf, is_below_nothing
from stockbook.domain.days import NO_EXPIRY, days_between, months_from
from stockbook.domain.facts import Item
from stockbook.domain.leftover import LeftOver, RecentUse, left_over
from stockbook.domain.picking import ShelfRow

BANDS = (30, 60, 90)


@dataclass(frozen=True, slots=True)
class ExpiringRow:
    """One lot at one place: days left (negative once past) and the band it falls in.

    `left` is what is expected to be left at its expiry, in finest steps, and `at_stake` its
    value; both none where no use of the item was seen, as is `use_a_month` of the item.
    """

    row: ShelfRow
    item: Item
    days_left: int
    band: int | None
    quarantine: str | None
    left: int | None = None
    at_stake: int | None = None
    use_a_month: int | None = None
    by_forecast: bool = False
    """Whether `left` is the forecast's, not that of recent use."""


@dataclass(frozen=True, slots=True)
class Expiring:
    """Expired rows first, then by band; value by month of expiry for the bars."""

    day: str
    within: int
    rows: tuple[ExpiringRow, ...]
    months: tuple[tuple[str, int], ...]
    use_days: int = 0
    """Over how many days use was looked at for what will be left."""
    month: int = 0
    """How long a month is taken to be for the use of a month, in hundredths of a day."""
    as_of: AsOf | None = None

    @property
    def expired(self) -> tuple[ExpiringRow, ...]:
        """What must not be used any more and still lies on a shelf."""
        return tuple(row for row in self.rows if row.band is None)

    @property
    def below_nothing(self) -> tuple[ExpiringRow, ...]:
        """Places that a sheet which came late leaves with less than nothing as at the day."""
        return tuple(row for row in self.rows if is_below_nothing(row.row))


def with_leftover(
    rows: Sequence[ExpiringRow], shelves: Sequence[ShelfRow], use: Mapping[str, RecentUse],
    day: str, month: int, ahead: Mapping[tuple[str, int], int] | None = None,
) -> list[ExpiringRow]:  # fmt: skip
    """The rows with what is expected to be left of each, all lots of their items considered.

    What the forecast expects (`ahead`, by place and lot) stands instead of recent use.

    `use` is the recent use by item; `shelves` is everything on hand; `month` is how long a month
    is, in hundredths of a day, for the use of a month beside it.
    """
    items = {row.item.code: row.item for row in rows}
    lots: dict[str, list[ShelfRow]] = {code: [] for code in items}
    for shelf in shelves:
        if shelf.lot.item in lots:
            lots[shelf.lot.item].append(shelf)
    left: dict[tuple[str, int], LeftOver] = {}
    for code, item in items.items():
        for found in left_over(lots[code], use[code], day, item.least_days_left):
            left[found.row.place, found.row.lot.code] = found
    monthly = {code: use[code].a_month(month) for code in items}
    return [
        _with(row, left[_key(row)], monthly[row.item.code], (ahead or {}).get(_key(row)))
        for row in rows
    ]


def _key(row: ExpiringRow) -> tuple[str, int]:
    return row.row.place, row.row.lot.code


def _with(
    row: ExpiringRow, found: LeftOver, use_a_month: int | None, ahead: int | None
) -> ExpiringRow:
    if ahead is None:
        return replace(row, left=found.quantity, at_stake=found.value, use_a_month=use_a_month)
    value = value_of_part(row.row.value, row.row.quantity, ahead)
    return replace(row, left=ahead, at_stake=value, use_a_month=use_a_month, by_forecast=True)


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
