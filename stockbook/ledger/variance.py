"""Questions of a variance: what each case used of each item, and what items cost before."""

import sqlite3
from collections.abc import Iterator

_ENDS = "(SELECT code FROM place WHERE kind IN ('used', 'waste'))"
_ENDED = (
    "SELECT case_code, item, place, SUM(steps), SUM(worth) FROM ("
    "SELECT case_code, lot, CASE sign WHEN 1 THEN to_place ELSE from_place END AS place, "
    "sign * quantity AS steps, sign * value AS worth FROM entry "
    "CROSS JOIN movement ON movement.entry = entry.number AND case_code IS NOT NULL "
    f"AND (to_place IN {_ENDS} OR from_place IN {_ENDS}) "
    "CROSS JOIN (SELECT 1 AS sign UNION ALL SELECT -1) WHERE booked_on BETWEEN ?1 AND ?2 "
    f"AND CASE sign WHEN 1 THEN to_place ELSE from_place END IN {_ENDS}) "
    "JOIN lot AS one ON one.code = lot GROUP BY case_code, item, place ORDER BY case_code"
)


EndedItem = tuple[str, str, str, int, int]
"""A case, an item, the place where it ended, finest steps and minor units."""


def ended_items(db: sqlite3.Connection, first_day: str, last_day: str) -> Iterator[EndedItem]:
    """By case and item what was used and wasted, row by row while the caller follows."""
    return db.execute(_ENDED, (first_day, last_day))


def priced_lots(db: sqlite3.Connection, last_day: str) -> list[tuple[str, str, int, int]]:
    """Lots with a price that is final, or agreed with who owns them, received by a day.

    Item, day received, minor units and the steps they are for; in the order of item and day.
    """
    rows = db.execute(
        "SELECT item, received_on, "
        "CASE terms WHEN 'consigned' THEN agreed_value ELSE price END AS asked, "
        "CASE terms WHEN 'consigned' THEN quantity ELSE price_quantity END AS steps "
        "FROM lot WHERE received_on <= ? AND provisional = 0 AND asked IS NOT NULL AND steps > 0 "
        "AND terms IN ('bought', 'consigned') ORDER BY item, received_on, code",
        (last_day,),
    )
    return rows.fetchall()
