"""What the forecast learns from: the cases of the last year, those on the lists, the calendar."""

import sqlite3
from collections.abc import Mapping, Sequence

from stockbook.domain.case_history import DatedCase, History
from stockbook.domain.days import days_after
from stockbook.domain.facts import Case
from stockbook.domain.kits import kit_code
from stockbook.ledger.cases import recorded_of_cases
from stockbook.ledger.demand_history import (
    first_known,
    lists_between,
    patients_of_lists,
)
from stockbook.ledger.kit_use import finished_cases, taken_by_cases
from stockbook.ledger.stock import lenses

HISTORY_DAYS = 365


def history_of(db: sqlite3.Connection, day: str, horizon: int) -> History:
    """Everything counted that the estimates need; `horizon` is how many days ahead lists count."""
    since = days_after(day, -HISTORY_DAYS)
    until = days_after(day, horizon)
    lists = {one.code: one.day for one in lists_between(db, since, until)}
    planned = patients_of_lists(db, lists)
    done = [one.case for one in finished_cases(db, since, day)]
    known = first_known(db, since, until)
    taken = taken_by_cases(db, since, day)
    finished = tuple(_dated(case, lists, known) for case in done if case.list in lists)
    began = min((case.day for case in finished), default=day)
    return History(
        max(since, began), finished,
        sum(case.cancelled for case in planned if lists[case.list] < day), taken,
        _listed(db, planned, lists, day), frozenset(item.code for item in lenses(db)),
    )  # fmt: skip


def _dated(case: Case, lists: Mapping[str, str], known: Mapping[str, str]) -> DatedCase:
    category = str(case.category)
    return DatedCase(
        case.code, kit_code(str(case.procedure), category), category, lists[case.list],
        known.get(case.code, lists[case.list]), case.lens_model, case.power,
    )  # fmt: skip


def _listed(
    db: sqlite3.Connection, planned: Sequence[Case], lists: Mapping[str, str], day: str
) -> tuple[DatedCase, ...]:
    """What lies on a trolley already has left the shelves."""
    coming = [c for c in planned if lists[c.list] >= day and not c.cancelled and c.procedure]
    recorded = recorded_of_cases(db, [case.code for case in coming])
    return tuple(_dated(case, lists, {}) for case in coming if not recorded[case.code])
