"""Reading items, pack sizes, suppliers, places and staff."""

from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import whole_from_text
from stockbook.domain.facts import Category, Item, PackSize, Place, StaffCode, Supplier
from stockbook.domain.gtin import gtin14
from stockbook.domain.lenses import power_from_text, power_text
from stockbook.domain.places import (
    COMMON,
    SITE_KINDS,
    place_of_supplier,
    places_of_category,
    places_of_site,
)
from stockbook.domain.roles import ROLES
from stockbook.domain.rows import Row
from stockbook.errors import InputError
from stockbook.jobs.reading import Reading, optional
from stockbook.ledger.facts import find
from stockbook.ledger.stock import has_moved

LEVELS = ("each", "inner", "outer")
MOST_UNIT_PLACES = 3
MOST_DAYS = 3660


def read_suppliers(reading: Reading) -> None:
    """Suppliers with the places their deliveries come from."""
    for row in reading.sheet.rows:
        values = reading.row(row, supplier=lambda t: texts.code(t, "supplier"), name=texts.name)
        if values and reading.once(row, "supplier", str(values["supplier"])):
            code, name = str(values["supplier"]), str(values["name"])
            reading.facts += [Supplier(code, name), place_of_supplier(code, name)]


def read_categories(reading: Reading) -> None:
    """Categories with the places where what they use and waste ends."""
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            category=lambda t: texts.word(t, "category"),
            name=lambda t: texts.name(t) if t else "",
        )
        if not values or not reading.once(row, "category", str(values["category"])):
            continue
        code = str(values["category"])
        if code == COMMON:
            reading.faults.add(row, "category", "category: wanted another word; common is kept")
        reading.facts += [
            Category(code, str(values["name"] or code)),
            *places_of_category(code),
        ]


def read_places(reading: Reading) -> None:
    """Stores, theatres (each with its trolley) and quarantine areas."""
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            place=lambda t: texts.code(t, "place"),
            name=texts.name,
            kind=lambda t: texts.one_of(t, SITE_KINDS, "kind"),
        )
        if values and reading.once(row, "place", str(values["place"])):
            code, name, kind = (str(values[c]) for c in ("place", "name", "kind"))
            known = find(reading.db, Place, code)
            if known is not None and known.kind != kind:
                reading.faults.add(row, "kind", f"kind: wanted {known.kind}, as it was made")
            reading.facts += places_of_site(code, name, kind)


def read_staff(reading: Reading) -> None:
    """Codes and roles; names go beside the chain."""
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            staff=lambda t: texts.code(t, "staff"),
            role=lambda t: texts.one_of(t, ROLES, "role"),
            name=lambda t: texts.name(t) if t else "",
        )
        if values and reading.once(row, "staff", str(values["staff"])):
            reading.facts.append(StaffCode(str(values["staff"]), str(values["role"])))
            if values["name"]:
                reading.names[str(values["staff"])] = str(values["name"])


def _days(text: str) -> int:
    days = whole_from_text(text or "0", 0, "days")
    if not 0 <= days <= MOST_DAYS:
        raise InputError(f"days: found {text!r}, wanted 0 to {MOST_DAYS}")
    return days


def _unit_places(text: str) -> int:
    places = whole_from_text(text or "0", 0, "unit_places")
    if not 0 <= places <= MOST_UNIT_PLACES:
        raise InputError(f"unit_places: found {text!r}, wanted 0 to {MOST_UNIT_PLACES}")
    return places


def read_items(reading: Reading) -> None:
    """Items; a lens is one item at one power, its code being MODEL and power."""
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            item=texts.item_code,
            name=texts.name,
            **{"class": lambda t: texts.word(t, "class")},
            unit=lambda t: texts.word(t or "each", "unit"),
            unit_places=_unit_places,
            lens_model=optional(lambda t: texts.item_code(t, "lens_model")),
            power=optional(power_from_text),
            serial=lambda t: texts.yes_or_no(t, "serial"),
            least_days_left=_days,
            controlled=lambda t: texts.yes_or_no(t, "controlled"),
        )
        if values and reading.once(row, "item", str(values["item"])):
            reading.facts.append(_item(reading, row, values))


def _item(reading: Reading, row: Row, values: dict[str, Any]) -> Item:
    made = Item(
        values["item"], values["name"], values["class"], values["unit"], values["unit_places"],
        values["lens_model"], values["power"], values["serial"], values["least_days_left"],
        values["controlled"],
    )  # fmt: skip
    if (made.lens_model is None) != (made.power is None):
        reading.faults.add(row, "power", "power: wanted with lens_model, both or neither")
    elif made.lens_model and made.code != f"{made.lens_model}{power_text(made.power or 0)}":
        wanted = f"{made.lens_model}{power_text(made.power or 0)}"
        reading.faults.add(row, "item", f"item: wanted {wanted} for this model and power")
    if made.by_serial and made.unit_places:
        reading.faults.add(row, "serial", "serial: wanted no, its unit is divided")
    _check_fixed(reading, row, made)
    return made


def _check_fixed(reading: Reading, row: Row, made: Item) -> None:
    """The unit and how finely it is counted are fixed once the item has moved."""
    known = find(reading.db, Item, made.code)
    if known is None or not has_moved(reading.db, made.code):
        return
    for column in ("unit", "unit_places"):
        if getattr(known, column) != getattr(made, column):
            reading.faults.add(
                row, column, f"{column}: wanted {getattr(known, column)}; the item has moved"
            )


def read_pack_sizes(reading: Reading) -> None:
    """Ways an item is sold; the identifier is a GTIN."""
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            identifier=gtin14,
            item=reading.item,
            level=lambda t: texts.one_of(t or "each", LEVELS, "level"),
            units=lambda t: whole_from_text(t, 0, "units"),
        )
        if not values or not reading.once(row, "identifier", str(values["identifier"])):
            continue
        item, units = values["item"], values["units"]
        if not isinstance(item, Item) or not isinstance(units, int) or units < 1:
            reading.faults.add(row, "units", "units: wanted 1 or more")
            continue
        steps = units * 10**item.unit_places
        reading.facts.append(
            PackSize(str(values["identifier"]), item.code, str(values["level"]), steps)
        )
