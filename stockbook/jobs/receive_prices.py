"""What a pack of opening stock is worth: as it was said, else as the book knows, else asked."""

import sqlite3
from collections.abc import Collection, Iterator
from dataclasses import replace

from stockbook.domain.deliveries import GIVEN
from stockbook.domain.facts import Item
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.receiving import OpenPack, TakenPack
from stockbook.jobs.receive_desk import Desk, Wanted
from stockbook.ledger.facts import all_of
from stockbook.ledger.stock import last_price


def priced_pack(desk: Desk, pack: OpenPack, item: Item, made: TakenPack) -> TakenPack:
    """The pack with its price; none where the book's is taken, or where it was given.

    What was said of one pack holds for all of the item, or of the lens model, until another price
    is said; raises Wanted where neither the sitting nor the book knows one.
    """
    price = pack.price
    if price is None:
        price = said_price(desk, item, made)
    given = desk.unpacking.terms in GIVEN
    if price is None and not given and book_price(desk.db, item.code) is None:
        name = str(item.lens_model or item.code)
        raise Wanted("price", f"{name}: what did one {made.level} pack cost? No price is known.")
    return replace(made, price=price)


def said_price(desk: Desk, item: Item, made: TakenPack) -> int | None:
    """The price that was said of the item, by its pack size; else of another power of the lens."""
    before = desk.unpacking
    exactly = before.price_of(item.code, made.units)
    if exactly is not None:
        return exactly
    of_item = before.price_like([item.code], made.units)
    if of_item is not None or item.lens_model is None:
        return of_item
    return before.price_like(_powers(desk.db, item.lens_model), made.units)


def _powers(db: sqlite3.Connection, model: str) -> Collection[str]:
    return {item.code for item in all_of(db, Item, lens_model=model)}


def book_price(db: sqlite3.Connection, item: str) -> tuple[int, int] | None:
    """What was last paid, else what the terms ask: minor units for so many finest steps.

    The terms are the preferred supplier's, else those of the only one who sells the item, without
    the price of larger quantities: nobody knows how it was bought.
    """
    paid = last_price(db, item)
    if paid is not None:
        return paid
    sold = [terms for terms in all_of(db, SupplyTerms, item=item) if not terms.closed]
    first = [terms for terms in sold if terms.preferred] or (sold if len(sold) == 1 else [])
    return (first[0].price, first[0].price_quantity) if first else None


def price_notes(desk: Desk, pack: TakenPack, item: Item) -> Iterator[str]:
    """Where the price comes from, if nobody said one."""
    if pack.price is None and desk.unpacking.terms not in GIVEN:
        last = last_price(desk.db, item.code) is not None
        yield "at the last price paid" if last else "at the price of the supply terms"
