"""What cases cost month by month, up to a day."""

from stockbook.domain.asking import AsOf
from stockbook.domain.cost_trend import CostTrend, month_costs, months_of
from stockbook.domain.places import COMMON
from stockbook.ledger import money
from stockbook.ledger.as_of import first_day, reading_as_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import categories, last_entry
from stockbook.ledger.trends import ended_by_month


def cost_trend(book: Book, last_day: str, as_of: AsOf | None = None) -> CostTrend:
    """Twelve months that end with a day, each as `cost_of_period` has it.

    As of a day the trend ends with that day at the latest; as of an entry it is what stood then.
    """
    through = as_of.through(last_day) if as_of else last_day
    with reading_as_of(book, as_of if as_of and as_of.entry else None) as db:
        spans = months_of(through, first_day(db))
        lines = ended_by_month(db, spans[0][1], through) if spans else []
        names = [*(category.code for category in categories(db)), COMMON]
        months = month_costs(
            spans, names, lines, lambda cases, *days: money.first_used(db, cases, *days)
        )
        return CostTrend(through, months, *last_entry(db)[:2])
