"""A delivery's lines, typed or from a file, read into what the book understands."""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from stockbook.domain import texts
from stockbook.domain.amounts import LIMIT, quantity_from_text, whole_from_text
from stockbook.domain.days import expiry_from_text
from stockbook.domain.deliveries import GIVEN, TERMS, Charges, DeliveryLine
from stockbook.domain.facts import Item, PackSize
from stockbook.domain.lenses import power_from_text
from stockbook.domain.money import Currency
from stockbook.domain.reasons import SHORT_DATED, reason_from
from stockbook.domain.rows import Faults, Row, Sheet, check_columns
from stockbook.errors import InputError
from stockbook.jobs.finding import item_or_pack, lens_item, money_of
from stockbook.ledger.opening import Book

COLUMNS = (
    "item", "pack", "packs", "units", "bonus", "lot", "serial", "expiry", "price", "total",
    "terms", "shadow", "agreed", "reason", "power", "categories", "sponsors", "order",
)  # fmt: skip


@dataclass
class _Reader:
    """Reads rows of one sheet; every fault is kept for the end."""

    db: sqlite3.Connection
    money: Currency
    faults: Faults
    lines: list[DeliveryLine] = field(default_factory=list)

    def line(self, row: Row) -> None:
        before = len(self.faults.found)
        thing = self.faults.cell(row, "pack" if row.get("pack") else "item", self._thing(row))
        cell = self.faults.cell
        number = cell(row, "lot", lambda text: texts.clean_text(text, "lot", 40))
        serial = cell(row, "serial", lambda text: texts.clean_text(text, "serial", 40))
        expiry = cell(row, "expiry", expiry_from_text)
        terms = cell(row, "terms", lambda t: texts.one_of(t or "bought", TERMS, "terms"))
        reason = cell(row, "reason", _reason)
        order = cell(row, "order", lambda t: texts.code(t, "order") if t else None)
        words = [
            cell(row, column, lambda t, what=column: _words(t, what))  # type: ignore[misc]
            for column in ("categories", "sponsors")
        ]
        if len(self.faults.found) > before or thing is None or expiry is None:
            return
        item, pack = thing
        counts = self._counts(row, item, pack)
        amounts = self._amounts(row, str(terms), counts)
        if len(self.faults.found) > before or counts is None or amounts is None:
            return
        self._identity(row, item, counts, str(number), str(serial))
        price, shadow, agreed = amounts
        self.lines.append(
            DeliveryLine(
                item, counts[0], counts[1], str(number or serial), str(serial) or None,
                *expiry, price, str(terms), shadow, agreed, reason,
                words[0] or (), words[1] or (), order, pack.units if pack else 0,
            )
        )  # fmt: skip

    def _thing(self, row: Row) -> Callable[[str], tuple[Item, PackSize | None]]:
        def parse(text: str) -> tuple[Item, PackSize | None]:
            if row.get("power"):
                power = power_from_text(row.get("power"))
                return lens_item(self.db, texts.item_code(text, "lens model"), power), None
            return item_or_pack(self.db, text)

        return parse

    def _counts(self, row: Row, item: Item, pack: PackSize | None) -> tuple[int, int, int] | None:
        """Paid and bonus quantity in finest steps, and how many packs or units were paid."""
        column = "packs" if pack and not row.get("units") else "units"
        places, each = (0, pack.units) if pack and column == "packs" else (item.unit_places, 1)
        paid = self.faults.cell(row, column, lambda t: quantity_from_text(t, places, column))
        bonus = self.faults.cell(
            row, "bonus", lambda t: quantity_from_text(t, places, "bonus") if t else 0
        )
        if paid is None or bonus is None:
            return None
        if (paid + bonus) * each >= LIMIT:
            self.faults.add(row, column, "quantity: wanted an amount that can be real")
            return None
        return paid * each, bonus * each, places if each == 1 else 0

    def _amounts(
        self, row: Row, terms: str, counts: tuple[int, int, int] | None
    ) -> tuple[int | None, int, int] | None:
        """The line's price (none when unknown), shadow value and agreed price."""
        if counts is None:
            return None
        found = [
            self.faults.cell(row, c, lambda t, what=c: self.money.minor(t, what) if t else 0)  # type: ignore[misc]
            for c in ("price", "total", "shadow", "agreed")
        ]
        if None in found:
            return None
        price = self._price(row, counts)
        self._check_terms(row, terms)
        return price, int(found[2] or 0), int(found[3] or 0)

    def _price(self, row: Row, counts: tuple[int, int, int]) -> int | None:
        """The line's whole price: its total, or the price of one times how many."""
        if row.get("total") and row.get("price"):
            self.faults.add(row, "total", "total: wanted either a price or a total, not both")
        if row.get("total"):
            return self.money.minor(row.get("total"))
        if not row.get("price"):
            return None
        number = whole_from_text(row.get("packs") or row.get("units"), counts[2], "packs")
        each: int = 10 ** counts[2]
        price, rest = divmod(self.money.minor(row.get("price")) * number, each)
        if rest:
            self.faults.add(row, "price", "price: wanted a total here; this does not divide")
        if price >= LIMIT:
            self.faults.add(row, "price", "price: wanted an amount that can be real")
        return price

    def _check_terms(self, row: Row, terms: str) -> None:
        priced = row.get("price") or row.get("total")
        if terms != "bought" and priced:
            column = "price" if row.get("price") else "total"
            self.faults.add(row, column, f"price: wanted none, the terms are {terms}")
        if terms not in GIVEN and row.get("shadow"):
            self.faults.add(row, "shadow", f"shadow: wanted none, the terms are {terms}")
        if (terms == "consigned") != bool(row.get("agreed")):
            wanted = "the agreed price" if terms == "consigned" else f"none, the terms are {terms}"
            self.faults.add(row, "agreed", f"agreed: wanted {wanted}")

    def _identity(
        self, row: Row, item: Item, counts: tuple[int, int, int], number: str, serial: str
    ) -> None:
        if not number and not serial:
            self.faults.add(row, "lot", "lot: wanted the printed lot number or a serial")
        if item.by_serial and not serial:
            self.faults.add(row, "serial", f"serial: wanted one, {item.code} is kept by serial")
        if serial and counts[0] + counts[1] != 10**item.unit_places:
            self.faults.add(row, "units", "units: wanted one unit for one serial")


def _reason(text: str) -> str | None:
    return reason_from(text, SHORT_DATED, "reason") if text else None


def _words(text: str, what: str) -> tuple[str, ...]:
    read = texts.word if what == "categories" else texts.code
    return tuple(read(part, what) for part in text.split())


def lines_read(book: Book, sheet: Sheet) -> list[DeliveryLine]:
    """Every row of a sheet as a delivery line, or every fault named."""
    check_columns(sheet, (), COLUMNS)
    faults = Faults(sheet)
    reader = _Reader(book.db, money_of(book.db), faults)
    for row in sheet.rows:
        reader.line(row)
    faults.check()
    return reader.lines


Typed = tuple[str, str, str, str, str]
"""Item or pack, how many, lot, expiry, price; `-` leaves one out."""


def lines_typed(book: Book, typed: Sequence[Typed], more: Mapping[str, str]) -> list[DeliveryLine]:
    """Lines as typed; `more` holds the cells that all of them share."""
    return [_line_typed(book.db, line, more) for line in typed]


def _line_typed(db: sqlite3.Connection, typed: Typed, more: Mapping[str, str]) -> DeliveryLine:
    thing, count, number, expiry, price = ("" if part == "-" else part for part in typed)
    item, pack = item_or_pack(db, thing)
    cells = {
        "pack" if pack else "item": thing, "packs" if pack else "units": count,
        "lot": number, "serial": number if item.by_serial else "", "expiry": expiry,
        "price": price, **more,
    }  # fmt: skip
    sheet = Sheet("--line", tuple(cells), (Row(1, cells),))
    reader = _Reader(db, money_of(db), Faults(sheet))
    reader.line(sheet.rows[0])
    for fault in reader.faults.found:
        raise InputError(
            f"--line {thing}, {fault.column}: found {fault.found!r}, wanted {fault.wanted}."
        )
    return reader.lines[0]


def charges_typed(
    book: Book, freight: str | None, freight_by: str | None, tax: str | None
) -> Charges:
    """Freight and tax as typed, in minor units."""
    money = money_of(book.db)
    if freight_by and not freight:
        raise InputError("--freight-by: wanted with --freight.")
    return Charges(
        money.minor(freight, "--freight") if freight else 0,
        freight_by,
        money.minor(tax, "--tax") if tax else 0,
    )
