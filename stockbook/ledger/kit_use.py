"""Questions about what became of kits: the finished cases of a time, and how their units ended."""

import sqlite3
from collections.abc import Collection
from dataclasses import dataclass

from stockbook.domain.facts import Case
from stockbook.domain.kit_review import Flow
from stockbook.ledger.facts import all_of, marks, version_at
from stockbook.ledger.standing import stands

_CANCELLED = (
    "COALESCE((SELECT MAX(off.number) FROM entry AS off WHERE off.document = done.document "
    f"AND off.kind = 'cancel' AND {stands('off')}), 0)"
)
"""The entry by which a case was cancelled before it was taken back; what lies before counts not."""

_DONE = (
    f"SELECT document, MAX(number) AS finish, {_CANCELLED} AS cancelled FROM entry AS done "
    f"WHERE done.kind = 'finish' AND done.happened_on BETWEEN ?1 AND ?2 "
    f"AND {stands('done')} GROUP BY document"
)
_SHELVES = ("store", "theatre", "quarantine")


@dataclass(frozen=True, slots=True)
class FinishedCase:
    """A case as it was finished, whatever was corrected later."""

    case: Case
    converted: tuple[Case, ...] = ()
    """As it was before each conversion: what lay on the trolley was those kits'."""


def finished_cases(db: sqlite3.Connection, first_day: str, last_day: str) -> list[FinishedCase]:
    """The patients' cases finished in a time, by the day the finish happened."""
    rows = db.execute(f"{_DONE} ORDER BY 1", (first_day, last_day)).fetchall()
    finishes = {code: (finish, cancelled) for code, finish, cancelled in rows}
    before = _conversions(db, finishes)
    found = []
    for case in all_of(db, Case, code=list(finishes), kind="patient"):
        finish, cancelled = finishes[case.code]
        numbers = [n for n in before.get(case.code, ()) if n > cancelled]
        kits = [version_at(db, Case, case.code, number - 1) for number in numbers]
        as_finished = version_at(db, Case, case.code, finish) or case
        found.append(FinishedCase(as_finished, tuple(kit for kit in kits if kit)))
    return found


def _conversions(db: sqlite3.Connection, cases: Collection[str]) -> dict[str, list[int]]:
    """The entries by which cases were converted with their kit on the trolley."""
    rows = db.execute(
        f"SELECT document, number FROM entry WHERE document IN ({marks(cases)}) "
        f"AND kind = 'convert' AND {stands('entry')} ORDER BY number",
        tuple(cases),
    )
    found: dict[str, list[int]] = {}
    for case, number in rows.fetchall():
        found.setdefault(case, []).append(number)
    return found


def flows_of_cases(db: sqlite3.Connection, first_day: str, last_day: str) -> list[Flow]:
    """How the units of the cases finished in a time ended: used, wasted, returned to a shelf.

    What was exchanged for another lot did not come back; what left an end again is taken off it;
    what a case had before it was cancelled and taken back is left out.
    """
    rows = db.execute(
        "SELECT case_code, lot.item, f.kind, t.kind, movement.reason, "
        "SUM(movement.quantity), SUM(movement.value) "
        f"FROM ({_DONE}) AS cases CROSS JOIN movement ON case_code = cases.document "
        "JOIN lot ON lot.code = movement.lot JOIN entry AS own ON own.number = movement.entry "
        "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
        f"WHERE {stands('own')} AND movement.reason IS NOT 'lots-exchanged' "
        "AND movement.entry > cases.cancelled "
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


def taken_by_cases(
    db: sqlite3.Connection, first_day: str, last_day: str
) -> dict[tuple[str, str], int]:
    """By case finished in a time and item, finest steps that it used or wasted in the end."""
    rows = db.execute(
        "SELECT case_code, lot.item, SUM(case_balance.quantity) "
        f"FROM ({_DONE}) AS cases CROSS JOIN case_balance ON case_code = cases.document "
        "JOIN lot ON lot.code = case_balance.lot "
        "WHERE place >= 'used/' AND place < 'used0' OR place >= 'waste/' AND place < 'waste0' "
        "GROUP BY 1, 2",
        (first_day, last_day),
    )
    return {(case, item): quantity for case, item, quantity in rows.fetchall()}
