"""Questions about stock: what lies where, what it last cost, what stops it."""

import sqlite3
from collections.abc import Collection

from stockbook.domain.codec import field_names, lot_maker
from stockbook.domain.facts import Item, Lot, Place, Quarantine
from stockbook.domain.picking import ShelfRow
from stockbook.ledger.facts import all_of, marks

_LOT = ", ".join(f"lot.{name}" for name in field_names(Lot))
_ON_HAND = (
    f"SELECT {_LOT}, on_hand.place, on_hand.quantity, on_hand.value "
    "FROM lot JOIN on_hand ON on_hand.lot = lot.code"
)
_ORDER = " ORDER BY lot.item, on_hand.place, lot.expires_on, lot.received_on, lot.code"


def on_hand(
    db: sqlite3.Connection,
    *,
    items: Collection[str] | None = None,
    places: Collection[str] | None = None,
    lots: Collection[int] | None = None,
    number: str | None = None,
    ordered: bool = True,
) -> list[ShelfRow]:
    """What lies where, by item, place and expiry; only what the given filters keep.

    A shelf that sorts for itself is read faster as the rows come (`ordered` false).
    """
    conditions, values = ["1"], []  # type: tuple[list[str], list[object]]
    for column, wanted in (("lot.item", items), ("on_hand.place", places), ("lot.code", lots)):
        if wanted is not None:
            conditions.append(f"{column} IN ({marks(wanted)})")
            values.extend(wanted)
    if number is not None:
        conditions.append("(lot.number = ? OR lot.serial = ?)")
        values.extend((number, number))
    sql = f"{_ON_HAND} WHERE {' AND '.join(conditions)}{_ORDER if ordered else ''}"
    rows, lot = db.execute(sql, values).fetchall(), lot_maker()
    return [ShelfRow(place, lot(fields), n, value) for *fields, place, n, value in rows]


def items_by_code(db: sqlite3.Connection, codes: Collection[str]) -> dict[str, Item]:
    """The items of these codes."""
    return {item.code: item for item in all_of(db, Item, code=codes)}


def places_of_kind(db: sqlite3.Connection, *kinds: str) -> list[Place]:
    """Open places of these kinds, by code."""
    return all_of(db, Place, closed=0, kind=kinds)


def quarantines(db: sqlite3.Connection) -> list[Quarantine]:
    """Every quarantine that is not released."""
    return all_of(db, Quarantine, released=0)


def last_price(db: sqlite3.Connection, item: str) -> tuple[int, int] | None:
    """The last price paid for an item: minor units for so many steps; none if never known."""
    row = db.execute(
        "SELECT price, price_quantity FROM lot WHERE item = ? AND price IS NOT NULL "
        "AND provisional = 0 ORDER BY received_on DESC, code DESC LIMIT 1",
        (item,),
    ).fetchone()
    return None if row is None else (int(row[0]), int(row[1]))


def next_lot(db: sqlite3.Connection) -> int:
    """The number the next lot gets."""
    return int(db.execute("SELECT COALESCE(MAX(code), 0) + 1 FROM lot").fetchone()[0])


def lots_named(db: sqlite3.Connection, number: str, item: str | None = None) -> list[Lot]:
    """Lots that bear this printed lot number or serial, by lot."""
    found = {lot.code: lot for lot in all_of(db, Lot, number=number)}
    found |= {lot.code: lot for lot in all_of(db, Lot, serial=number)}
    return [lot for _, lot in sorted(found.items()) if item in (None, lot.item)]


def serials_on_hand(db: sqlite3.Connection, item: str, serials: Collection[str]) -> set[str]:
    """Which of these serials of an item are on hand now."""
    rows = db.execute(
        f"SELECT lot.serial FROM lot JOIN on_hand ON on_hand.lot = lot.code "
        f"WHERE lot.item = ? AND lot.serial IN ({marks(serials)})",
        (item, *serials),
    )
    return {row[0] for row in rows.fetchall()}


def consigned_left(db: sqlite3.Connection, lot: Lot) -> tuple[int, int]:
    """How much of a consigned lot is not yet charged: finest steps and minor units."""
    gone, charged = db.execute(
        "SELECT "
        "COALESCE(SUM(CASE WHEN t.kind IN ('used', 'waste', 'difference') THEN quantity END), 0) "
        "- COALESCE(SUM(CASE WHEN f.kind IN ('used', 'waste', 'difference') "
        "  THEN quantity END), 0), "
        "COALESCE(SUM(CASE WHEN f.kind = 'supplier' AND quantity = 0 THEN value END), 0) "
        "- COALESCE(SUM(CASE WHEN t.kind = 'supplier' AND quantity = 0 THEN value END), 0) "
        "FROM movement JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
        "WHERE lot = ?",
        (lot.code,),
    ).fetchone()
    return lot.quantity - gone, lot.agreed_value - charged


def lot_numbers(db: sqlite3.Connection) -> list[str]:
    """Every printed lot number and serial."""
    rows = db.execute("SELECT number FROM lot UNION SELECT serial FROM lot WHERE serial NOTNULL")
    return [str(row[0]) for row in rows.fetchall()]


def has_moved(db: sqlite3.Connection, item: str) -> bool:
    """Whether any unit of an item was ever moved."""
    row = db.execute(
        "SELECT 1 FROM lot JOIN movement ON movement.lot = lot.code WHERE item = ? LIMIT 1", (item,)
    ).fetchone()
    return row is not None


def has_amounts(db: sqlite3.Connection, item: str) -> bool:
    """Whether a pack size, terms, an order, a level, past use or a kit holds an amount of it."""
    row = db.execute(
        "SELECT EXISTS (SELECT 1 FROM pack_size WHERE item = ?1) "
        "OR EXISTS (SELECT 1 FROM level WHERE item = ?1) "
        "OR EXISTS (SELECT 1 FROM past_use WHERE item = ?1) "
        "OR EXISTS (SELECT 1 FROM supply_terms WHERE item = ?1) "
        "OR EXISTS (SELECT 1 FROM purchase_order, json_each(purchase_order.lines) AS line "
        "WHERE json_extract(line.value, '$.item') = ?1) "
        "OR EXISTS (SELECT 1 FROM kit, json_each(kit.lines) AS line, "
        "json_each(line.value, '$.items') AS one WHERE one.value = ?1)",
        (item,),
    ).fetchone()
    return bool(row[0])


def lens_models(db: sqlite3.Connection) -> set[str]:
    """Every lens model of the book."""
    rows = db.execute("SELECT DISTINCT lens_model FROM item WHERE lens_model IS NOT NULL")
    return {str(row[0]) for row in rows.fetchall()}


def lenses(db: sqlite3.Connection) -> list[Item]:
    """Every item that is a lens model at a power."""
    return all_of(db, Item, lens_model=lens_models(db))


def lots_by_code(db: sqlite3.Connection, codes: Collection[int]) -> dict[int, Lot]:
    """The lots of these numbers."""
    return {lot.code: lot for lot in all_of(db, Lot, code=codes)}


def item_classes(db: sqlite3.Connection) -> list[str]:
    """Every class that an item has."""
    rows = db.execute("SELECT DISTINCT item_class FROM item ORDER BY 1")
    return [str(row[0]) for row in rows.fetchall()]
