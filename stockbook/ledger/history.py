"""Questions about what was recorded: entries, their lines, where a lot went."""

import sqlite3
from collections.abc import Collection, Sequence

from stockbook.domain.amounts import LIMIT
from stockbook.domain.entries import ChangeRow, Entry, Movement
from stockbook.domain.tracing import TracedMove
from stockbook.ledger.facts import marks

_ENTRY = (
    "number, kind, happened_on, happened_at, booked_on, recorded_at, by, checked_by, reason, "
    "comment, document, request_key, request_digest, reverses, previous, checksum, "
    "movement_count, change_count"
)


def entries(
    db: sqlite3.Connection, *, first: int = 1, last: int | None = None, most: int = 1_000_000,
    kind: str | None = None, document: str | None = None, happened_on: str | None = None,
) -> list[Entry]:  # fmt: skip
    """Entries in order of number, the newest `most` of those the filters keep."""
    conditions, values = ["number >= ?"], [first]  # type: tuple[list[str], list[object]]
    wanted = (("number <= ?", last), ("kind = ?", kind), ("document = ?", document),
              ("happened_on = ?", happened_on))  # fmt: skip
    for condition, value in wanted:
        if value is not None:
            conditions.append(condition)
            values.append(value)
    rows = db.execute(
        f"SELECT {_ENTRY} FROM entry WHERE {' AND '.join(conditions)} ORDER BY number DESC LIMIT ?",
        (*values, most),
    )
    return [Entry(*row) for row in reversed(rows.fetchall())]


def entry(db: sqlite3.Connection, number: int) -> Entry | None:
    """One entry by its number; none beyond what a number can be."""
    if not 0 < number < LIMIT:
        return None
    found = entries(db, first=number, last=number)
    return found[0] if found else None


def movements_of(db: sqlite3.Connection, number: int) -> list[Movement]:
    """An entry's movements in order of line."""
    rows = db.execute(
        "SELECT lot, quantity, value, from_place, to_place, case_code, reason, seen "
        "FROM movement WHERE entry = ? ORDER BY line",
        (number,),
    )
    return [Movement(*row) for row in rows.fetchall()]


def changes_of(db: sqlite3.Connection, number: int) -> list[ChangeRow]:
    """An entry's changes in order of line."""
    rows = db.execute(
        "SELECT kind, code, body FROM change WHERE entry = ? ORDER BY line", (number,)
    )
    return [(row[0], row[1], row[2]) for row in rows.fetchall()]


def reversed_by(db: sqlite3.Connection, number: int) -> int | None:
    """The entry that undid this one."""
    row = db.execute("SELECT number FROM entry WHERE reverses = ?", (number,)).fetchone()
    return int(row[0]) if row else None


def later_entries(
    db: sqlite3.Connection, number: int, lot: int, place: str, case: str | None
) -> list[int]:
    """Entries after this one that took units of a lot (of a case, if one is named) from a place."""
    rows = db.execute(
        "SELECT DISTINCT entry FROM movement WHERE lot = ? AND entry > ? AND from_place = ? "
        "AND (? IS NULL OR case_code = ?) ORDER BY entry",
        (lot, number, place, case, case),
    )
    return [int(row[0]) for row in rows.fetchall()]


def entries_of_case(db: sqlite3.Connection, case: str) -> Sequence[int]:
    """Entries that moved anything for a case."""
    rows = db.execute(
        "SELECT DISTINCT entry FROM movement WHERE case_code = ? ORDER BY entry", (case,)
    )
    return [int(row[0]) for row in rows.fetchall()]


def moves_of_item(db: sqlite3.Connection, item: str, lots: Collection[int]) -> list[TracedMove]:
    """An item's movements from the first one of these lots on, in the order of recording.

    What was recorded before a lot came says nothing about where it went.
    """
    rows = db.execute(
        "SELECT movement.entry, entry.happened_on, entry.kind, lot.code, lot.number, "
        "movement.quantity, from_place, to_place, case_code, seen, reverses "
        "FROM lot CROSS JOIN movement ON movement.lot = lot.code AND movement.entry >= "
        f"(SELECT MIN(entry) FROM movement WHERE lot IN ({marks(lots)})) "
        "JOIN entry ON entry.number = movement.entry "
        "WHERE lot.item = ? ORDER BY movement.entry, movement.line",
        (*lots, item),
    ).fetchall()
    kinds = dict(db.execute("SELECT code, kind FROM place").fetchall())
    undone = {row[10] for row in rows if row[10] is not None}
    return [
        TracedMove(
            entry, day, kind, lot, number, quantity, source, target, kinds[source], kinds[target],
            case, seen, reverses is not None or entry in undone,
        )
        for entry, day, kind, lot, number, quantity, source, target, case, seen, reverses in rows
    ]  # fmt: skip
