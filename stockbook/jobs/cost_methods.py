"""A period's cost of goods by lot, FIFO and moving average, side by side."""

from collections.abc import Sequence

from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.days import days_between
from stockbook.domain.valuation import MethodCosts, Valuation
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry
from stockbook.ledger.valuing import undone_keys, valued_lots, valued_moves


def cost_by_methods(
    book: Book, first_day: str, last_day: str, methods: Sequence[str], as_of: AsOf | None = None
) -> MethodCosts:
    """What was booked from `first_day` through `last_day`, valued by each method.

    The past is asked as for the cost by category: as of a day the period ends with that day at
    the latest; as of an entry it is the very page that was printed then.
    """
    last_day = period_end(first_day, last_day, as_of)
    with reading_as_of(book, as_of if as_of and as_of.entry else None) as db:
        valuation = Valuation(methods, (first_day, last_day), valued_lots(db), undone_keys(db))
        valuation.follow(valued_moves(db, last_day))
        number, checksum, _, _ = last_entry(db)
    return MethodCosts(
        first_day, last_day, days_between(first_day, last_day) + 1,
        dict(sorted(valuation.sums.items())), valuation.total(), number, checksum,
    )  # fmt: skip
