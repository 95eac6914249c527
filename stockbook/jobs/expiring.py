"""What expires: past its day and still on a shelf first, then by band."""

from collections.abc import Collection
from typing import TYPE_CHECKING

from stockbook.domain.amounts import whole_from_text
from stockbook.domain.asking import AsOf
from stockbook.domain.days import NO_EXPIRY, days_after
from stockbook.domain.expiring import (
    Expiring,
    ExpiringRow,
    band_of,
    bands_within,
    days_left,
    value_by_month,
    with_leftover,
)
from stockbook.domain.picking import is_stopped
from stockbook.domain.site_rules import hundredths_of_a_day
from stockbook.errors import InputError
from stockbook.jobs.finding import known_place
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import setting
from stockbook.ledger.stock import items_by_code, on_hand, quarantines
from stockbook.ledger.use import recent_use

if TYPE_CHECKING:
    from stockbook.jobs.left_ahead import Left

MONTHS_SHOWN = 6


def expiring_stock(
    book: Book, day: str, *, within: str | None = None, place: str | None = None,
    as_of: AsOf | None = None, forecast: bool = False,
) -> Expiring:  # fmt: skip
    """Lots on hand that are expired on `day` or expire within so many days after it.

    What will be left is reckoned from recent use or, with `forecast`, from the coming cases.
    """
    if forecast and as_of is not None and not as_of.is_now:
        raise InputError("--forecast: looks ahead from today; leave --as-of out.")
    with reading_as_of(book, as_of) as db:
        limit = _days(within or setting(db, "expiring_days"))
        places = (
            {known_place(db, place, ("store", "theatre", "quarantine")).code} if place else None
        )
        everywhere = on_hand(db)
        rows = [r for r in everywhere if places is None or r.place in places]
        known = items_by_code(db, {row.lot.item for row in rows})
        stops = quarantines(db)
        use_days = int(setting(db, "recent_use_days"))
        use = recent_use(db, set(known), day, use_days)
        month = hundredths_of_a_day(setting(db, "days_per_month"))
    bands = bands_within(limit)
    last = days_after(day, limit)
    soon = [r for r in rows if r.lot.expires_on <= last and r.lot.expires_on != NO_EXPIRY]
    found = []
    for row in soon:
        left = days_left(row, day)
        stop = next((q.code for q in stops if is_stopped(q, row.lot, row.place)), None)
        found.append(ExpiringRow(row, known[row.lot.item], left, band_of(left, bands), stop))
    found.sort(key=lambda e: (e.row.lot.expires_on, e.item.code, e.row.place, e.row.lot.code))
    months = value_by_month(rows, day, min(max(MONTHS_SHOWN, limit // 30 + 1), 24))
    ahead = _ahead(book, day, {row.item.code for row in found}) if forecast else None
    found = with_leftover(found, everywhere, use, day, month, ahead)
    return Expiring(day, limit, tuple(found), months, use_days, month, as_of)


def _ahead(book: Book, day: str, items: Collection[str]) -> "Left":
    from stockbook.jobs.left_ahead import left_of_items

    with book.reading() as db:
        return left_of_items(db, day, items)


def _days(text: str) -> int:
    days = whole_from_text(text, 0, "--within")
    if not 1 <= days <= 3660:
        raise InputError(f"--within: found {text!r}, wanted 1 to 3660 days.")
    return days
