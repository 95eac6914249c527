"""What expires: past its day and still on a shelf first, then by band."""

import sqlite3

from stockbook.domain.amounts import whole_from_text
from stockbook.domain.days import NO_EXPIRY, days_after, days_between
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
from stockbook.errors import InputError
from stockbook.jobs.finding import known_place
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import setting
from stockbook.ledger.stock import items_by_code, on_hand, quarantines
from stockbook.ledger.use import first_day_of_book, used_between

MONTHS_SHOWN = 6


def expiring_stock(
    book: Book, day: str, *, within: str | None = None, place: str | None = None
) -> Expiring:
    """Lots on hand that are expired on `day` or expire within so many days after it."""
    with book.reading() as db:
        limit = _days(within or setting(db, "expiring_days"))
        places = (
            {known_place(db, place, ("store", "theatre", "quarantine")).code} if place else None
        )
        rows = on_hand(db, places=places)
        known = items_by_code(db, {row.lot.item for row in rows})
        stops = quarantines(db)
        used, use_days = _recent_use(db, day)
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
    return Expiring(day, limit, tuple(with_leftover(found, rows, used, use_days)), months, use_days)


def _recent_use(db: sqlite3.Connection, day: str) -> tuple[dict[str, int], int]:
    """Use by item within the site's number of days, or since the book began if that is less."""
    window = int(setting(db, "recent_use_days"))
    began = first_day_of_book(db)
    if began is None or began > day:
        return {}, 0
    days = min(window, days_between(began, day) + 1)
    return used_between(db, days_after(day, 1 - days), day), days


def _days(text: str) -> int:
    days = whole_from_text(text, 0, "--within")
    if not 1 <= days <= 3660:
        raise InputError(f"--within: found {text!r}, wanted 1 to 3660 days.")
    return days
