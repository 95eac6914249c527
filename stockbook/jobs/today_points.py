"""What waits at the desk's terminals, and what suppliers owe for what was sent back."""

import sqlite3

from stockbook.domain.amounts import plural
from stockbook.domain.carrying import Carrying
from stockbook.domain.receiving import Unpacking
from stockbook.domain.today import Point
from stockbook.jobs.finding import money_of
from stockbook.jobs.sent_lots import owed
from stockbook.ledger.unpackings import carryings, unpackings


def sittings_waiting(db: sqlite3.Connection, _: str) -> list[Point]:
    """Deliveries, opening stock and moves that were begun by scanner and not recorded, by day."""
    points = [
        *(_point(one, one.note, _whence(one)) for one in unpackings(db)),
        *(_point(one, f"{one.from_place}-{one.to_place}", "move") for one in carryings(db)),
    ]
    return sorted(points, key=lambda point: (str(point.day), point.code))


def _whence(one: Unpacking) -> str:
    return one.what if one.is_opening else f"{one.what} of {one.supplier}"


def _point(one: Unpacking | Carrying, code: str, what: str) -> Point:
    """When and by whom it was begun, who has it, and how many packs it has by now."""
    packs = plural(sum(pack.count for pack in one.packs), "pack")
    more = ", 1 waiting" if isinstance(one, Unpacking) and one.open else ""
    now = "" if one.by == one.began_by else f", now {one.by}"
    day, at = one.began_at[:10], one.began_at[11:16]
    return Point(code, f"{at} UTC  {what}, {one.began_by}{now}: {packs}{more}", day)


def not_credited(db: sqlite3.Connection, _: str) -> list[Point]:
    """By supplier, what was sent back and paid for and no credit note gives back, since when."""
    money, points = money_of(db), []
    found = owed(db)
    for supplier in sorted({one.supplier for one in found}):
        lots = [one for one in found if one.supplier == supplier]
        worth = money.text(sum(one.owed_value for one in lots))
        words = f"{plural(len(lots), 'lot')}, {money.code} {worth} at what was paid"
        points.append(Point(supplier, words, min(one.day for one in lots)))
    return points
