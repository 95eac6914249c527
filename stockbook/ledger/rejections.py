"""Questions about what a supplier's deliveries brought that was not taken in, or set aside."""

import sqlite3
from collections.abc import Mapping

from stockbook.ledger.standing import stands

_CAME = f"""SELECT place.kind = 'quarantine', movement.reason, COUNT(DISTINCT movement.lot)
FROM entry CROSS JOIN movement ON movement.entry = entry.number AND movement.quantity > 0
CROSS JOIN place ON place.code = movement.to_place
WHERE entry.kind = 'delivery' AND movement.from_place = ? AND {stands()}
GROUP BY 1, 2 ORDER BY 1, 2"""
_REJECTED = f"""SELECT rejection.reason, COUNT(*)
FROM rejection CROSS JOIN change ON change.kind = 'rejection' AND change.code = rejection.code
CROSS JOIN entry ON entry.number = change.entry
WHERE rejection.supplier = ? AND {stands()} GROUP BY 1 ORDER BY 1"""


def lots_that_came(db: sqlite3.Connection, place: str) -> tuple[int, Mapping[str, int]]:
    """How many lots deliveries brought from a supplier's place, and how many of them went straight
    to a quarantine area, by reason.
    """
    rows = db.execute(_CAME, (place,)).fetchall()
    aside = {str(reason): int(count) for is_aside, reason, count in rows if is_aside and reason}
    return sum(int(count) for _, _, count in rows), aside


def rejected_lines(db: sqlite3.Connection, supplier: str) -> Mapping[str, int]:
    """How many lines of a supplier's deliveries were not taken in, by reason."""
    return {str(reason): int(count) for reason, count in db.execute(_REJECTED, (supplier,))}
