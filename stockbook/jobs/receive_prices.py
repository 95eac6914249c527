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

    What was said of one pack holds for all of the item until another price is said, and for the
    other powers of a lens of which the book knows none; raises Wanted where nothing is known.
    """
    price = pack.price
    if price is None:
        price = _of_item(desk, made)
    if price is not None or desk.unpacking.terms in GIVEN or book_price(desk.db, item.code):
        return replace(made, price=price)
    price = _of_model(desk, item, made)
    if price is None:
        name = str(item.lens_model or item.code)
        raise Wanted("price", f"{name}: what did one {made.level} pack cost? No price is known.")
    return replace(made, price=price)


def _of_item(desk: Desk, made: TakenPack) -> int | None:
    """What was said of such a pack, else of a pack of another size."""
    item, before = str(made.item), desk.unpacking
    exactly = before.price_of(item, made.units)
    return before.price_like([item], made.units) if exactly is None else exactly


def _of_model(desk: Desk, item: Item, made: TakenPack) -> int | None:
    """What was said last of any power of the lens."""
    if item.lens_model is None:
        return None
    return desk.unpacking.price_like(_powers(desk.db, item.lens_model), made.units)


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
