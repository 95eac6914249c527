"""A question of several months at once: what ended in each, by case and kind of end."""

import sqlite3

from stockbook.domain.cost_trend import MonthLine

_ENDED = (
    "SELECT substr(booked_on, 1, 7) AS month, case_code, place.code, place.kind = 'waste', "
    "SUM(value), SUM(quantity) FROM ("
    "SELECT booked_on, case_code, to_place AS place, value, movement.quantity AS quantity "
    "FROM entry CROSS JOIN movement ON movement.entry = entry.number "
    "WHERE booked_on BETWEEN ?1 AND ?2 "
    "UNION ALL SELECT booked_on, case_code, from_place, -value, -movement.quantity "
    "FROM entry CROSS JOIN movement ON movement.entry = entry.number "
    "WHERE booked_on BETWEEN ?1 AND ?2) "
    "JOIN place ON place.code = place AND place.kind IN ('used', 'waste') "
    "GROUP BY month, case_code, place.code"
)


def ended_by_month(db: sqlite3.Connection, first_day: str, last_day: str) -> list[MonthLine]:
    """What ended as used or waste, booked from one day through another, month by month."""
    rows = db.execute(_ENDED, (first_day, last_day))
    return [
        MonthLine(month, case, place.partition("/")[2], bool(wasted), value)
        for month, case, place, wasted, value, units in rows
        if value or units
    ]
