"""Questions about lists and cases: what is planned, issued, on the trolley, used."""

import sqlite3
from collections.abc import Collection
from dataclasses import dataclass

from stockbook.domain.case_changes import CANCELLED, FINISHED, ISSUED, PLANNED
from stockbook.domain.codec import fact_from_body
from stockbook.domain.facts import Case
from stockbook.domain.picking import ShelfRow
from stockbook.ledger.facts import all_of, entries_that_changed, marks
from stockbook.ledger.stock import lots_by_code

_STANDS = (
    "NOT EXISTS (SELECT 1 FROM entry AS back WHERE back.reverses = movement.entry) "
    "AND (SELECT reverses FROM entry AS own WHERE own.number = movement.entry) IS NULL"
)
"""Of a movement: it was not reversed and reverses nothing."""

_UNDONE = "EXISTS (SELECT 1 FROM entry AS back WHERE back.reverses = entry.number)"

_ON_TROLLEY = "place >= 'trolley/' AND place < 'trolley0'"
"""Of a case's balance: it lies on a trolley; in the words of the index that finds it."""


@dataclass(frozen=True, slots=True)
class CaseRow:
    """So much of a lot that a case has at a place (trolley, used, waste)."""

    place: str
    lot: int
    quantity: int
    value: int


def cases_of_list(db: sqlite3.Connection, code: str) -> list[Case]:
    """A list's cases in their order."""
    return sorted(all_of(db, Case, list=code), key=lambda c: (c.position, c.code))


def case_rows(
    db: sqlite3.Connection, case: str, place: str | None = None, item: str | None = None
) -> list[CaseRow]:
    """What a case has, by place and lot; of one place or one item where that is asked."""
    rows = db.execute(
        "SELECT place, lot, quantity, value FROM case_balance "
        "WHERE case_code = ? AND (?2 IS NULL OR place = ?2) AND (?3 IS NULL OR EXISTS "
        "(SELECT 1 FROM lot AS of WHERE of.code = case_balance.lot AND of.item = ?3)) "
        "ORDER BY place, lot",
        (case, place, item),
    )
    return [CaseRow(*row) for row in rows.fetchall()]


def kinds_recorded(db: sqlite3.Connection, case: str) -> dict[str, int]:
    """The issues and finishes of a case that still stand: kind to the last one's number.

    What was issued before the case was cancelled went back or to waste; it stands no more.
    """
    return recorded_of_cases(db, [case])[case]


def recorded_of_cases(db: sqlite3.Connection, cases: Collection[str]) -> dict[str, dict[str, int]]:
    """The same of several cases."""
    rows = db.execute(
        "SELECT document, kind, MAX(number) FROM entry "
        f"WHERE document IN ({marks(cases)}) AND kind IN ('issue', 'finish', 'cancel') "
        f"AND NOT {_UNDONE} GROUP BY document, kind",
        tuple(cases),
    )
    found: dict[str, dict[str, int]] = {case: {} for case in cases}
    for case, kind, number in rows.fetchall():
        found[case][kind] = int(number)
    return {case: _standing(kinds) for case, kinds in found.items()}


def _standing(kinds: dict[str, int]) -> dict[str, int]:
    cancelled = kinds.pop("cancel", 0)
    return {kind: number for kind, number in kinds.items() if number > cancelled}


def last_of_case(db: sqlite3.Connection, case: str, kind: str) -> int:
    """The last entry of a kind about a case that still stands; 0 where there is none."""
    row = db.execute(
        f"SELECT MAX(number) FROM entry WHERE document = ? AND kind = ? AND NOT {_UNDONE}",
        (case, kind),
    ).fetchone()
    return int(row[0] or 0)


def times_cancelled(db: sqlite3.Connection, case: str, *, standing: bool = True) -> int:
    """How often a case was cancelled by itself; the cancellations that were reversed left out."""
    rows = db.execute(
        "SELECT COUNT(*) FROM entry WHERE document = ? AND kind = 'cancel' "
        f"AND NOT (? AND {_UNDONE})",
        (case, int(standing)),
    )
    return int(rows.fetchone()[0])


def state_of(db: sqlite3.Connection, case: Case) -> str:
    """Where a case stands: planned, issued, finished or cancelled."""
    if case.cancelled:
        return CANCELLED
    recorded = kinds_recorded(db, case.code)
    if "finish" in recorded:
        return FINISHED
    return ISSUED if "issue" in recorded else PLANNED


def last_entry_of_case(db: sqlite3.Connection, case: str) -> int:
    """The number of the last entry that moved anything for a case; 0 before any."""
    row = db.execute("SELECT MAX(entry) FROM movement WHERE case_code = ?", (case,)).fetchone()
    return int(row[0] or 0)


@dataclass(frozen=True, slots=True)
class Issued:
    """One line by which units came to a case: where they were drawn, and whether seen."""

    entry: int
    line: int
    lot: int
    quantity: int
    from_place: str
    to_place: str
    seen: bool
    reason: str | None = None


def moves_of_case(db: sqlite3.Connection, case: str) -> list[Issued]:
    """Every movement of a case with units that still stands, in order.

    A reversed movement and its mirror cancel each other: units that came back that way lie where
    and as they lay before.
    """
    rows = db.execute(
        "SELECT entry, line, lot, quantity, from_place, to_place, seen, reason FROM movement "
        f"WHERE case_code = ? AND quantity > 0 AND {_STANDS} ORDER BY entry, line",
        (case,),
    )
    return [Issued(*row) for row in rows.fetchall()]


def cases_that_used(db: sqlite3.Connection, cases: Collection[str]) -> set[str]:
    """Those of these cases that used anything."""
    rows = db.execute(
        "SELECT DISTINCT case_code FROM case_balance WHERE place >= 'used/' AND place < 'used0' "
        f"AND case_code IN ({marks(cases)})",
        tuple(cases),
    )
    return {str(row[0]) for row in rows.fetchall()}


def used_by(db: sqlite3.Connection, cases: Collection[str], day: str) -> set[str]:
    """Those of these cases that had used anything by what was booked through a day."""
    rows = db.execute(
        "SELECT case_code FROM movement CROSS JOIN entry ON entry.number = movement.entry "
        f"WHERE case_code IN ({marks(cases)}) AND booked_on <= ? GROUP BY case_code "
        "HAVING SUM(quantity * ((to_place >= 'used/' AND to_place < 'used0') "
        "- (from_place >= 'used/' AND from_place < 'used0'))) > 0",
        (*cases, day),
    )
    return {str(row[0]) for row in rows.fetchall()}


def case_by(db: sqlite3.Connection, code: str, day: str) -> Case | None:
    """A case as it stood by what was booked through a day; none where it was not known yet."""
    row = db.execute(
        "SELECT body FROM change CROSS JOIN entry ON entry.number = change.entry "
        "WHERE change.kind = 'case' AND change.code = ? AND booked_on <= ? "
        "ORDER BY change.entry DESC, change.line DESC LIMIT 1",
        (code, day),
    ).fetchone()
    found: Case | None = fact_from_body("case", code, row[0]) if row else None
    return found


def unfinished(db: sqlite3.Connection) -> list[str]:
    """Cases with units on a trolley."""
    rows = db.execute(f"SELECT DISTINCT case_code FROM case_balance WHERE {_ON_TROLLEY} ORDER BY 1")
    return [row[0] for row in rows.fetchall()]


def staged_cases(db: sqlite3.Connection, lots: set[int]) -> dict[tuple[str, int], str]:
    """For each trolley and lot of these, the cases that have units of it there."""
    rows = db.execute(
        "SELECT place, lot, group_concat(case_code, ', ') FROM case_balance "
        f"WHERE {_ON_TROLLEY} AND lot IN ({marks(lots)}) GROUP BY place, lot",
        tuple(lots),
    )
    return {(place, lot): cases for place, lot, cases in rows.fetchall()}


def seen_lots(db: sqlite3.Connection, case: str) -> set[int]:
    """Lots that somebody saw in the case's hands: no unit that ended with it was only presumed."""
    rows = db.execute(
        "SELECT lot FROM movement JOIN place ON place.code = to_place "
        f"WHERE case_code = ? AND quantity > 0 AND place.kind IN ('used', 'waste') AND {_STANDS} "
        "GROUP BY lot HAVING MIN(seen) = 1",
        (case,),
    )
    return {int(row[0]) for row in rows.fetchall()}


def waste_reasons(db: sqlite3.Connection, case: str) -> dict[int, str]:
    """Why each lot was wasted on a case; several reasons side by side."""
    rows = db.execute(
        "SELECT lot, group_concat(DISTINCT reason) FROM movement "
        "JOIN place ON place.code = to_place AND place.kind = 'waste' "
        f"WHERE case_code = ? AND reason IS NOT NULL AND {_STANDS} GROUP BY lot",
        (case,),
    )
    return {int(lot): str(reason) for lot, reason in rows.fetchall()}


def seen_for(db: sqlite3.Connection, lots: Collection[int]) -> set[str]:
    """The cases on whose trolley units of these lots lie that somebody saw there."""
    rows = db.execute(
        "SELECT DISTINCT case_code FROM case_balance JOIN movement USING (case_code, lot) "
        f"WHERE {_ON_TROLLEY} AND case_balance.lot IN ({marks(lots)}) "
        f"AND to_place = place AND seen = 1 AND {_STANDS}",
        tuple(lots),
    )
    return {str(row[0]) for row in rows.fetchall()}


def presumed_on_trolley(
    db: sqlite3.Connection, trolley: str, item: str
) -> list[tuple[str, ShelfRow]]:
    """What cases have of an item on a trolley without anybody having seen which lot it is."""
    rows = db.execute(
        "SELECT case_code, lot, case_balance.quantity, case_balance.value FROM case_balance "
        f"JOIN lot ON lot.code = case_balance.lot WHERE {_ON_TROLLEY} AND place = ?1 "
        "AND item = ?2 "
        "AND NOT EXISTS (SELECT 1 FROM movement WHERE movement.lot = case_balance.lot "
        "  AND movement.case_code = case_balance.case_code AND to_place = ?1 AND seen = 1 "
        f"  AND {_STANDS}) "
        "ORDER BY case_code, lot",
        (trolley, item),
    ).fetchall()
    lots = lots_by_code(db, {row[1] for row in rows})
    return [(case, ShelfRow(trolley, lots[lot], n, value)) for case, lot, n, value in rows]


@dataclass(frozen=True, slots=True)
class EndedPart:
    """So many units of a lot that a case used or wasted: why, and whether somebody saw the lot."""

    place: str
    lot: int
    quantity: int
    reason: str | None
    seen: bool


def ended_parts(db: sqlite3.Connection, case: str) -> list[EndedPart]:
    """What a case used and wasted as it stands, by place, lot, reason and whether it was seen."""
    rows = db.execute(
        "SELECT from_place, to_place, lot, quantity, reason, seen FROM movement "
        f"WHERE case_code = ? AND quantity > 0 AND {_STANDS} ORDER BY entry, line",
        (case,),
    )
    parts: dict[tuple[str, int, str | None, bool], int] = {}
    for source, target, lot, quantity, reason, seen in rows.fetchall():
        for place, change in ((source, -quantity), (target, quantity)):
            if place.startswith(("used/", "waste/")):
                key = (place, lot, reason if place.startswith("waste/") else None, bool(seen))
                parts[key] = parts.get(key, 0) + change
    return [
        EndedPart(place, lot, quantity, reason, seen)
        for (place, lot, reason, seen), quantity in parts.items()
        if quantity > 0
    ]


def kind_of_last_change(db: sqlite3.Connection, cls: type, code: str) -> str | None:
    """The kind of the entry that holds a fact's last version; none before any."""
    numbers = entries_that_changed(db, cls, code)
    if not numbers:
        return None
    row = db.execute("SELECT kind FROM entry WHERE number = ?", (numbers[-1],)).fetchone()
    return str(row[0])
