"""The lens bank: what lies on the shelves, what twelve months used, and how well it serves."""

import sqlite3
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.amounts import whole_from_text
from stockbook.domain.asking import AsOf, is_below_nothing
from stockbook.domain.facts import Case, Item, OperatingList
from stockbook.domain.lens_bank import BankAsked, LensBank
from stockbook.domain.site_rules import power_deviation, power_mean
from stockbook.errors import InputError
from stockbook.jobs.finding import money_of, near
from stockbook.jobs.lens_bank import Shelves, bank_of
from stockbook.jobs.ordering import to_come
from stockbook.jobs.preparing import is_served
from stockbook.jobs.stock import stopped
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.cases import recorded_of_cases
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import setting
from stockbook.ledger.stock import last_price, lens_models, lenses, on_hand, quarantines
from stockbook.ledger.use import recent_use

USE_DAYS = 365
MOST_LENSES = 10_000
MOST_PATIENTS = 500


def lens_bank(
    book: Book, day: str, *, model: str | None = None, size: str | None = None,
    budget: str | None = None, patients: str | None = None, spare: bool = True,
    as_of: AsOf | None = None,
) -> LensBank:  # fmt: skip
    """The bank as it is, the best bank of a size or a budget, and what to add and send back."""
    if size is not None and budget is not None:
        raise InputError("Give --size N or --budget AMOUNT, not both.")
    with reading_as_of(book, as_of) as db:
        asked = BankAsked(
            _known_model(db, model), _count(size, "--size", "lenses", MOST_LENSES),
            _money(db, budget), _count(patients, "--next", "patients", MOST_PATIENTS) or 20, spare,
        )  # fmt: skip
        shelves = _shelves(db, day, asked.model)
        mean = power_mean(setting(db, "lens_power_mean"))
        deviation = power_deviation(setting(db, "lens_power_sd"))
    return replace(bank_of(shelves, asked, mean, deviation), as_of=as_of)


def _known_model(db: sqlite3.Connection, text: str | None) -> str | None:
    """A lens model of the book; none where none was asked for."""
    models = lens_models(db)
    if not models:
        raise InputError(
            "lens: there is no lens in this book yet. Import items that have a lens model and a "
            "power, then ask again."
        )
    if text is None:
        return None
    wanted = texts.item_code(text, "lens model")
    if wanted not in models:
        known = near(wanted, models) or f" There is: {', '.join(sorted(models))}."
        raise InputError(f"lens model: {wanted} is not in this book.{known}")
    return wanted


def _count(text: str | None, option: str, what: str, most: int) -> int | None:
    if text is None:
        return None
    count = whole_from_text(text, 0, option)
    if not 1 <= count <= most:
        raise InputError(f"{option}: found {text!r}, wanted 1 to {most} {what}.")
    return count


def _money(db: sqlite3.Connection, text: str | None) -> int | None:
    if text is None:
        return None
    amount = money_of(db).minor(text, "--budget")
    if not amount:
        raise InputError(f"--budget: found {text!r}, wanted more than nothing.")
    return amount


def _shelves(db: sqlite3.Connection, day: str, model: str | None) -> Shelves:
    """What the book says of the lenses: where they lie, how they were used, what they cost."""
    items = {item.code: item for item in lenses(db)}
    use = recent_use(db, set(items), day, USE_DAYS, wasted=False)
    rows = [row for row in on_hand(db, items=set(items)) if not row.place.startswith("trolley/")]
    stops = quarantines(db)
    shown = [row for row in rows if model in (None, items[row.lot.item].lens_model)]
    usable = [row for row in shown if not stopped(row, items, day, stops)]
    not_usable = sum(row.quantity for row in shown) - sum(row.quantity for row in usable)
    return Shelves(
        day, items, use, tuple(usable), not_usable, _prices(db, items),
        _planned(db, day, items), USE_DAYS, sum(map(is_below_nothing, shown)),
        {code: one.quantity for code, one in to_come(db).items()},
    )  # fmt: skip


def _planned(db: sqlite3.Connection, day: str, items: Mapping[str, Item]) -> dict[str, int]:
    """How many cases of lists to come are planned with each lens and are not issued yet."""
    lists = [one.code for one in all_of(db, OperatingList) if one.day >= day]
    cases = {case.code: case for case in all_of(db, Case, list=lists) if is_served(case)}
    for code, kinds in recorded_of_cases(db, set(cases)).items():
        if kinds:
            del cases[code]
    lens = {(item.lens_model, item.power): code for code, item in items.items()}
    found = Counter(lens.get((case.lens_model, case.power)) for case in cases.values())
    return {code: count for code, count in found.items() if code}


def _prices(db: sqlite3.Connection, items: Mapping[str, Item]) -> dict[str, int]:
    """What a lens last cost, in minor units, rounded up.

    A power that was never paid for is taken to cost as much as the dearest of its model.
    """
    paid = {code: last_price(db, code) for code in items}
    own = {code: -(-price[0] // price[1]) for code, price in paid.items() if price}
    return {
        code: own[code] if code in own else max(others)
        for code, item in items.items()
        if (others := _of_model(own, items, item.lens_model))
    }


def _of_model(
    prices: Mapping[str, int], items: Mapping[str, Item], model: str | None
) -> Collection[int]:
    return [price for code, price in prices.items() if items[code].lens_model == model]
