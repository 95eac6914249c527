"""Suppliers' offers from a file, read against the book; nothing of them is kept."""

import sqlite3
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import LIMIT, quantity_from_text, whole_from_text
from stockbook.domain.case_use import CategoryUse, ItemUse
from stockbook.domain.offers import Offer, RankedOffer, Wanted, ranked
from stockbook.domain.rows import Faults, Row, Sheet, check_columns
from stockbook.domain.what_if import Scenario
from stockbook.errors import InputError
from stockbook.jobs.finding import money_of
from stockbook.jobs.what_if_asked import item_or_model
from stockbook.jobs.what_if_use import Prices

REQUIRED = ("supplier", "item", "pack", "price")
OPTIONAL = ("least_packs", "currency")


def read_offers(db: sqlite3.Connection, sheet: Sheet) -> list[Offer]:
    """Every offer of the file; all that is wrong is named at once."""
    check_columns(sheet, REQUIRED, OPTIONAL)
    faults, found = Faults(sheet), []
    first: dict[tuple[str, str, int], int] = {}
    for row in sheet.rows:
        offer = _offer(db, faults, row)
        if offer is None:
            continue
        key = offer.supplier.casefold(), offer.item, offer.pack
        if key in first:
            words = f"item: wanted each offer once; this pack of it is in row {first[key]}"
            faults.add(row, "item", words)
        first.setdefault(key, row.number)
        found.append(offer)
    faults.check()
    return found


def _offer(db: sqlite3.Connection, faults: Faults, row: Row) -> Offer | None:
    before, money = len(faults.found), money_of(db)
    cell = faults.cell
    supplier = cell(row, "supplier", lambda text: texts.name(text, "supplier"))
    item = cell(row, "item", lambda text: item_or_model(db, text))
    pack = cell(row, "pack", lambda text: quantity_from_text(text, item[1] if item else 3, "pack"))
    price = cell(row, "price", lambda text: money.minor(text, "price"))
    least = cell(row, "least_packs", _least_packs)
    cell(row, "currency", lambda text: _same_currency(text, money.code))
    if len(faults.found) > before:
        return None
    return _real(faults, row, (item, supplier, pack, price, least))


def _real(faults: Faults, row: Row, cells: tuple[Any, ...]) -> Offer | None:
    """The offer, unless its least order is more than can be real."""
    (item, places), supplier, pack, price, least = cells
    if least * max(pack, price) >= LIMIT:
        faults.add(row, "least_packs", "least_packs: wanted an amount that can be real")
        return None
    return Offer(item, supplier, pack, price, least, places, row.number)


def _least_packs(text: str) -> int:
    packs = whole_from_text(text or "1", 0, "least_packs")
    if packs < 1:
        raise InputError(f"least_packs: found {text!r}, wanted 1 or more, or nothing")
    return packs


def _same_currency(text: str, code: str) -> None:
    if text and text.upper() != code:
        raise InputError(
            f"currency: found {text!r}, wanted {code}, the book's; it knows no rates of exchange"
        )


def offers_ranked(
    offers: Sequence[Offer], uses: Sequence[CategoryUse], scenario: Scenario, prices: Prices,
    cases_a_year: Fraction,
) -> tuple[RankedOffer, ...]:  # fmt: skip
    """The offers beside what is bought now, at the cases as they would be."""
    models = {code: str(item.lens_model) for code, item in prices.lenses.items()}
    cases = {kind.category: kind.cases for kind in scenario.kinds}

    def wanted(thing: str) -> Wanted:
        items = [code for code, model in models.items() if thing in (code, model)] or [thing]
        all_cases = sum(cases.values())
        taken = ItemUse()
        for use in uses:
            if use.cases and all_cases:
                part = Fraction(cases[use.category], use.cases * all_cases)
                taken = taken.plus(use.of(items).times(part))
        return Wanted(Fraction(taken.bought), Fraction(taken.value), cases_a_year)

    return ranked(offers, wanted)
