"""Finding what was named: an item, a place, a case; what is unknown gets the nearest names."""

import sqlite3
from collections.abc import Iterable
from typing import TypeVar

from stockbook.domain import texts
from stockbook.domain.amounts import quantity_from_text, quantity_text
from stockbook.domain.facts import Case, Item, OperatingList, PackSize, Place, Supplier
from stockbook.domain.gtin import is_gtin_like
from stockbook.domain.lenses import power_text
from stockbook.domain.money import Currency, currency
from stockbook.domain.scans import pack_identifier
from stockbook.errors import InputError
from stockbook.ledger.facts import all_of, codes, find
from stockbook.ledger.settings import setting

F = TypeVar("F")


def near(text: str, codes: Iterable[str]) -> str:
    """The codes that look most like a text, as the end of a message."""
    import difflib

    found = difflib.get_close_matches(text, list(codes), n=3, cutoff=0.5)
    return f" Near: {', '.join(found)}." if found else ""


def known_item(db: sqlite3.Connection, text: str) -> Item:
    """The item of a code."""
    code = texts.item_code(text)
    item = find(db, Item, code)
    if item is None:
        raise InputError(f"item: {code} is not in this book.{near(code, codes(db, Item))}")
    return item


def item_or_pack(db: sqlite3.Connection, text: str) -> tuple[Item, PackSize | None]:
    """What an item's code or a pack's identifier means.

    An identifier is a GTIN, a HIBC product symbol as it is printed, or what the book keeps of it.
    """
    typed = texts.clean_text(text, "item")
    symbol = typed.strip("*")
    printed = is_gtin_like(typed) or symbol.startswith("+")
    code = pack_identifier(symbol) if printed else typed.upper()
    pack = find(db, PackSize, code)
    if pack is not None and (printed or find(db, Item, code) is None):
        return _item_of_pack(db, pack), pack
    if not printed:
        return known_item(db, text), None
    raise InputError(
        f"identifier: {code} is no pack size of this book. "
        "Read the pack again, or import the pack size first."
    )


def _item_of_pack(db: sqlite3.Connection, pack: PackSize) -> Item:
    """The pack's item; an identifier of all powers of a lens model names none."""
    if find(db, Item, pack.item) is None and all_of(db, Item, lens_model=pack.item):
        raise InputError(
            f"identifier: {pack.code} is lens model {pack.item} at any power. Name the item with "
            "the power that is printed on the box."
        )
    return known_item(db, pack.item)


def known_place(db: sqlite3.Connection, text: str, kinds: tuple[str, ...]) -> Place:
    """An open place of one of these kinds."""
    code = texts.code(text, "place")
    place = find(db, Place, code)
    if place is not None and not place.closed and place.kind in kinds:
        return place
    choices = [p.code for p in all_of(db, Place, closed=0, kind=kinds)]
    raise InputError(
        f"place: {code} is no place of this book that fits here. There is: "
        f"{', '.join(choices) or 'none yet'}."
    )


def known(db: sqlite3.Connection, cls: type[F], text: str, what: str) -> F:
    """The fact of a code, or the nearest codes in the message."""
    code = texts.code(text, what)
    found = find(db, cls, code)
    if found is None:
        raise InputError(f"{what}: {code} is not in this book.{near(code, codes(db, cls))}")
    return found


def known_supplier(db: sqlite3.Connection, text: str) -> Supplier:
    """The supplier of a code."""
    return known(db, Supplier, text, "supplier")


def known_case(db: sqlite3.Connection, text: str) -> Case:
    """The case of a code."""
    return known(db, Case, text, "case")


def known_list(db: sqlite3.Connection, text: str) -> OperatingList:
    """The operating list of a code."""
    return known(db, OperatingList, text, "list")


def lens_item(db: sqlite3.Connection, model: str, power: int) -> Item:
    """The one item that is this lens model at exactly this power."""
    found = all_of(db, Item, lens_model=model, power=power)
    if not found:
        raise InputError(
            f"lens: {model} {power_text(power)} is no item of this book. "
            "Check model and power against the case notes; import the item if it is new."
        )
    return found[0]


def quantity_of(item: Item, text: str) -> int:
    """A typed quantity in the item's finest steps."""
    return quantity_from_text(text, item.unit_places, f"quantity of {item.code}")


def shown(item: Item, quantity: int) -> str:
    """A quantity of an item with its unit."""
    amount = quantity_text(quantity, item.unit_places)
    return amount if item.unit == "each" else f"{amount} {item.unit}"


def money_of(db: sqlite3.Connection) -> Currency:
    """The book's currency."""
    return currency(setting(db, "currency"))
