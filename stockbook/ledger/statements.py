"""Questions of a statement: value by class between places, balances of all places, closings."""

import sqlite3

from stockbook.domain.codec import fact_from_body
from stockbook.domain.finance_facts import Period
from stockbook.domain.statements import Closing, Colour, PlaceBalance, ValueFlow
from stockbook.ledger.facts import all_of

_FLOWS = (
    "SELECT item_class, f.kind, from_place, t.kind, to_place, "
    "CASE WHEN 'waste' IN (f.kind, t.kind) THEN why END, SUM(value) FROM ("
    "SELECT lot, from_place, to_place, COALESCE(movement.reason, entry.reason) AS why, "
    "SUM(movement.value) AS value FROM entry "
    "CROSS JOIN movement ON movement.entry = entry.number WHERE {days} AND movement.value > 0 "
    "GROUP BY lot, from_place, to_place, why) "
    "JOIN lot ON lot.code = lot JOIN item ON item.code = lot.item "
    "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
    "GROUP BY 1, from_place, to_place, 6 ORDER BY 1, 3, 5, 6"
)


def flows_within(db: sqlite3.Connection, first_day: str, last_day: str) -> list[ValueFlow]:
    """What was booked from one day through another, by class, places and the reason of waste."""
    days = _FLOWS.format(days="booked_on BETWEEN ? AND ?")
    return [ValueFlow(*row) for row in db.execute(days, (first_day, last_day)).fetchall()]


def flows_after(db: sqlite3.Connection, day: str) -> list[ValueFlow]:
    """What was booked later than a day."""
    days = _FLOWS.format(days="booked_on > ?")
    return [ValueFlow(*row) for row in db.execute(days, (day,)).fetchall()]


def value_by_class(db: sqlite3.Connection) -> dict[str, int]:
    """What lies on hand now, by class."""
    rows = db.execute(
        "SELECT item_class, SUM(value) FROM on_hand JOIN lot ON lot.code = lot "
        "JOIN item ON item.code = lot.item GROUP BY 1"
    )
    return dict(rows.fetchall())


def balances_through(db: sqlite3.Connection, day: str) -> list[PlaceBalance]:
    """Every place's value in less value out of all that was booked through a day."""
    rows = db.execute(
        "SELECT place, kind, SUM(value) FROM ("
        "SELECT to_place AS place, value FROM day_flow WHERE booked_on <= ?1 "
        "UNION ALL SELECT from_place, -value FROM day_flow WHERE booked_on <= ?1) "
        "JOIN place ON place.code = place GROUP BY place HAVING SUM(value) <> 0 ORDER BY place",
        (day,),
    )
    return [PlaceBalance(*row) for row in rows.fetchall()]


def staged_value(db: sqlite3.Connection, last_day: str) -> Colour:
    """Cases of lists up to a day whose kit lies on a trolley, and what it is worth."""
    row = db.execute(
        "SELECT COUNT(DISTINCT case_code), COALESCE(SUM(value), 0) FROM case_balance "
        "JOIN theatre_case ON theatre_case.code = case_code "
        "LEFT JOIN theatre_list ON theatre_list.code = list "
        "WHERE place >= 'trolley/' AND place < 'trolley0' AND COALESCE(day, '') <= ?",
        (last_day,),
    ).fetchone()
    return Colour("unfinished case", *row)


def provisional_value(db: sqlite3.Connection, first_day: str, last_day: str) -> Colour:
    """Lots without a final price: what of them ended in a period, or came by then and is there."""
    row = db.execute(
        "SELECT COUNT(DISTINCT lot), COALESCE(SUM(value), 0) FROM ("
        "SELECT movement.lot, movement.value FROM lot "
        "CROSS JOIN movement ON movement.lot = lot.code "
        "JOIN entry ON entry.number = movement.entry "
        "JOIN place ON place.code = to_place AND place.kind IN ('used', 'waste', 'sent back') "
        "WHERE lot.provisional = 1 AND booked_on BETWEEN ?1 AND ?2 AND movement.value > 0 "
        "UNION ALL SELECT on_hand.lot, on_hand.value FROM on_hand JOIN lot AS there "
        "ON there.code = on_hand.lot AND provisional = 1 AND received_on <= ?2)",
        (first_day, last_day),
    ).fetchone()
    return Colour("provisional price", *row)


def last_closed(db: sqlite3.Connection) -> Period | None:
    """The closed period that ends last."""
    closed = [one for one in all_of(db, Period) if one.closed]
    return max(closed, key=lambda one: one.last_day, default=None)


def closings(db: sqlite3.Connection) -> list[Closing]:
    """Every closing and reopening, in the order of recording."""
    rows = db.execute(
        "SELECT entry, code, body, by, recorded_at, reason, NOT EXISTS (SELECT 1 FROM change AS "
        "later WHERE later.kind = 'period' AND later.code = change.code AND later.entry > "
        "change.entry) FROM change JOIN entry ON number = entry WHERE change.kind = 'period' "
        "ORDER BY entry, line"
    )
    return [
        Closing(number, fact_from_body("period", code, body), by, at, reason, bool(now))
        for number, code, body, by, at, reason, now in rows.fetchall()
    ]


def statements_made(db: sqlite3.Connection) -> int:
    """How many statements this book has, later reopened ones included."""
    return sum(one.period.closed for one in closings(db))
