"""Days as ISO text: what is typed, what an expiry means, how far apart."""

import re
from datetime import date, timedelta
from functools import lru_cache

from stockbook.errors import InputError

NO_EXPIRY = "9999-12-31"
"""The expiry of what has none; sorts after every real day."""

_DAY = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_MONTH = r"([0-9]{4})-([0-9]{2})"
_TIME = r"([01][0-9]|2[0-3]):[0-5][0-9]"


def day_from_text(text: str, what: str = "day") -> str:
    """An ISO day that the calendar has.

    >>> day_from_text("2028-02-29")
    '2028-02-29'
    """
    clean = text.strip()
    if re.fullmatch(_DAY, clean) and clean.isascii():
        try:
            return date.fromisoformat(clean).isoformat()
        except ValueError:
            raise InputError(
                f"{what}: found {text!r}, wanted a day that the calendar has."
            ) from None
    raise InputError(f"{what}: found {text!r}, wanted a day such as 2027-03-31.")


def day_typed(text: str, today: str, what: str = "day") -> str:
    """A day as people type it: ISO, `today` or `yesterday`."""
    if text == "today":
        return today
    if text == "yesterday":
        return days_after(today, -1)
    return day_from_text(text, what)


def last_day_of_month(year: int, month: int) -> str:
    """The last day of a month.

    >>> last_day_of_month(2028, 2)
    '2028-02-29'
    """
    if (year, month) == (9999, 12):
        return NO_EXPIRY
    first_of_next = date(year + month // 12, month % 12 + 1, 1)
    return (first_of_next - timedelta(days=1)).isoformat()


def expiry_from_text(text: str, what: str = "expiry") -> tuple[str, str]:
    """The last usable day and how precisely it was printed: `day`, `month` or `none`.

    >>> expiry_from_text("2028-02")
    ('2028-02-29', 'month')
    """
    clean = text.strip()
    if not clean or clean.lower() == "none":
        return NO_EXPIRY, "none"
    month = re.fullmatch(_MONTH, clean)
    if month and clean.isascii():
        if not 1 <= int(month[2]) <= 12 or int(month[1]) == 0:
            raise InputError(f"{what}: found {text!r}, wanted a month that the calendar has.")
        return last_day_of_month(int(month[1]), int(month[2])), "month"
    try:
        return day_from_text(clean, what), "day"
    except InputError as error:
        raise InputError(
            error.message.replace("2027-03-31.", "2027-03-31 or a month such as 2027-03.")
        ) from None


def expiry_text(expires_on: str, precision: str) -> str:
    """An expiry as it was printed on the pack.

    >>> expiry_text("2028-02-29", "month")
    '2028-02'
    """
    if precision == "none":
        return "none"
    return expires_on[:7] if precision == "month" else expires_on


def time_from_text(text: str, what: str = "time") -> str:
    """A time of day such as 14:05."""
    if re.fullmatch(_TIME, text.strip()) is None:
        raise InputError(f"{what}: found {text!r}, wanted a time such as 14:05.")
    return text.strip()


@lru_cache(maxsize=1024)
def days_after(day: str, count: int) -> str:
    """The day `count` days later (earlier when negative), within the calendar."""
    try:
        return (date.fromisoformat(day) + timedelta(days=count)).isoformat()
    except OverflowError:
        return NO_EXPIRY if count > 0 else "0001-01-01"


def days_between(first: str, second: str) -> int:
    """How many days `second` lies after `first`.

    >>> days_between("2027-02-27", "2027-03-01")
    2
    """
    return (date.fromisoformat(second) - date.fromisoformat(first)).days


def months_from(day: str, count: int) -> list[str]:
    """`count` calendar months from that of `day` on, as YYYY-MM."""
    year, month = int(day[:4]), int(day[5:7]) - 1
    return [f"{year + (month + n) // 12:04d}-{(month + n) % 12 + 1:02d}" for n in range(count)]


def months_through(day: str, count: int) -> str:
    """The first day of `count` calendar months that end with that of `day`.

    >>> months_through("2027-03-15", 1), months_through("2027-03-15", 4)
    ('2027-03-01', '2026-12-01')
    """
    months = int(day[:4]) * 12 + int(day[5:7]) - count
    return f"{months // 12:04d}-{months % 12 + 1:02d}-01"


def months_between(first: str, last: str) -> int | None:
    """How many whole calendar months two days make; none where they are no first and last of one.

    >>> months_between("2027-01-01", "2027-02-28"), months_between("2027-01-01", "2027-02-27")
    (2, None)
    """
    year, month = int(last[:4]), int(last[5:7])
    if first[8:] != "01" or last != last_day_of_month(year, month):
        return None
    return (year - int(first[:4])) * 12 + month - int(first[5:7]) + 1


def period_typed(
    month: str | None, first: str | None, last: str | None, today: str
) -> tuple[str, str]:
    """A period as people type it: a month, or two days; nothing is this month.

    >>> period_typed("2028-02", None, None, "2028-03-05")
    ('2028-02-01', '2028-02-29')
    """
    if (first is None) != (last is None) or (month and first):
        raise InputError("period: wanted --month YYYY-MM, or both --from DAY and --to DAY.")
    if first and last:
        return day_typed(first, today, "--from"), day_typed(last, today, "--to")
    ends, precision = expiry_from_text(month or today[:7], "--month")
    if precision != "month":
        raise InputError(f"--month: found {month!r}, wanted a month such as 2027-02.")
    return ends[:8] + "01", ends
