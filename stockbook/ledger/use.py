"""Questions about use: how much of an item cases, lists and wards took within some days."""

import sqlite3

_USED = (
    "SELECT lot, {sign}quantity AS quantity FROM entry "
    "JOIN movement ON movement.entry = entry.number "
    "JOIN place ON place.code = {side}_place AND place.kind IN ('used', 'waste') "
    "AND place.code <> 'waste/common' WHERE happened_on BETWEEN ?1 AND ?2"
)


def used_between(db: sqlite3.Connection, first_day: str, last_day: str) -> dict[str, int]:
    """By item, the steps that were used or wasted on cases from a day through another.

    What came back counts against it; what was discarded from a shelf is no use.
    """
    both = " UNION ALL ".join(
        (_USED.format(sign="", side="to"), _USED.format(sign="-", side="from"))
    )
    rows = db.execute(
        f"SELECT item, SUM(ended.quantity) FROM ({both}) AS ended "
        "JOIN lot ON lot.code = ended.lot GROUP BY item",
        (first_day, last_day),
    )
    return {str(item): int(quantity) for item, quantity in rows.fetchall()}


def first_day_of_book(db: sqlite3.Connection) -> str | None:
    """The earliest day on which anything moved; none in an empty book."""
    row = db.execute("SELECT MIN(happened_on) FROM entry WHERE movement_count > 0").fetchone()
    return None if row[0] is None else str(row[0])
