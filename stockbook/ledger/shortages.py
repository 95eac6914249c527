"""Questions about who went without: partial issues, packs found at use, and what was used when."""

import json
import sqlite3
from collections.abc import Collection

from stockbook.ledger.standing import stands
from stockbook.ledger.use import ENDS, used_between


def shortages_between(db: sqlite3.Connection, first_day: str, last_day: str) -> set[str]:
    """Items of which a case lacked something, or had a pack that the book did not."""
    rows = db.execute(
        "SELECT body FROM change JOIN entry ON entry.number = change.entry "
        f"WHERE change.kind = 'case' AND happened_on BETWEEN ? AND ? AND {stands()} "
        "AND body LIKE '%\"missing\":[{%'",
        (first_day, last_day),
    )
    found = {one["item"] for (body,) in rows.fetchall() for one in json.loads(body)["missing"]}
    at_use = db.execute(
        "SELECT DISTINCT lot.item FROM entry CROSS JOIN movement ON movement.entry = entry.number "
        "JOIN lot ON lot.code = movement.lot WHERE happened_on BETWEEN ? AND ? "
        f"AND movement.reason = 'found-at-use' AND {stands()}",
        (first_day, last_day),
    )
    return found | {item for (item,) in at_use.fetchall()}


def all_used_between(
    db: sqlite3.Connection, items: Collection[str], first_day: str, last_day: str
) -> dict[str, int]:
    """By item, finest steps that cases, lists and services used or wasted."""
    return used_between(db, items, first_day, last_day, ENDS)


def last_entry_until(db: sqlite3.Connection, day: str) -> int | None:
    """The last entry of what had happened by the end of a day; none before the book began."""
    row = db.execute("SELECT MAX(number) FROM entry WHERE happened_on <= ?", (day,)).fetchone()
    return None if row[0] is None else int(row[0])
