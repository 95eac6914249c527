"""Answers as data: JSON in whole numbers, CSV and spreadsheets in real numbers and days."""

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from stockbook.domain.amounts import text_from_whole
from stockbook.domain.answers import Site
from stockbook.domain.cell_texts import quoted
from stockbook.domain.lenses import power_text

TEXT, DAY, COUNT, MONEY, QUANTITY, POWER = "text", "day", "count", "money", "quantity", "power"


@dataclass(frozen=True, slots=True)
class Quantity:
    """Finest steps of a unit with that many decimals."""

    steps: int
    unit_places: int


@dataclass(frozen=True, slots=True)
class Column:
    """A stable name and what stands below it."""

    name: str
    kind: str = TEXT


@dataclass(frozen=True, slots=True)
class DataSheet:
    """An answer as rows under named columns; money in minor units, power in hundredths.

    What stands `beside` the answer is in no CSV: a CSV that can be imported is one table.
    """

    name: str
    about: tuple[tuple[str, str], ...]
    columns: tuple[Column, ...]
    rows: tuple[tuple[Any, ...], ...]
    beside: bool = False


def columns(*names: str) -> tuple[Column, ...]:
    """Columns from `name` or `name:kind`."""
    return tuple(Column(*name.split(":")) for name in names)


def json_text(sheets: Sequence[DataSheet], site: Site) -> str:
    """One object: what was asked, the site, and each sheet's rows; whole numbers alone.

    Money is in minor units of the currency, a quantity in finest steps with its `unit_places`,
    a power in hundredths of a dioptre.
    """
    import json

    head = {
        "site": site.name,
        "demonstration": site.demonstration,
        "currency": site.money.code,
        "currency_decimals": site.money.decimals,
    }
    body = {
        sheet.name: {**dict(sheet.about), "rows": [dict(_json_cells(sheet, r)) for r in sheet.rows]}
        for sheet in sheets
    }
    return json.dumps(head | body, ensure_ascii=False, indent=1)


_UNITS_LAST = {MONEY: "_minor", POWER: "_hundredths"}


def _json_cells(sheet: DataSheet, row: Sequence[Any]) -> Iterator[tuple[str, Any]]:
    for column, value in zip(sheet.columns, row, strict=True):
        if isinstance(value, Quantity):
            yield column.name, value.steps
            yield f"{column.name}_places", value.unit_places
        else:
            yield column.name + _UNITS_LAST.get(column.kind, ""), value


def csv_text(sheets: Sequence[DataSheet], site: Site) -> str:
    """Rows under a header, sheets one below another with an empty line between."""
    import csv

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for number, sheet in enumerate(sheet for sheet in sheets if not sheet.beside):
        if number:
            writer.writerow([])
        writer.writerow([column.name for column in sheet.columns])
        for row in sheet.rows:
            writer.writerow(
                [_csv_cell(c.kind, v, site) for c, v in zip(sheet.columns, row, strict=True)]
            )
    return out.getvalue()


def _csv_cell(kind: str, value: Any, site: Site) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return _yes_or_no(value)
    if kind == MONEY:
        return text_from_whole(value, site.money.decimals)
    if kind == POWER:
        return power_text(value)
    if isinstance(value, Quantity):
        return text_from_whole(value.steps, value.unit_places)
    return quoted(value) if kind == TEXT else str(value)


def _yes_or_no(value: bool) -> str:  # noqa: FBT001 a cell's value
    return "yes" if value else "no"


def xlsx_bytes(sheets: Sequence[DataSheet], site: Site) -> bytes:
    """A spreadsheet with real numbers and days, the header frozen, nothing that runs."""
    from openpyxl import Workbook

    book = Workbook(write_only=False)
    del book[book.sheetnames[0]]
    for sheet in sheets:
        page = book.create_sheet(sheet.name[:31])
        page.append([column.name for column in sheet.columns])
        page.freeze_panes = "A2"
        for line, row in enumerate(sheet.rows, start=2):
            for place, (column, value) in enumerate(zip(sheet.columns, row, strict=True), start=1):
                _fill(page.cell(line, place), column.kind, value, site)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _fill(cell: Any, kind: str, value: Any, site: Site) -> None:
    """One cell: a number with its decimals, a day, or text that stays text."""
    from datetime import date

    if value is None:
        return
    if kind == MONEY:
        _number(cell, value, site.money.decimals)
    elif kind == POWER:
        _number(cell, value, 2)
        cell.number_format = "+0.00;-0.00"
    elif isinstance(value, Quantity):
        _number(cell, value.steps, value.unit_places)
    elif kind == DAY:
        cell.value = date.fromisoformat(value)
        cell.number_format = "yyyy-mm-dd"
    elif kind == COUNT:
        cell.value = value
    else:
        cell.value = _yes_or_no(value) if isinstance(value, bool) else value
        cell.data_type = "s"


def _number(cell: Any, whole: int, places: int) -> None:
    cell.value = Decimal(text_from_whole(whole, places))
    cell.number_format = f"0.{'0' * places}" if places else "0"
