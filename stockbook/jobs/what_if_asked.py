"""What was typed for a what-if, read against the book: categories, items, lens models, amounts."""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from stockbook.domain import texts
from stockbook.domain.amounts import whole_from_text
from stockbook.domain.facts import Item
from stockbook.domain.what_if_answer import Asked
from stockbook.errors import InputError
from stockbook.jobs.finding import known_item, money_of, near
from stockbook.ledger.facts import find
from stockbook.ledger.settings import categories
from stockbook.ledger.stock import lens_models

T = TypeVar("T")
Pairs = Sequence[tuple[str, str]]
WHOLE = 100_00
"""All of the cases, in hundredths of a per cent."""
MOST_CASES = 10_000_000


@dataclass(frozen=True, slots=True)
class Typed:
    """The options as they were typed."""

    tariffs: Pairs = ()
    new_tariffs: Pairs = ()
    fixed: str | None = None
    new_fixed: str | None = None
    cases: str | None = None
    shares: Pairs = ()
    lenses: Pairs = ()
    prices: Pairs = ()
    kits: Sequence[tuple[str, str, str]] = ()


def read_asked(db: sqlite3.Connection, typed: Typed) -> Asked:
    """All of it read; what cannot be meant is refused by name."""
    money, known = money_of(db).minor, [one.code for one in categories(db)]
    category = partial(_category, known)
    tariffs = _each("--tariff", typed.tariffs, category, lambda t: money(t, "--tariff"))
    new_tariffs = _each(
        "--new-tariff", typed.new_tariffs, category, lambda t: money(t, "--new-tariff")
    )
    shares = _each("--share", typed.shares, category, _share)
    if sum(shares.values()) > WHOLE:
        raise InputError("--share: the shares make more than 100 per cent of the cases.")
    return Asked(
        tariffs, new_tariffs, money(typed.fixed or "0", "--fixed"),
        None if typed.new_fixed is None else money(typed.new_fixed, "--new-fixed"),
        _cases(typed.cases), shares,
        _each("--lens", typed.lenses, category, partial(known_model, db)),
        _prices(db, typed.prices), _kits(db, typed.kits, category),
    )  # fmt: skip


def _category(known: Sequence[str], text: str) -> str:
    word = texts.word(text, "category")
    if word not in known:
        raise InputError(
            f"category: {word} is not in this book. There is: {', '.join(sorted(known))}."
        )
    return word


def _each(
    option: str, typed: Pairs, key: Callable[[str], str], value: Callable[[str], T]
) -> dict[str, T]:
    """Every pair read; the same twice is refused."""
    found: dict[str, T] = {}
    for name, text in typed:
        code = key(name)
        if code in found:
            raise InputError(f"{option}: {code} is given twice. Give it once.")
        found[code] = value(text)
    return found


def _share(text: str) -> int:
    share = whole_from_text(text.removesuffix("%"), 2, "--share")
    if not 0 <= share <= WHOLE:
        raise InputError(f"--share: found {text!r}, wanted 0 to 100 per cent.")
    return share


def _cases(text: str | None) -> int | None:
    if text is None:
        return None
    cases = whole_from_text(text, 0, "--cases")
    if not 1 <= cases <= MOST_CASES:
        raise InputError(f"--cases: found {text!r}, wanted 1 to {MOST_CASES}.")
    return cases


def known_model(db: sqlite3.Connection, text: str) -> str:
    """A lens model of the book."""
    model, models = texts.item_code(text, "lens model"), lens_models(db)
    if model not in models:
        known = near(model, models) or f" There is: {', '.join(sorted(models)) or 'none yet'}."
        raise InputError(f"lens model: {model} is not in this book.{known}")
    return model


def item_or_model(db: sqlite3.Connection, text: str) -> tuple[str, int]:
    """The code of an item, or a lens model at whatever power; and how finely it is counted."""
    code = texts.item_code(text)
    item = find(db, Item, code)
    if item is None and code in lens_models(db):
        return code, 0
    found = item or known_item(db, code)
    return found.code, found.unit_places


def _prices(db: sqlite3.Connection, typed: Pairs) -> dict[str, tuple[int, int]]:
    """By item or model: minor units for so many steps, which make one unit."""
    money = money_of(db)
    named = {name: item_or_model(db, name) for name, _ in typed}
    found = _each(
        "--price", typed, lambda name: named[name][0], lambda text: money.minor(text, "--price")
    )
    places = dict(named.values())
    return {code: (price, int(10 ** places[code])) for code, price in found.items()}


def _kits(
    db: sqlite3.Connection, typed: Sequence[tuple[str, str, str]], category: Callable[[str], str]
) -> Mapping[tuple[str, str], tuple[int, int]]:
    """By category and item: the steps that each case takes, and how finely they are counted."""
    found: dict[tuple[str, str], tuple[int, int]] = {}
    for name, thing, text in typed:
        item = known_item(db, thing)
        key = category(name), item.code
        steps = whole_from_text(text, item.unit_places, "--kit")
        if key in found or steps < 0:
            fault = "is given twice" if key in found else f"found {text!r}, wanted nothing or more"
            raise InputError(f"--kit: {' '.join(key)}: {fault}.")
        found[key] = steps, item.unit_places
    return found
