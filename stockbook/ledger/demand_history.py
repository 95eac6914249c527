"""Questions about past demand: when cases became known, and use outside patients' cases."""

import sqlite3
from collections.abc import Collection

from stockbook.domain.facts import Case, OperatingList
from stockbook.ledger.facts import all_of, marks


def first_known(db: sqlite3.Connection, cases: Collection[str]) -> dict[str, str]:
    """The day on which each case first stood in the book."""
    rows = db.execute(
        "SELECT change.code, MIN(happened_on) FROM change JOIN entry ON number = change.entry "
        f"WHERE change.kind = 'case' AND change.code IN ({marks(cases)}) GROUP BY 1",
        tuple(cases),
    )
    return dict(rows.fetchall())


def lists_between(db: sqlite3.Connection, first_day: str, last_day: str) -> list[OperatingList]:
    """The lists of these days, in order of day and code."""
    rows = db.execute(
        "SELECT code FROM theatre_list WHERE day BETWEEN ? AND ? ORDER BY day, code",
        (first_day, last_day),
    ).fetchall()
    return sorted(
        all_of(db, OperatingList, code=[code for (code,) in rows]), key=lambda one: one.day
    )


def patients_of_lists(db: sqlite3.Connection, lists: Collection[str]) -> list[Case]:
    """The patients' cases of these lists, cancelled ones too."""
    return all_of(db, Case, list=list(lists), kind="patient")


def use_beside_patients(
    db: sqlite3.Connection, first_day: str, last_day: str
) -> list[tuple[str, str, int]]:
    """Day, item and steps of what lists and services used, day by day."""
    rows = db.execute(
        "SELECT happened_on, lot.item, SUM(movement.quantity * ((t.kind IN ('used', 'waste')) "
        "- (f.kind IN ('used', 'waste')))) FROM entry "
        "CROSS JOIN movement ON movement.entry = entry.number AND case_code IS NOT NULL "
        "JOIN theatre_case ON theatre_case.code = case_code AND theatre_case.kind <> 'patient' "
        "JOIN lot ON lot.code = movement.lot "
        "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
        "WHERE happened_on BETWEEN ? AND ? AND reverses IS NULL "
        "AND NOT EXISTS (SELECT 1 FROM entry AS back WHERE back.reverses = entry.number) "
        "GROUP BY 1, 2 ORDER BY 1, 2",
        (first_day, last_day),
    )
    return [(day, item, int(quantity)) for day, item, quantity in rows.fetchall()]
