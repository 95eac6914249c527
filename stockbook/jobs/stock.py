"""What is on hand: by item, lot, place and class; lenses as a grid of model and power."""

import sqlite3
from collections.abc import Mapping
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.answers import LensGrid, Stock, StockRow, StockSum
from stockbook.domain.asking import AsOf, is_below_nothing
from stockbook.domain.facts import Item, Quarantine
from stockbook.domain.orders import OnOrder
from stockbook.domain.picking import ShelfRow, Wish, why_not_usable
from stockbook.domain.places import STOCK_KINDS
from stockbook.errors import InputError
from stockbook.jobs.finding import known_item, known_place, near
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.opening import Book
from stockbook.ledger.stock import (
    item_classes,
    items_by_code,
    lenses,
    lot_numbers,
    lots_named,
    on_hand,
    quarantines,
)


def stock_on_hand(
    book: Book, day: str, *, item: str | None = None, place: str | None = None,
    item_class: str | None = None, number: str | None = None, as_of: AsOf | None = None,
) -> Stock:  # fmt: skip
    """Every lot on hand that the filters keep."""
    with reading_as_of(book, as_of) as db:
        items = {known_item(db, item).code} if item else None
        places = {_place(db, place)} if place else None
        wanted = _known_class(db, item_class) if item_class else None
        if number and not lots_named(db, number):
            raise InputError(f"lot: {number} was never here.{near(number, lot_numbers(db))}")
        rows = on_hand(db, items=items, places=places, number=number)
        known = items_by_code(db, {row.lot.item for row in rows})
        if wanted:
            rows = [row for row in rows if known[row.lot.item].item_class == wanted]
        stops = quarantines(db)
    words = as_of.words if as_of else ""
    asked = ", ".join(part for part in (item, place, item_class, number, words) if part)
    found = [StockRow(r, known[r.lot.item], stopped(r, known, day, stops)) for r in rows]
    return Stock(day, tuple(found), asked, as_of)


def stock_sums(
    stock: Stock, per: str, on_order: Mapping[str, OnOrder] | None = None
) -> list[StockSum]:
    """The lots of an answer taken together per item, place or class, by code.

    `on_order` is what is still to come, by item; it stands beside items alone.
    """
    coming = on_order or {}
    groups: dict[str, list[StockRow]] = {}
    for row in stock.rows:
        key = {"item": row.item.code, "place": row.row.place, "class": row.item.item_class}[per]
        groups.setdefault(key, []).append(row)
    return [_sum(code, rows, per, coming.get(code)) for code, rows in sorted(groups.items())]


def _sum(code: str, rows: list[StockRow], per: str, coming: OnOrder | None) -> StockSum:
    item = rows[0].item if per == "item" else None
    stopped = sum(r.row.quantity for r in rows if r.stopped)
    return StockSum(
        code, item.name if item else "", item, len(rows),
        sum(r.row.quantity for r in rows) - stopped, stopped, sum(r.row.value for r in rows),
        coming.quantity if item and coming else 0,
    )  # fmt: skip


def _known_class(db: sqlite3.Connection, text: str) -> str:
    """A class that some item of the book has."""
    word = texts.word(text, "class")
    known = item_classes(db)
    if word not in known:
        raise InputError(f"class: found {text!r}, wanted one of: {', '.join(known) or 'none yet'}.")
    return word


def _place(db: sqlite3.Connection, text: str) -> str:
    clean = text.strip()
    trolley = clean.lower().startswith("trolley/")
    if trolley:
        return f"trolley/{texts.code(clean.partition('/')[2], 'place')}"
    return known_place(db, text, tuple(STOCK_KINDS)).code


def stopped(
    row: ShelfRow, items: Mapping[str, Item], day: str, stops: list[Quarantine]
) -> str | None:
    """What speaks against using a lot on a day for anyone; none when it is usable."""
    least = {row.lot.item: items[row.lot.item].least_days_left}
    lot = row.lot
    anyone = Wish(
        day, (row.place,), lot.categories[0] if lot.categories else None,
        lot.sponsors[0] if lot.sponsors else None, least, stops,
    )  # fmt: skip
    return why_not_usable(row.lot, row.place, anyone)


def lens_grid(
    book: Book, day: str, model: str | None = None, as_of: AsOf | None = None
) -> LensGrid:
    """Usable lenses on shelves by power and model."""
    with reading_as_of(book, as_of) as db:
        known = {item.code: item for item in lenses(db)}
        if model:
            wanted = texts.item_code(model, "lens model")
            known = {c: item for c, item in known.items() if item.lens_model == wanted}
            if not known:
                raise InputError(f"lens model: {wanted} is not in this book.")
        rows = on_hand(db, items=set(known))
        stops = quarantines(db)
    shelves = [row for row in rows if not row.place.startswith("trolley/")]
    grid = _grid(day, known, shelves, stops)
    return replace(grid, as_of=as_of, below_nothing=sum(map(is_below_nothing, shelves)))


def _grid(
    day: str, known: Mapping[str, Item], rows: list[ShelfRow], stops: list[Quarantine]
) -> LensGrid:
    usable = {(str(i.lens_model), int(i.power or 0)): 0 for i in known.values()}
    not_usable = 0
    for row in rows:
        item = known[row.lot.item]
        if stopped(row, known, day, stops):
            not_usable += row.quantity
        else:
            usable[(str(item.lens_model), int(item.power or 0))] += row.quantity
    models = tuple(sorted({model for model, _ in usable}))
    powers = tuple(sorted({power for _, power in usable}))
    return LensGrid(day, models, powers, usable, not_usable)
