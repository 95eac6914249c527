"""Questions of overhead: what rates were ever said, how long cases took, since when."""

import sqlite3
from collections.abc import Collection, Iterator

from stockbook.domain.codec import fact_from_body
from stockbook.domain.facts import Setting
from stockbook.ledger.facts import marks
from stockbook.ledger.statements import closings

SETTING = "overhead"
BATCH = 10_000


def rates_said(db: sqlite3.Connection) -> list[tuple[str, int, str]]:
    """Every version of the setting: the day it is booked, its entry, its text; by entry."""
    rows = db.execute(
        "SELECT booked_on, number, body FROM change CROSS JOIN entry ON number = change.entry "
        "WHERE change.kind = 'setting' AND change.code = ? ORDER BY change.entry, line",
        (SETTING,),
    )
    found = []
    for day, number, body in rows.fetchall():
        fact: Setting = fact_from_body("setting", SETTING, body)
        found.append((str(day), int(number), fact.value))
    return found


def minutes_of(db: sqlite3.Connection, cases: Collection[str]) -> dict[str, int]:
    """How long these cases had the theatre, where that is known."""
    found: dict[str, int] = {}
    for part in _parts(cases):
        found |= db.execute(
            "SELECT code, minutes FROM theatre_case WHERE minutes IS NOT NULL "
            f"AND code IN ({marks(part)})",
            part,
        ).fetchall()
    return found


def changed_after(db: sqlite3.Connection, entry: int, cases: Collection[str]) -> set[str]:
    """Those of these cases that an entry after this one altered."""
    rows = db.execute(
        "SELECT DISTINCT code FROM change WHERE entry > ? AND +kind = 'case'", (entry,)
    )
    later = {str(row[0]) for row in rows.fetchall()}
    return later & set(cases)


def closed_days(db: sqlite3.Connection) -> list[tuple[str, str, int]]:
    """Of each closed period its first and last day and the entry that closed it."""
    return [
        (one.period.first_day, one.period.last_day, one.entry)
        for one in closings(db)
        if one.is_in_force and one.period.closed
    ]


def _parts(cases: Collection[str]) -> Iterator[list[str]]:
    codes = sorted(cases)
    return (codes[n : n + BATCH] for n in range(0, len(codes), BATCH))
