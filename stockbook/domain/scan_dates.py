"""Dates in symbols: two-digit years as of a given day, day 00, Julian days, hours."""

from functools import lru_cache

_LENGTHS = (0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_BACK, _AHEAD = 49, 50


def full_year(two: int, as_of: str) -> int:
    """A two-digit year in the century that is nearest (GS1 General Specifications, 7.12).

    49 years back and 50 ahead.

    >>> full_year(76, "2026-11-24"), full_year(77, "2026-11-24")
    (2076, 1977)
    """
    now = int(as_of[:4])
    year = now - now % 100 + two
    if year - now > _AHEAD:
        return year - 100
    return year + 100 if now - year > _BACK else year


def days_in_month(year: int, month: int) -> int:
    """How many days a month has; 0 for a month that the calendar does not have."""
    if month == 2 and year % 4 == 0 and (year % 100 != 0 or year % 400 == 0):
        return 29
    return _LENGTHS[month] if 0 < month <= 12 else 0


def iso_day(year: int, month: int, day: int) -> str | None:
    """A day of the calendar, or none."""
    if not 1 <= day <= days_in_month(year, month) or not 1 <= year <= 9999:
        return None
    return f"{year:04d}-{month:02d}-{day:02d}"


@lru_cache(maxsize=4096)
def day_of(figures: str, as_of: str) -> tuple[str, str] | None:
    """YYMMDD as a day and its precision; day 00 is the month's last; none if there is no such day.

    >>> day_of("270300", "2026-11-24"), day_of("270331", "2026-11-24")
    (('2027-03-31', 'month'), ('2027-03-31', 'day'))
    """
    if len(figures) != 6 or not figures.isdigit():
        return None
    year, month, day = full_year(int(figures[:2]), as_of), int(figures[2:4]), int(figures[4:])
    found = iso_day(year, month, day or days_in_month(year, month))
    return (found, "day" if day else "month") if found else None


def exact_day(figures: str, as_of: str) -> str | None:
    """YYMMDD where day 00 is not allowed."""
    found = day_of(figures, as_of)
    return found[0] if found and found[1] == "day" else None


def julian_day(figures: str, as_of: str) -> str | None:
    """YYJJJ as a day.

    >>> julian_day("20060", "2026-11-24")
    '2020-02-29'
    """
    year, left = full_year(int(figures[:2]), as_of), int(figures[2:])
    if left < 1:
        return None
    for month in range(1, 13):
        length = days_in_month(year, month)
        if left <= length:
            return iso_day(year, month, left)
        left -= length
    return None


def time_of(figures: str) -> str | None:
    """HH, HHMM or HHMMSS as a time of day; a shorter one is filled with zeros.

    >>> time_of("2359"), time_of("24")
    ('23:59', None)
    """
    hours, minutes, seconds = (int(figures[n : n + 2] or "0") for n in (0, 2, 4))
    if hours > 23 or minutes > 59 or seconds > 59:
        return None
    return f"{hours:02d}:{minutes:02d}" + (f":{seconds:02d}" if len(figures) > 4 else "")
