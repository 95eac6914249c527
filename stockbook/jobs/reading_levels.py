"""Reading shelf labels, levels and past use: what belongs to an item in a place or a month."""

from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import whole_from_text
from stockbook.domain.days import expiry_from_text
from stockbook.domain.facts import Item, Level, PastUse, Place, Shelf
from stockbook.domain.places import SITE_KINDS
from stockbook.domain.rows import Row
from stockbook.errors import InputError
from stockbook.jobs.reading import Reading

MOST_LISTS = 100


def read_shelves(reading: Reading) -> None:
    """Where items lie in places: their shelf labels."""
    for row in reading.sheet.rows:
        values = reading.row(
            row, place=_place(reading), item=reading.item,
            label=lambda t: texts.required_text(t, "label", 40),
        )  # fmt: skip
        code = _pair(reading, row, values) if values else None
        if values and code:
            place, item = code.split("/")
            reading.facts.append(Shelf(code, place, item, str(values["label"])))


def read_levels(reading: Reading) -> None:
    """How much places keep: two numbers, or what the next lists need."""
    for row in reading.sheet.rows:
        values = reading.row(row, place=_place(reading), item=reading.item, lists=_lists)
        code = _pair(reading, row, values) if values else None
        if values and code:
            _add_level(reading, row, code, values)


def _add_level(reading: Reading, row: Row, code: str, values: dict[str, Any]) -> None:
    item: Item = values["item"]
    if values["lists"]:
        for column in ("keep_at_least", "fill_to"):
            if row.get(column):
                reading.faults.add(row, column, f"{column}: wanted none with lists, or no lists")
        numbers: tuple[int | None, ...] = (0, 0)
    else:
        numbers = _steps(reading, row, item, "keep_at_least", "fill_to")
    least, most = numbers
    if least is None or most is None:
        return
    if most < least:
        reading.faults.add(row, "fill_to", "fill_to: wanted as much as keep_at_least or more")
    reading.facts.append(Level(code, code.split("/")[0], item.code, least, most, values["lists"]))


def _steps(reading: Reading, row: Row, item: Item, *columns: str) -> tuple[int | None, ...]:
    return tuple(
        reading.faults.cell(row, c, lambda t, what=c: _amount(t, item, what))  # type: ignore[misc]
        for c in columns
    )


def read_past_use(reading: Reading) -> None:
    """How much was used in months before the book began."""
    last = reading.signature.happened_on[:7]
    for row in reading.sheet.rows:
        values = reading.row(row, item=reading.item, month=lambda t: _month(t, last))
        item = values["item"] if values else None
        if not values or not isinstance(item, Item):
            continue
        (quantity,) = _steps(reading, row, item, "quantity")
        code = f"{item.code}/{values['month']}"
        if quantity is not None and reading.once(row, "month", code):
            reading.facts.append(PastUse(code, item.code, str(values["month"]), quantity))


def _place(reading: Reading) -> Any:
    def place(text: str) -> str:
        code = texts.code(text, "place")
        found = reading.known(Place, code)
        if found is None or found.closed or found.kind not in SITE_KINDS:
            raise InputError(f"place: wanted an open place of this book; {text!r} is not one")
        return code

    return place


def _pair(reading: Reading, row: Row, values: dict[str, Any]) -> str | None:
    """PLACE/ITEM when it stands for the first time in the file."""
    code = f"{values['place']}/{values['item'].code}"
    return code if reading.once(row, "item", code) else None


def _lists(text: str) -> int:
    lists = whole_from_text(text or "0", 0, "lists")
    if not 0 <= lists <= MOST_LISTS:
        raise InputError(f"lists: found {text!r}, wanted 0 to {MOST_LISTS}")
    return lists


def _amount(text: str, item: Item, what: str) -> int:
    amount = whole_from_text(text, item.unit_places, what)
    if amount < 0:
        raise InputError(f"{what}: found {text!r}, wanted nothing or more")
    return amount


def _month(text: str, last: str) -> str:
    """A calendar month that is not still to come."""
    _, precision = expiry_from_text(text, "month")
    if precision != "month":
        raise InputError(f"month: found {text!r}, wanted a month such as 2027-03")
    if text.strip() > last:
        raise InputError(f"month: found {text!r}, wanted one through {last}")
    return text.strip()
