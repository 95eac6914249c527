"""Reading opening stock: what lay on the shelves when the book began."""

from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import half_even, quantity_from_text
from stockbook.domain.days import day_from_text, expiry_from_text
from stockbook.domain.deliveries import GIVEN
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Item, Lot
from stockbook.domain.places import OPENING, SITE_KINDS
from stockbook.domain.rows import Row
from stockbook.jobs.finding import known_place, money_of
from stockbook.jobs.reading import Reading, optional
from stockbook.ledger.stock import last_price, next_lot, serials_on_hand

TERMS = ("bought", *GIVEN)


def read_opening(reading: Reading) -> None:
    """Lots and the movements that put them where they lie.

    A row without total takes the last price, provisional.
    """
    money = money_of(reading.db)
    day = reading.signature.happened_on
    reading.next_lot = next_lot(reading.db)
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            item=reading.item,
            place=lambda t: known_place(reading.db, t, SITE_KINDS).code,
            lot=lambda t: texts.clean_text(t, "lot", 40),
            serial=optional(lambda t: texts.clean_text(t, "serial", 40)),
            expiry=expiry_from_text,
            received=lambda t: day_from_text(t, "received") if t else day,
            total=optional(lambda t: money.minor(t, "total")),
            terms=lambda t: texts.one_of(t or "bought", TERMS, "terms"),
            shadow=lambda t: money.minor(t, "shadow") if t else 0,
        )
        if values:
            _add(reading, row, values)


def _add(reading: Reading, row: Row, values: dict[str, Any]) -> None:
    item: Item = values["item"]
    quantity = reading.faults.cell(
        row, "quantity", lambda text: quantity_from_text(text, item.unit_places)
    )
    if quantity is None or not _check(reading, row, item, quantity, values):
        return
    value, provisional = _value(reading, item, quantity, values)
    code = reading.next_lot
    reading.next_lot += 1
    lot = _lot(item, code, quantity, value, provisional=provisional, values=values)
    reading.facts.append(lot)
    reading.moves.append(Movement(code, quantity, value, OPENING, values["place"], seen=True))


def _value(reading: Reading, item: Item, quantity: int, values: dict[str, Any]) -> tuple[int, bool]:
    """The row's total; without one the last price or nothing, provisional."""
    if values["terms"] != "bought":
        return 0, False
    if values["total"] is not None:
        return values["total"], False
    price = last_price(reading.db, item.code)
    return (half_even(price[0] * quantity, price[1]) if price else 0), True


def _lot(
    item: Item, code: int, quantity: int, value: int, *, provisional: bool, values: dict[str, Any]
) -> Lot:
    bought = values["terms"] == "bought"
    return Lot(
        code, item.code, values["lot"] or values["serial"], values["serial"], values["expiry"][0],
        values["expiry"][1],
        values["received"], None, values["terms"], quantity, None,
        price=value if bought else None, price_quantity=quantity if bought else None,
        provisional=provisional, shadow_value=values["shadow"],
    )  # fmt: skip


def _check(reading: Reading, row: Row, item: Item, quantity: int, values: dict[str, Any]) -> bool:
    before = len(reading.faults.found)
    fault = reading.faults.add
    if not values["lot"] and not values["serial"]:
        fault(row, "lot", "lot: wanted the printed lot number or a serial")
    if item.by_serial and not values["serial"]:
        fault(row, "serial", f"serial: wanted one, {item.code} is kept by serial")
    if values["serial"]:
        _check_serial(reading, row, item, quantity, str(values["serial"]))
    if values["received"] > reading.signature.happened_on:
        fault(row, "received", "received: wanted a day not after the opening day")
    if values["terms"] == "bought" and values["shadow"]:
        fault(row, "shadow", "shadow: wanted none, the terms are bought")
    if values["terms"] != "bought" and values["total"]:
        fault(row, "total", f"total: wanted none, the terms are {values['terms']}")
    return len(reading.faults.found) == before


def _check_serial(reading: Reading, row: Row, item: Item, quantity: int, serial: str) -> None:
    if quantity != 10**item.unit_places:
        reading.faults.add(row, "quantity", "quantity: wanted one unit for one serial")
    reading.once(row, "serial", f"{item.code} {serial}")
    if serials_on_hand(reading.db, item.code, [serial]):
        reading.faults.add(row, "serial", "serial: wanted one that is not on hand already")
