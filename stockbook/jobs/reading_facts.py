"""Reading items, pack sizes, suppliers, places and staff."""

from dataclasses import replace
from functools import partial
from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import whole_from_text
from stockbook.domain.facts import Category, Item, PackSize, Place, StaffCode, Supplier
from stockbook.domain.kit_versions import ANY
from stockbook.domain.lenses import power_from_text, power_text
from stockbook.domain.places import (
    COMMON,
    SITE_KINDS,
    place_of_supplier,
    places_of_category,
    places_of_site,
)
from stockbook.domain.receiving import RESERVED
from stockbook.domain.roles import ROLES
from stockbook.domain.rows import Row
from stockbook.domain.scans import pack_identifier
from stockbook.domain.service_levels import service_from_text
from stockbook.errors import InputError
from stockbook.jobs.reading import Reading, optional
from stockbook.ledger.facts import all_of
from stockbook.ledger.stock import has_amounts, has_moved, on_hand

LEVELS = ("each", "inner", "outer")
MOST_UNIT_PLACES = 3
MOST_DAYS = 3660


def read_suppliers(reading: Reading) -> None:
    """Suppliers with the places their deliveries come from."""
    for row in reading.sheet.rows:
        values = reading.row(row, supplier=lambda t: texts.code(t, "supplier"), name=texts.name)
        if values and reading.once(row, "supplier", str(values["supplier"])):
            code = str(values["supplier"])
            reading.keep(values, reading.known(Supplier, code), name="name")
            name = str(values["name"])
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
        if code in (COMMON, ANY):
            reading.faults.add(row, "category", f"category: wanted another word; {code} is kept")
        reading.keep(values, reading.known(Category, code), name="name")
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
            storage_class=optional(lambda t: texts.word(t, "storage_class")),
            closed=lambda t: texts.yes_or_no(t, "closed"),
        )
        if values and reading.once(row, "place", str(values["place"])):
            _add_place(reading, row, values)


def _add_place(reading: Reading, row: Row, values: dict[str, Any]) -> None:
    known = reading.known(Place, values["place"])
    reading.keep(
        values, known, name="name", kind="kind", storage_class="storage_class", closed="closed"
    )
    if known is not None and known.kind != values["kind"]:
        reading.faults.add(row, "kind", f"kind: wanted {known.kind}, as it was made")
    if values["closed"] and on_hand(reading.db, places=[values["place"]]):
        reading.faults.add(row, "closed", "closed: wanted no; units lie there. Move them first")
    place, *trolley = places_of_site(values["place"], values["name"], values["kind"])
    place = replace(place, storage_class=values["storage_class"], closed=values["closed"])
    reading.facts += [place, *trolley]


def read_staff(reading: Reading) -> None:
    """Codes and roles; names go beside the chain."""
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            staff=lambda t: texts.code(t, "staff"),
            role=lambda t: texts.one_of(t, ROLES, "role"),
            name=lambda t: texts.name(t) if t else "",
            active=lambda t: texts.yes_or_no(t or "yes", "active"),
        )
        if values and reading.once(row, "staff", str(values["staff"])):
            code = str(values["staff"])
            reading.keep(values, reading.known(StaffCode, code), role="role", active="active")
            made = StaffCode(code, str(values["role"]), bool(values["active"]))
            if code == reading.signature.by and not made.active:
                reading.faults.add(row, "active", "active: wanted yes; this is your own code")
            reading.facts.append(made)
            if values["name"]:
                reading.names[code] = str(values["name"])


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


_ITEM_FIELDS = {
    "name": "name", "class": "item_class", "unit": "unit", "unit_places": "unit_places",
    "lens_model": "lens_model", "power": "power", "serial": "by_serial",
    "least_days_left": "least_days_left", "controlled": "controlled",
    "storage_class": "storage_class", "standby": "standby", "service": "service",
    "replaces": "replaces",
}  # fmt: skip
"""The field of an item that each column fills."""


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
            storage_class=optional(lambda t: texts.word(t, "storage_class")),
            standby=lambda t: t or "0",
            service=optional(lambda t: service_from_text(t).text),
            replaces=optional(lambda t: texts.item_code(t, "replaces")),
        )
        if values and reading.once(row, "item", str(values["item"])):
            reading.facts.append(_item(reading, row, values))


def _item(reading: Reading, row: Row, values: dict[str, Any]) -> Item:
    known = reading.known(Item, values["item"])
    reading.keep(values, known, **_ITEM_FIELDS)
    standby = values["standby"]
    if isinstance(standby, str):
        places = int(values["unit_places"])
        parse = partial(whole_from_text, places=places, what="standby")
        standby = reading.faults.cell(row, "standby", lambda t: parse(t or "0")) or 0
        if standby < 0:
            reading.faults.add(row, "standby", "standby: wanted 0 or more")
    made = Item(
        values["item"], values["name"], values["class"], values["unit"], values["unit_places"],
        values["lens_model"], values["power"], values["serial"], values["least_days_left"],
        values["controlled"], values["storage_class"], standby, values["service"],
        values["replaces"],
    )  # fmt: skip
    if made.replaces == made.code:
        reading.faults.add(row, "replaces", "replaces: wanted another item")
    if (made.lens_model is None) != (made.power is None):
        reading.faults.add(row, "power", "power: wanted with lens_model, both or neither")
    elif made.lens_model and made.code != f"{made.lens_model}{power_text(made.power or 0)}":
        wanted = f"{made.lens_model}{power_text(made.power or 0)}"
        reading.faults.add(row, "item", f"item: wanted {wanted} for this model and power")
    if made.by_serial and made.unit_places:
        reading.faults.add(row, "serial", "serial: wanted no, its unit is divided")
    if known is not None:
        _check_fixed(reading, row, known, made)
    else:
        _check_words(reading, row, made)
    return made


def _check_words(reading: Reading, row: Row, made: Item) -> None:
    """No item or lens model is called like a word that is typed beside scans."""
    for column, name in (("item", made.code), ("lens_model", made.lens_model)):
        if name in RESERVED:
            wanted = f"another name; {name} is a word typed beside scans"
            reading.faults.add(row, column, f"{column}: wanted {wanted}")


def _check_fixed(reading: Reading, row: Row, known: Item, made: Item) -> None:
    """The unit and how finely it is counted are fixed once the item has moved.

    Amounts are kept in the finest step: another step would make ten of a pack into one.
    """
    for column in ("unit", "unit_places"):
        was, now = getattr(known, column), getattr(made, column)
        if was != now and has_moved(reading.db, made.code):
            reading.faults.add(row, column, f"{column}: wanted {was}; the item has moved")
        elif was != now and column == "unit_places" and has_amounts(reading.db, made.code):
            counted = "pack sizes, terms, orders, kits, levels or past use are counted so"
            reading.faults.add(row, column, f"{column}: wanted {was}; {counted}")


def read_pack_sizes(reading: Reading) -> None:
    """Ways an item is sold; the identifier is a GTIN or a HIBC product symbol.

    Where a maker gives one identifier to all powers of a lens, the item is the model.
    """
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            identifier=pack_identifier,
            item=partial(_item_or_model, reading),
            level=lambda t: texts.one_of(t or "each", LEVELS, "level"),
            units=lambda t: whole_from_text(t, 0, "units"),
        )
        if not values or not reading.once(row, "identifier", str(values["identifier"])):
            continue
        item, units = values["item"], values["units"]
        if not isinstance(item, tuple) or not isinstance(units, int) or units < 1:
            reading.faults.add(row, "units", "units: wanted 1 or more")
            continue
        reading.keep(values, reading.known(PackSize, str(values["identifier"])), level="level")
        code, places = item
        steps = units * 10**places
        reading.facts.append(PackSize(str(values["identifier"]), code, str(values["level"]), steps))


def _item_or_model(reading: Reading, text: str) -> tuple[str, int]:
    """The code of an item or the name of a lens model, and how finely it is counted."""
    model = all_of(reading.db, Item, lens_model=text.strip().upper())
    if model and reading.known(Item, text.strip().upper()) is None:
        return str(model[0].lens_model), model[0].unit_places
    item = reading.item(text)
    return item.code, item.unit_places
