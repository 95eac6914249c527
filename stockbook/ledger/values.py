"""Questions of value: what shelves bear, when things were last used, what was paid for them."""

import sqlite3

from stockbook.domain.write_downs import Carried
from stockbook.ledger.standing import stands

_SHELVES = "('store', 'theatre', 'quarantine', 'in use')"


def carried_rows(db: sqlite3.Connection, item: str) -> list[Carried]:
    """Units of an item that lie on shelves, owned or not, by lot and place."""
    rows = db.execute(
        "SELECT lot, place, on_hand.quantity, on_hand.value FROM on_hand "
        "JOIN lot AS one ON one.code = on_hand.lot JOIN place AS at ON at.code = on_hand.place "
        f"WHERE one.item = ? AND one.terms <> 'consigned' AND at.kind IN {_SHELVES} "
        "ORDER BY lot, place",
        (item,),
    )
    return [Carried(*row) for row in rows.fetchall()]


def value_by_item(db: sqlite3.Connection) -> dict[str, tuple[int, int]]:
    """Finest steps and value of all that is owned and in stock, by item."""
    rows = db.execute(
        "SELECT one.item, SUM(on_hand.quantity), SUM(on_hand.value) FROM on_hand "
        "JOIN lot AS one ON one.code = on_hand.lot WHERE one.terms <> 'consigned' "
        "GROUP BY one.item ORDER BY one.item"
    )
    return {item: (quantity, value) for item, quantity, value in rows.fetchall()}


def last_uses(db: sqlite3.Connection, since: str) -> dict[str, str]:
    """By item, the last day since then on which any of it was used."""
    rows = db.execute(
        "SELECT one.item, MAX(happened_on) FROM entry "
        "CROSS JOIN movement ON movement.entry = entry.number AND movement.quantity > 0 "
        "JOIN place ON place.code = to_place AND place.kind = 'used' "
        f"JOIN lot AS one ON one.code = lot WHERE happened_on >= ? AND {stands()} GROUP BY 1",
        (since,),
    )
    return dict(rows.fetchall())


def bought_prices(db: sqlite3.Connection, last_day: str) -> list[tuple[int, str, str, int, int]]:
    """Lots that were bought up to a day: lot, item, day, price and the steps it is for, by item."""
    rows = db.execute(
        "SELECT code, item, received_on, price, price_quantity FROM lot "
        "WHERE terms = 'bought' AND price_quantity > 0 AND price IS NOT NULL "
        "AND supplier IS NOT NULL AND received_on <= ? AND EXISTS (SELECT 1 FROM movement "
        "JOIN entry ON entry.number = movement.entry AND entry.kind = 'delivery' "
        f"WHERE movement.lot = lot.code AND {stands()}) ORDER BY item, received_on, code",
        (last_day,),
    )
    return rows.fetchall()
