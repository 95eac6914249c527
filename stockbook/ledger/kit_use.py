"""Questions about what became of kits: the finished cases of a time, and how their units ended."""

import sqlite3

from stockbook.domain.facts import Case
from stockbook.domain.kit_review import Flow
from stockbook.ledger.facts import all_of

_STANDS = (
    "+{0}.reverses IS NULL "
    "AND NOT EXISTS (SELECT 1 FROM entry AS back WHERE back.reverses = {0}.number)"
)
_DONE = (
    "SELECT DISTINCT document FROM entry AS done WHERE done.kind = 'finish' "
    f"AND done.happened_on BETWEEN ?1 AND ?2 AND {_STANDS.format('done')}"
)
_SHELVES = ("store", "theatre", "quarantine")


def finished_cases(db: sqlite3.Connection, first_day: str, last_day: str) -> list[Case]:
    """The patients' cases finished in a time, by the day the finish happened."""
    rows = db.execute(f"{_DONE} ORDER BY 1", (first_day, last_day))
    return all_of(db, Case, code=[code for (code,) in rows.fetchall()], kind="patient")


def flows_of_cases(db: sqlite3.Connection, first_day: str, last_day: str) -> list[Flow]:
    """How the units of the cases finished in a time ended: used, wasted, returned to a shelf.

    What was exchanged for another lot did not come back; what left an end again is taken off it.
    """
    rows = db.execute(
        "SELECT case_code, lot.item, f.kind, t.kind, movement.reason, "
        "SUM(movement.quantity), SUM(movement.value) "
        f"FROM ({_DONE}) AS cases CROSS JOIN movement ON case_code = cases.document "
        "JOIN lot ON lot.code = movement.lot JOIN entry AS own ON own.number = movement.entry "
        "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
        f"WHERE {_STANDS.format('own')} AND movement.reason IS NOT 'lots-exchanged' "
        "GROUP BY 1, 2, 3, 4, 5 ORDER BY 1, 2, 3, 4, 5",
        (first_day, last_day),
    )
    flows = []
    for case, item, source, target, reason, quantity, value in rows.fetchall():
        for end, sign in _ends(source, target):
            flows.append(Flow(case, item, end, reason, sign * quantity, sign * value))
    return flows


def _ends(source: str, target: str) -> list[tuple[str, int]]:
    """The ends that a movement between two kinds of place adds to, or takes from."""
    names = {"used": "used", "waste": "wasted"}
    found = [(names[target], 1)] if target in names else []
    if source in names:
        found.append((names[source], -1))
    if source == "trolley" and target in _SHELVES:
        found.append(("returned", 1))
    return found
