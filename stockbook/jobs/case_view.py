"""Everything about one case: its plan, where it stands, what it has, what was recorded."""

import sqlite3

from stockbook.domain.case_changes import CaseUnits, CaseView
from stockbook.domain.facts import Case
from stockbook.domain.second_eye import first_eye_words, shared_lots
from stockbook.jobs.finding import known_case
from stockbook.jobs.preparing import list_of
from stockbook.jobs.second_eye import first_eyes
from stockbook.ledger import history
from stockbook.ledger.cases import case_rows, moves_of_case, seen_lots, state_of, waste_reasons
from stockbook.ledger.facts import entries_that_changed
from stockbook.ledger.opening import Book
from stockbook.ledger.stock import items_by_code, lots_by_code

WHERE = {"trolley": "on the trolley", "used": "used", "waste": "wasted"}


def case_view(book: Book, code: str) -> CaseView:
    """One case: plan, state, units by lot with their value, entries, the other eye."""
    with book.reading() as db:
        case = known_case(db, code)
        of = list_of(db, case)
        units = _units(db, case)
        firsts = first_eyes(db, case)
        lots = {unit.lot.code: unit.lot for unit in units}.values()
        numbers = {*history.entries_of_case(db, case.code),
                   *entries_that_changed(db, Case, case.code)}  # fmt: skip
        found = [history.entry(db, number) for number in sorted(numbers)]
        return CaseView(
            case, of, state_of(db, case), tuple(units), tuple(e for e in found if e),
            tuple(first_eye_words(first) for first in firsts),
            tuple(w for first in firsts for w in shared_lots(first, of.day, lots)),
        )  # fmt: skip


def _units(db: sqlite3.Connection, case: Case) -> list[CaseUnits]:
    rows = case_rows(db, case.code)
    lots = lots_by_code(db, {row.lot for row in rows})
    items = items_by_code(db, {lot.item for lot in lots.values()})
    seen = seen_lots(db, case.code)
    scanned = {m.lot for m in moves_of_case(db, case.code) if m.seen}
    reasons = waste_reasons(db, case.code)
    units = []
    for row in rows:
        lot = lots[row.lot]
        where = WHERE[row.place.partition("/")[0]]
        known = row.lot in (scanned if where == WHERE["trolley"] else seen)
        reason = reasons.get(row.lot) if where == WHERE["waste"] else None
        units.append(CaseUnits(where, items[lot.item], lot, row.quantity, row.value, known, reason))
    order = list(WHERE.values())
    return sorted(units, key=lambda u: (order.index(u.where), u.item.code, u.lot.code))
