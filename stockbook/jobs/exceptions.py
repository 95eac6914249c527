"""Reading what went differently from the kit on a whole list."""

from collections import defaultdict
from functools import partial

from stockbook.domain import texts
from stockbook.domain.reasons import WASTE, reason_from
from stockbook.domain.rows import Faults, Sheet, check_columns
from stockbook.jobs.finding import known_item, quantity_of
from stockbook.jobs.finish import FinishAsked
from stockbook.ledger.opening import Book

WHAT = ("extra", "returned", "wasted")


def exceptions_read(book: Book, sheet: Sheet) -> dict[str, FinishAsked]:
    """What each case named in the sheet had extra, returned or wasted."""
    check_columns(sheet, ("case", "what", "item", "quantity"), ("reason",))
    faults = Faults(sheet)
    rows: dict[str, dict[str, list[tuple[str, ...]]]] = defaultdict(lambda: defaultdict(list))
    for row in sheet.rows:
        case = faults.cell(row, "case", lambda text: texts.code(text, "case"))
        what = faults.cell(row, "what", lambda text: texts.one_of(text, WHAT, "what"))
        if what == "wasted":
            faults.cell(row, "reason", lambda text: reason_from(text, WASTE, "reason"))
        item = faults.cell(row, "item", lambda text: known_item(book.db, text))
        if item is not None:
            faults.cell(row, "quantity", partial(quantity_of, item))
        reason = (row.get("reason"),) if what == "wasted" else ()
        rows[str(case)][str(what)].append((row.get("item"), row.get("quantity"), *reason))
    faults.check()
    return {case: _asked(found) for case, found in rows.items()}


def _asked(found: dict[str, list[tuple[str, ...]]]) -> FinishAsked:
    pairs = {what: tuple((r[0], r[1]) for r in found.get(what, [])) for what in WHAT}
    wasted = tuple((r[0], r[1], r[2]) for r in found.get("wasted", []))
    return FinishAsked(pairs["extra"], pairs["returned"], wasted)
