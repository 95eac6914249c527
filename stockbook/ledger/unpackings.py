"""Deliveries and moves at a terminal, kept when it dies; what was said there of identifiers."""

import sqlite3

from stockbook.domain.carrying import Carrying
from stockbook.domain.codec import fact_from_body
from stockbook.domain.facts import PackSize
from stockbook.domain.receiving import Unpacking
from stockbook.ledger.kept import all_kept, end, find_kept, keep

_DELIVERY, _MOVE = "delivery", "move"
IDENTIFIER = "identifier"
"""The first part of the request of what was said of an identifier at the desk."""


def _code(supplier: str, note: str) -> str:
    """No list is called so: its code has no stroke."""
    return f"receive/{supplier}/{note}"


def find_unpacking(db: sqlite3.Connection, supplier: str, note: str) -> Unpacking | None:
    """The delivery of a note, as it was left."""
    return find_kept(db, Unpacking, _DELIVERY, _code(supplier, note))


def keep_unpacking(db: sqlite3.Connection, unpacking: Unpacking, changed_at: str) -> None:
    """The delivery is as the terminal has it."""
    code = _code(unpacking.supplier, unpacking.note)
    keep(db, unpacking, _DELIVERY, code, changed_at)


def end_unpacking(db: sqlite3.Connection, supplier: str, note: str) -> None:
    """Nothing of this delivery waits at a terminal any more."""
    end(db, _DELIVERY, _code(supplier, note))


def unpackings(db: sqlite3.Connection) -> list[Unpacking]:
    """Every delivery, and opening stock, that is not recorded yet."""
    return all_kept(db, Unpacking, _DELIVERY)


def find_carrying(db: sqlite3.Connection, from_place: str, to_place: str) -> Carrying | None:
    """What goes from one place to another, as it was left."""
    return find_kept(db, Carrying, _MOVE, f"move/{from_place}/{to_place}")


def keep_carrying(db: sqlite3.Connection, carrying: Carrying, changed_at: str) -> None:
    """The move is as the terminal has it."""
    code = f"move/{carrying.from_place}/{carrying.to_place}"
    keep(db, carrying, _MOVE, code, changed_at)


def end_carrying(db: sqlite3.Connection, from_place: str, to_place: str) -> None:
    """Nothing of this move waits at a terminal any more."""
    end(db, _MOVE, f"move/{from_place}/{to_place}")


def carryings(db: sqlite3.Connection) -> list[Carrying]:
    """Every move that is not recorded yet."""
    return all_kept(db, Carrying, _MOVE)


def confirmations(db: sqlite3.Connection, pack: PackSize) -> list[tuple[str, str]]:
    """Who said at the desk, and on which day, that an identifier is what the book has for it.

    Only what was said since it last was something else.
    """
    rows = db.execute(
        "SELECT entry.by, entry.happened_on, entry.request_key, change.body FROM change "
        "CROSS JOIN entry ON entry.number = change.entry "
        "WHERE change.kind = 'pack size' AND change.code = ? ORDER BY change.entry DESC",
        (pack.code,),
    ).fetchall()
    found = []
    for by, day, key, body in rows:
        if fact_from_body("pack size", pack.code, body) != pack:
            break
        if str(key).startswith(f"{IDENTIFIER}/"):
            found.append((str(by), str(day)))
    return found
