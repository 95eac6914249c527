"""What if: other tariffs, mixes, lenses, kits or prices, from the costs and the mix of the book."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from stockbook.domain.amounts import spread
from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.case_use import CategoryUse
from stockbook.domain.days import days_after, days_between, months_between
from stockbook.domain.offers import RankedOffer
from stockbook.domain.rows import Sheet
from stockbook.domain.site_rules import hundredths_of_a_day
from stockbook.domain.what_if import (
    CaseKind,
    Scenario,
    nobody_left,
    sensitivity,
    with_cases,
    with_volume,
)
from stockbook.domain.what_if_answer import Asked, WhatIf
from stockbook.errors import InputError
from stockbook.jobs.cost_groups import counted_cases
from stockbook.jobs.what_if_asked import WHOLE, Typed, read_asked
from stockbook.jobs.what_if_bank import LensChange, lens_prices, models_used, new_banks
from stockbook.jobs.what_if_offers import offers_ranked, read_offers
from stockbook.jobs.what_if_use import Ground, Lenses, Prices, ground_of, with_kits_and_prices
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import categories, last_entry, setting
from stockbook.ledger.stock import lenses

DAYS_A_YEAR = 365


def what_if(
    book: Book, first_day: str, last_day: str, typed: Typed, as_of: AsOf,
    offers: Sheet | None = None,
) -> WhatIf:  # fmt: skip
    """A period as it is and as it would be; nothing is recorded."""
    if not typed.tariffs and not typed.new_tariffs and offers is None:
        raise InputError(
            "what-if: the book knows what cases cost, not what they bring. Give at least one "
            "--tariff CATEGORY AMOUNT."
        )
    last_day = period_end(first_day, last_day, as_of)
    with reading_as_of(book, as_of if as_of.entry else None) as db:
        found, change = _answer(db, (first_day, last_day), as_of.day, read_asked(db, typed), offers)
    return replace(found, banks=new_banks(book, as_of, found.asked.lenses, change))


def _answer(
    db: sqlite3.Connection, period: tuple[str, str], day: str, asked: Asked, offers: Sheet | None
) -> tuple[WhatIf, LensChange]:
    prices = Prices(db, asked.prices, {item.code: item for item in lenses(db)})
    ground = _counted(db, period, prices)
    names = sorted({*(one.code for one in categories(db)), *ground.cases})
    now = [ground.use(name) for name in names]
    changing = Lenses(db, ground)
    then = [_changed(changing, one, asked) for one in now]
    before = _scenario(now, asked.tariffs, asked.fixed, prices)
    after = _after(then, asked, prices)
    days = _days_seen(period, day)
    a_year = Fraction(after.cases * DAYS_A_YEAR, days)
    number, checksum, _, _ = last_entry(db)
    return WhatIf(
        *period, day, _months(db, period), asked, before, after,
        tuple(use.category for use in now if not use.cases), changing.at_dearest,
        sensitivity(after), (), _ranked(db, offers, then, after, prices, a_year), a_year,
        number, checksum,
    ), LensChange(
        {use.category: models_used(use, prices) for use in now},
        lens_prices(prices, set(asked.lenses.values())), days,
    )  # fmt: skip


def _counted(db: sqlite3.Connection, period: tuple[str, str], prices: Prices) -> Ground:
    sums = counted_cases(db, *period, "category")
    if not sums:
        raise InputError(
            f"what-if: no case was counted from {period[0]} to {period[1]}, so no cost is known. "
            "Ask about a period that has some."
        )
    return ground_of(db, period, sums, prices)


def _changed(changing: Lenses, use: CategoryUse, asked: Asked) -> CategoryUse:
    """A category's use as it would be: lenses first, then kits, then prices."""
    if use.category in asked.lenses:
        use = changing.changed(use.category, asked.lenses[use.category])
    return with_kits_and_prices(use, asked, changing.ground.prices)


def _scenario(
    uses: Sequence[CategoryUse], tariffs: Mapping[str, int], fixed: int, prices: Prices
) -> Scenario:
    kinds = [_kind(use, tariffs.get(use.category, 0), prices) for use in uses if use.cases]
    return Scenario(tuple(kinds), Fraction(fixed))


def _kind(use: CategoryUse, tariff: int, prices: Prices) -> CaseKind:
    lens = use.of(item for item in use.uses if item in prices.lenses)
    return CaseKind(
        use.category, use.cases, Fraction(use.cases), Fraction(tariff),
        Fraction(use.cost, use.cases),
        Fraction(lens.quantity, use.cases), Fraction(lens.cost, use.cases),
    )  # fmt: skip


def _after(uses: Sequence[CategoryUse], asked: Asked, prices: Prices) -> Scenario:
    """The cases as they would be: how many, of which categories, at which tariffs."""
    tariffs = {**asked.tariffs, **asked.new_tariffs}
    fixed = asked.fixed if asked.new_fixed is None else asked.new_fixed
    found = _scenario(uses, tariffs, fixed, prices)
    if asked.cases is not None:
        found = with_volume(found, Fraction(asked.cases))
    return _shared(found, asked.shares) if asked.shares else found


def _shared(scenario: Scenario, asked: Mapping[str, int]) -> Scenario:
    """These categories with their shares of all cases, in whole cases; the others as they were."""
    counted = {kind.category for kind in scenario.kinds}
    unknown = [name for name, share in asked.items() if share and name not in counted]
    if unknown:
        raise InputError(
            f"--share: no case of {unknown[0]} was counted in this period, so its cost is not "
            "known. Ask about a period that has some."
        )
    shares = {name: share for name, share in asked.items() if name in counted}
    rest = WHOLE - sum(shares.values())
    if rest and not counted - set(shares):
        raise nobody_left()
    whole = spread(int(scenario.cases), [*shares.values(), rest])
    return with_cases(scenario, dict(zip(shares, map(Fraction, whole[:-1]), strict=True)))


def _ranked(
    db: sqlite3.Connection, sheet: Sheet | None, uses: Sequence[CategoryUse], scenario: Scenario,
    prices: Prices, cases_a_year: Fraction,
) -> tuple[RankedOffer, ...]:  # fmt: skip
    if sheet is None:
        return ()
    return offers_ranked(read_offers(db, sheet), uses, scenario, prices, cases_a_year)


def _days_seen(period: tuple[str, str], day: str) -> int:
    """How many days of a period have passed; one at least."""
    return max(1, days_between(period[0], days_after(min(period[1], day), 1)))


def _months(db: sqlite3.Connection, period: tuple[str, str]) -> Fraction:
    """How many months a period is: calendar months, else days over `days_per_month`."""
    whole = months_between(*period)
    if whole is not None:
        return Fraction(whole)
    days = days_between(period[0], days_after(period[1], 1))
    return Fraction(days * 100, hundredths_of_a_day(setting(db, "days_per_month")))
