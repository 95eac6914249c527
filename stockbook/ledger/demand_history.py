"""Questions about past demand: lists and their cases, and when a case became known."""

import sqlite3
from collections.abc import Collection

from stockbook.domain.facts import Case, OperatingList
from stockbook.ledger.facts import all_of


def first_known(db: sqlite3.Connection, first_day: str, last_day: str) -> dict[str, str]:
    """The day on which each case of the lists of these days first stood in the book."""
    rows = db.execute(
        "SELECT theatre_case.code, MIN(happened_on) FROM theatre_list "
        "CROSS JOIN theatre_case ON theatre_case.list = theatre_list.code "
        "CROSS JOIN change ON change.kind = 'case' AND change.code = theatre_case.code "
        "CROSS JOIN entry ON number = change.entry WHERE day BETWEEN ? AND ? GROUP BY 1",
        (first_day, last_day),
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
