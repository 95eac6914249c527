"""What the forecast said in the past, from what the book knew then, beside what happened."""

from stockbook.domain.amounts import whole_from_text
from stockbook.domain.asking import AsOf
from stockbook.domain.case_history import monday_of
from stockbook.domain.days import days_after
from stockbook.domain.forecast_review import ForecastReview, Looked, by_item
from stockbook.domain.service_levels import service_from_text
from stockbook.errors import InputError
from stockbook.forecast.estimates import share_of
from stockbook.forecast.levels import order_up_to
from stockbook.jobs.prospecting import prospects_of
from stockbook.jobs.prospects import Prospect
from stockbook.ledger.as_of import first_day, reading_as_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import setting
from stockbook.ledger.shortages import all_used_between, last_entry_until, shortages_between

PERIODS = 6
MOST_PERIODS = 52


def review_forecast(book: Book, day: str, periods: str | None = None) -> ForecastReview:
    """Past periods of a review and a lead time, each begun on a Monday, the latest first.

    Each forecast is made from the book as it stood then; nothing later is known to it.
    """
    count = _count(periods)
    with book.reading() as db:
        began = first_day(db)
        days = int(setting(db, "review_days")) + int(setting(db, "lead_days"))
        service = service_from_text(setting(db, "service_level"))
    latest = monday_of(days_after(day, -days))
    mondays = [days_after(latest, -7 * n) for n in range(count)]
    looked: list[Looked] = []
    used_days = []
    for monday in mondays:
        found = _looked(book, monday, days) if began and monday > began else []
        if found:
            used_days.append(monday)
            looked += found
    return ForecastReview(day, days, tuple(used_days), service, by_item(looked))


def _count(text: str | None) -> int:
    count = PERIODS if not text else whole_from_text(text, 0, "--review")
    if not 1 <= count <= MOST_PERIODS:
        raise InputError(f"--review: found {text!r}, wanted 1 to {MOST_PERIODS} periods.")
    return count


def _looked(book: Book, monday: str, days: int) -> list[Looked]:
    """Every item with a basis on a Monday, and what the days from then on used of it."""
    with book.reading() as db:
        entry = last_entry_until(db, days_after(monday, -1))
    if entry is None:
        return []
    with reading_as_of(book, AsOf(monday, entry)) as db:
        known = [one for one in prospects_of(db, monday).known if one.demand.total.mean > 0]
        asked = [(one, *_forecast(one, days)) for one in known]
    last = days_after(monday, days - 1)
    with book.reading() as db:
        used = all_used_between(db, {one.item.code for one in known}, monday, last)
        short = shortages_between(db, monday, last)
    return [
        Looked(
            one.item, monday, expected, level, one.usable, used.get(one.item.code, 0),
            one.item.code in short,
        )
        for one, expected, level in asked
    ]  # fmt: skip


def _forecast(one: Prospect, days: int) -> tuple[float, int]:
    """What was expected of so many days, and the level that would be enough by its service."""
    demand = one.until(days)
    return demand.mean, order_up_to(demand, share_of(one.service.permille, 1000))
