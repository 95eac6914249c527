"""Whether a case is a patient's second eye, and what the first one got."""

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import replace

from stockbook.domain.facts import Case, Item, Lot, OperatingList
from stockbook.domain.records import IssuedCase
from stockbook.domain.second_eye import (
    SEPARATE_CLASSES,
    FirstEye,
    first_eye_words,
    in_order,
    is_other_eye,
    shared_lots,
)
from stockbook.ledger.cases import case_rows, last_entry_of_case
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.stock import items_by_code, lots_by_code


def first_eyes(db: sqlite3.Connection, case: Case) -> tuple[FirstEye, ...]:
    """The cases of the same patient's other eye that got anything, the last one first."""
    return _first_eyes(db, case, all_of(db, Case, patient=case.patient) if case.patient else ())


def with_other_eyes(db: sqlite3.Connection, issued: Sequence[IssuedCase]) -> list[IssuedCase]:
    """Issued cases with what the other eye got before, and a warning for each lot they share.

    The patients of all of them are looked for at once.
    """
    patients = {one.case.patient for one in issued if one.case.patient and one.case.eye}
    known = all_of(db, Case, patient=patients) if patients else []
    return [_with_other_eye(db, one, known) if len(known) > 1 else one for one in issued]


def _with_other_eye(
    db: sqlite3.Connection, issued: IssuedCase, known: Iterable[Case]
) -> IssuedCase:
    before = [case for case in known if last_entry_of_case(db, case.code) < issued.entry]
    firsts = _first_eyes(db, issued.case, before)
    day = _day(db, issued.case)
    lots = {draw.lot.code: draw.lot for draw in issued.draws}.values()
    shared = [words for first in firsts for words in shared_lots(first, day, lots)]
    notes = tuple(first_eye_words(first) for first in firsts)
    return replace(issued, notes=notes, warnings=(*issued.warnings, *shared))


def _first_eyes(db: sqlite3.Connection, case: Case, known: Iterable[Case]) -> tuple[FirstEye, ...]:
    others = [other for other in known if is_other_eye(case, other)]
    return in_order([first for first in (_first(db, other) for other in others) if first])


def _first(db: sqlite3.Connection, other: Case) -> FirstEye | None:
    rows = case_rows(db, other.code)
    if not rows:
        return None
    lots = lots_by_code(db, {row.lot for row in rows})
    items = items_by_code(db, {lot.item for lot in lots.values()})
    got = [(items[lot.item], lot) for _, lot in sorted(lots.items())]
    return FirstEye(other, _day(db, other), tuple(p for p in got if _is_separate(*p)))


def _day(db: sqlite3.Connection, case: Case) -> str:
    of = find(db, OperatingList, case.list)
    return of.day if of else ""


def _is_separate(item: Item, _: Lot) -> bool:
    return item.item_class in SEPARATE_CLASSES
