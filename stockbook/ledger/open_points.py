"""Questions about what was recorded and still needs somebody: prices, found lots, broken rules."""

import sqlite3
from typing import Any

from stockbook.domain.codec import fact_from_row, field_names
from stockbook.domain.entries import Entry
from stockbook.domain.facts import Lot
from stockbook.domain.places import DIFFERENCE
from stockbook.domain.reasons import AT_USE
from stockbook.ledger.facts import marks
from stockbook.ledger.history import entry
from stockbook.ledger.standing import stands

_LOT = ", ".join(f"lot.{name}" for name in field_names(Lot))


def provisional_lots(db: sqlite3.Connection) -> list[Lot]:
    """Lots whose price is not final and whose coming was not reversed, by lot."""
    rows = db.execute(
        f"SELECT {_LOT} FROM lot WHERE provisional = 1 AND EXISTS (SELECT 1 FROM movement "
        f"JOIN entry ON entry.number = movement.entry WHERE lot = lot.code AND {stands()}) "
        "ORDER BY lot.code"
    )
    return [_lot(row) for row in rows.fetchall()]


def found_at_use(db: sqlite3.Connection) -> list[tuple[Lot, int, str | None, str]]:
    """Lots that were in a hand and not in the book: lot, finest steps, case, day.

    Such a lot has a provisional price; that is how it is found without reading every movement.
    """
    rows = db.execute(
        f"SELECT {_LOT}, movement.quantity, case_code, happened_on FROM lot "
        "CROSS JOIN movement ON movement.lot = lot.code "
        "JOIN entry ON entry.number = movement.entry "
        "WHERE provisional = 1 AND from_place = ? AND movement.reason = 'found-at-use' "
        f"AND {stands()} ORDER BY movement.entry, movement.line",
        (DIFFERENCE,),
    )
    return [(_lot(row[:-3]), *row[-3:]) for row in rows.fetchall()]


def against_rules(db: sqlite3.Connection, since: str) -> list[Entry]:
    """What was recorded for cases since a day with a reason for a lot that was not to be used."""
    rows = db.execute(
        "SELECT number FROM entry WHERE kind IN ('issue', 'finish', 'convert', 'correction') "
        "AND recorded_at >= ? "
        f"AND reason IN ({marks(AT_USE)}) AND {stands()} ORDER BY number",
        (since, *AT_USE),
    )
    found = [entry(db, number) for (number,) in rows.fetchall()]
    return [one for one in found if one is not None]


def unexplained_rescues(db: sqlite3.Connection) -> list[Entry]:
    """Rescue kits issued without a reason that no later entry about the case explains."""
    rows = db.execute(
        f"SELECT number FROM entry WHERE kind = 'rescue' AND reason IS NULL AND {stands()} "
        "AND NOT EXISTS (SELECT 1 FROM entry AS said WHERE said.document = entry.document "
        "AND said.kind = 'explanation' AND said.number > entry.number) ORDER BY number"
    )
    found = [entry(db, number) for (number,) in rows.fetchall()]
    return [one for one in found if one is not None]


def rescues_of_case(db: sqlite3.Connection, case: str) -> list[int]:
    """The entries by which rescue kits were issued to a case and that stand."""
    rows = db.execute(
        f"SELECT number FROM entry WHERE document = ? AND kind = 'rescue' AND {stands()} "
        "ORDER BY number",
        (case,),
    )
    return [int(number) for (number,) in rows.fetchall()]


def _lot(row: tuple[Any, ...]) -> Lot:
    lot: Lot = fact_from_row(Lot, row)
    return lot
