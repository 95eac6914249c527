"""The answer to a what-if: what was asked, both ways of working side by side, and what hangs on it.

Figures are rounded here, at the last step: money half-even to the minor unit, what can be borne
down, what is needed up.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, floor

from stockbook.domain.amounts import half_even
from stockbook.domain.offers import RankedOffer
from stockbook.domain.what_if import (
    Borne,
    CaseKind,
    Scenario,
    Sensitivity,
    borne,
    break_even_cases,
    costs_no_more,
    paying_cases_needed,
)

MONEY, COUNT, HUNDREDTHS = "money", "count", "hundredths"

Amounts = Mapping[str, int]
"""By category, in minor units."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked, read: amounts in minor units, shares in hundredths of a per cent.

    `prices` are minor units for so many steps, by item or lens model; `kits` are the steps that
    each case of a category takes of an item.
    """

    tariffs: Amounts
    new_tariffs: Amounts
    fixed: int
    new_fixed: int | None = None
    cases: int | None = None
    shares: Mapping[str, int] = field(default_factory=dict)
    lenses: Mapping[str, str] = field(default_factory=dict)
    prices: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    kits: Mapping[tuple[str, str], tuple[int, int]] = field(default_factory=dict)
    """By category and item: steps and how finely they are counted."""

    @property
    def brings(self) -> bool:
        """Whether anything is known of what cases bring; without it there is no result."""
        return bool(self.tariffs or self.new_tariffs)

    @property
    def changes(self) -> bool:
        """Whether anything is to be other than now."""
        return bool(
            self.new_tariffs or self.shares or self.lenses or self.prices or self.kits
            or self.new_fixed is not None or self.cases is not None
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure now and as it would be; none where there is none: `missing` says why.

    Where the reason is another one as it would be, `missing_then` says that.
    """

    name: str
    category: str
    kind: str
    now: int | None
    then: int | None
    missing: str = ""
    missing_then: str = ""

    @property
    def difference(self) -> int | None:
        """By how much it would be more."""
        return None if self.now is None or self.then is None else self.then - self.now


@dataclass(frozen=True, slots=True)
class OldBank:
    """What lies there of a lens model that cases leave: usable lenses and their value.

    `moved` of the `used` lenses of the period go elsewhere; `stays` are categories that go on
    using it. `tenths_of_a_week` is how long it lasts at the use that leaves it.
    """

    model: str
    lenses: int
    value: int
    moved: int
    used: int
    stays: tuple[str, ...]
    tenths_of_a_week: int | None

    @property
    def is_stranded(self) -> bool:
        """Whether nobody would use it any more."""
        return not self.stays


@dataclass(frozen=True, slots=True)
class NewBank:
    """What filling the bank of a lens model asks for once, and what it leaves behind.

    So many lenses make it as large as what those cases have now; `add` are still to be bought.
    """

    model: str
    categories: tuple[str, ...]
    size: int
    add: int
    cost: int
    old: tuple[OldBank, ...]


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Both ways of working over a period."""

    first_day: str
    last_day: str
    day: str
    months: Fraction
    asked: Asked
    now: Scenario
    then: Scenario
    not_counted: tuple[str, ...]
    """Categories without a case in the period, of which no cost is known."""
    at_dearest: int
    """Lenses of a power that the new model has not, at the dearest price of the model."""
    sensitivity: tuple[Sensitivity, ...]
    banks: tuple[NewBank, ...]
    offers: tuple[RankedOffer, ...]
    cases_a_year: Fraction
    last_entry: int
    checksum: str

    @property
    def is_over(self) -> bool:
        """Whether the period has passed."""
        return self.last_day <= self.day

    @property
    def below_cost(self) -> list[CaseKind]:
        """Categories whose tariff, as it would be, does not bear what a case costs."""
        return [kind for kind in self.then.kinds if kind.tariff > 0 and kind.leaves < 0]

    @property
    def same_lens(self) -> list[str]:
        """Categories for which another lens was asked about that changes none of their cases."""
        changed = {name for bank in self.banks for name in bank.categories}
        now = {kind.category: kind.cost for kind in self.now.kinds}
        return [
            kind.category for kind in self.then.kinds
            if kind.category in self.asked.lenses and kind.category not in changed
            and kind.cost == now[kind.category]
        ]  # fmt: skip

    @property
    def no_dearer(self) -> list[str]:
        """Free categories of which more cases would make nothing worse."""
        return [
            kind.category for kind in self.then.kinds
            if kind.tariff == 0 and costs_no_more(self.then, kind.category)
        ]  # fmt: skip

    @property
    def figures(self) -> list[Figure]:
        """All figures, those of each category below those of all."""
        names = [kind.category for kind in self.now.kinds]
        return [
            *_of_all(self), *(figure for name in names for figure in _of_kind(self, name)),
            *(figure for name in self.borne for figure in _of_borne(self, name)),
        ]  # fmt: skip

    @property
    def borne(self) -> list[str]:
        """Categories that pay nothing or too little, now or then."""
        return [
            now.category for now, then in zip(self.now.kinds, self.then.kinds, strict=True)
            if now.is_borne or then.is_borne
        ]  # fmt: skip


def money(value: Fraction) -> int:
    """A value in whole minor units, rounded half-even."""
    return half_even(value.numerator, value.denominator)


def _of_all(found: WhatIf) -> list[Figure]:
    def both(name: str, now: Fraction | int | None, then: Fraction | int | None,
             kind: str = MONEY, missing: str = "") -> Figure:  # fmt: skip
        return Figure(name, "", kind, _whole(now, kind), _whole(then, kind), missing)

    one, other = found.now, found.then
    return [
        both("cases", one.cases, other.cases, HUNDREDTHS),
        both("left over by all cases", one.left_over, other.left_over),
        both("fixed cost", one.fixed, other.fixed),
        both("result of the period", one.result, other.result),
        both("result of a month", Fraction(one.result, found.months),
             Fraction(other.result, found.months)),
        both("result of a case", _of_a_case(one), _of_a_case(other), missing="no case"),
        both("break-even, cases", break_even_cases(one), break_even_cases(other), COUNT, "never"),
        both("paying cases needed", paying_cases_needed(one), paying_cases_needed(other), COUNT,
             "no payer"),
    ]  # fmt: skip


def _of_a_case(scenario: Scenario) -> Fraction | None:
    return Fraction(scenario.result, scenario.cases) if scenario.cases else None


def _whole(value: Fraction | int | None, kind: str) -> int | None:
    if value is None:
        return None
    return money(Fraction(value) * 100 if kind == HUNDREDTHS else Fraction(value))


def _of_kind(found: WhatIf, category: str) -> list[Figure]:
    now, then = (
        next(kind for kind in one.kinds if kind.category == category)
        for one in (found.now, found.then)
    )
    return [
        Figure("cases", category, HUNDREDTHS, _whole(now.cases, HUNDREDTHS),
               _whole(then.cases, HUNDREDTHS)),
        Figure("tariff", category, MONEY, money(now.tariff), money(then.tariff)),
        Figure("cost of a case", category, MONEY, money(now.cost), money(then.cost)),
        Figure("of it the lens", category, MONEY, money(now.lens_cost), money(then.lens_cost)),
        Figure("a case leaves over", category, MONEY, money(now.leaves), money(then.leaves)),
    ]  # fmt: skip


def _of_borne(found: WhatIf, category: str) -> list[Figure]:
    now, then = borne(found.now, category), borne(found.then, category)
    words, new_words = _words(found.now, category), _words(found.then, category)
    share, new_share = _share(now, found.now), _share(then, found.then)

    def figure(name: str, kind: str, one: int | None, other: int | None, word: int) -> Figure:
        return Figure(name, category, kind, one, other, words[word], new_words[word])

    return [
        figure("paying cases for each", HUNDREDTHS, _up(now.payers), _up(then.payers), 0),
        figure("borne by one paying case", HUNDREDTHS, _down(now.carried), _down(then.carried), 1),
        figure("highest price of a lens", MONEY, now.lens_price, then.lens_price, 2),
        figure("most cases borne", COUNT, now.most_cases, then.most_cases, 3),
        figure("highest share, per cent", HUNDREDTHS, share, new_share, 3),
    ]


def _words(scenario: Scenario, category: str) -> tuple[str, str, str, str]:
    """Why there is no figure: paying cases for each, borne by one, price of a lens, cases."""
    kind = next(one for one in scenario.kinds if one.category == category)
    others = any(one.counted for one in scenario.kinds if one is not kind)
    return (
        "no payer", "bears itself" if kind.leaves >= 0 else "no payer",
        "none" if kind.cases * kind.lenses else "no lens", "none" if others else "no others",
    )  # fmt: skip


def _share(one: Borne, scenario: Scenario) -> int | None:
    if one.most_cases is None:
        return None
    return floor(Fraction(one.most_cases * 100 * 100, scenario.cases))


def _up(value: Fraction | None) -> int | None:
    return None if value is None else ceil(value * 100)


def _down(value: Fraction | None) -> int | None:
    return None if value is None else floor(value * 100)
