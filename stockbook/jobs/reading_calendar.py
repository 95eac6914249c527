"""Reading a calendar of camps, closures and targets: for one question, never recorded."""

from stockbook.domain import texts
from stockbook.domain.amounts import whole_from_text
from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.days import day_from_text
from stockbook.domain.rows import Faults, Sheet, check_columns
from stockbook.errors import InputError
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import categories

MOST_CASES = 10_000


def calendar_read(book: Book, sheet: Sheet) -> list[PlannedSpan]:
    """The spans of a calendar: first and last day, category, cases in all; 0 is a closure."""
    check_columns(sheet, ("first_day", "last_day", "category", "cases"), ())
    known = tuple(category.code for category in categories(book.db))
    faults = Faults(sheet)
    spans = []
    for row in sheet.rows:
        first = faults.cell(row, "first_day", lambda text: day_from_text(text, "first_day"))
        last = faults.cell(row, "last_day", lambda text: day_from_text(text, "last_day"))
        category = faults.cell(row, "category", lambda text: texts.one_of(text, known, "category"))
        cases = faults.cell(row, "cases", _cases)
        if first and last and last < first:
            faults.add(row, "last_day", f"last_day: wanted {first} or later")
        if first and last and category and cases is not None:
            spans.append(PlannedSpan(first, last, category, cases))
    faults.check()
    return spans


def _cases(text: str) -> int:
    cases = whole_from_text(text, 0, "cases")
    if not 0 <= cases <= MOST_CASES:
        raise InputError(f"cases: found {text!r}, wanted 0 to {MOST_CASES}")
    return cases
