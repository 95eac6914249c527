"""What a mix of categories leaves over, and what it could bear; exact, rounded at the last step.

Contribution margin and break-even of a product mix: OpenStax, Principles of Accounting, volume 2,
chapter 3, sections 3.1 to 3.4. With n cases of a category, each leaving its tariff less its
variable cost over, the result is

    R = sum of n (tariff - cost) - fixed cost

The highest price of a category's lens at which R is not below nothing follows from what its
lenses cost now, the highest number of its cases from what a case of it leaves over less than
another case does.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor, lcm

from stockbook.domain.break_even import Earner, break_even, carried_by_one, payers_for_one
from stockbook.errors import InputError

STEPS = (-20, -10, 0, 10, 20)
"""By so many per cent each thing is changed to see what hangs on it."""


@dataclass(frozen=True, slots=True)
class CaseKind:
    """The cases of a category: how many, and what one brings and costs on average (minor units).

    `counted` is how many the ledger has of them, which makes the mix; `lenses` is how many lenses
    one takes and `lens_cost` how much of `cost` they are.
    """

    category: str
    counted: int
    cases: Fraction
    tariff: Fraction
    cost: Fraction
    lenses: Fraction = Fraction(0)
    lens_cost: Fraction = Fraction(0)

    @property
    def leaves(self) -> Fraction:
        """What one case leaves over; below nothing where it costs more than it brings."""
        return self.tariff - self.cost

    @property
    def is_borne(self) -> bool:
        """Whether its cases pay nothing or less than they cost, so that others bear them."""
        return self.tariff == 0 or self.leaves < 0

    def earner(self, weight: int = 1) -> Earner:
        """The same as a part of a mix."""
        return Earner(self.category, weight, self.tariff, self.cost)


@dataclass(frozen=True, slots=True)
class Scenario:
    """One way of working: the cases of each category, and what is fixed (minor units)."""

    kinds: tuple[CaseKind, ...]
    fixed: Fraction

    @property
    def cases(self) -> Fraction:
        """All cases."""
        return sum((kind.cases for kind in self.kinds), Fraction(0))

    @property
    def left_over(self) -> Fraction:
        """What all cases together leave over for what is fixed."""
        return sum((kind.cases * kind.leaves for kind in self.kinds), Fraction(0))

    @property
    def result(self) -> Fraction:
        """What is left after the fixed cost; below nothing where it is not borne.

        One paid case at 200 that costs 60, two free ones that cost 40, 50 fixed:

        >>> paid = CaseKind("paid", 1, Fraction(1), Fraction(200), Fraction(60))
        >>> free = CaseKind("free", 2, Fraction(2), Fraction(0), Fraction(40))
        >>> Scenario((paid, free), Fraction(50)).result
        Fraction(10, 1)
        """
        return self.left_over - self.fixed

    def mix(self) -> list[Earner]:
        """The cases as a mix of whole weights; empty where there is no case."""
        whole = lcm(*(kind.cases.denominator for kind in self.kinds))
        return [kind.earner(int(kind.cases * whole)) for kind in self.kinds if kind.cases]


def break_even_cases(scenario: Scenario) -> int | None:
    """The least whole number of cases, at this mix, that bears the fixed cost; none: no number."""
    mix = scenario.mix()
    found = break_even(ceil(scenario.fixed), mix) if mix else None
    return None if found is None else ceil(sum(found.cases))


def payer(scenario: Scenario) -> Earner | None:
    """A paying case as it is on average; none where no case leaves anything over."""
    paying = [kind for kind in scenario.kinds if kind.leaves > 0 and not kind.is_borne]
    return _average(paying, [kind.cases for kind in paying]) or _average(
        paying, [Fraction(kind.counted) for kind in paying]
    )


def _average(kinds: Sequence[CaseKind], weights: Sequence[Fraction]) -> Earner | None:
    """One case of these as it is on average; none where all weights are nothing."""
    total = sum(weights, Fraction(0))
    if not total:
        return None
    each = list(zip(kinds, weights, strict=True))
    tariff = sum((weight * kind.tariff for kind, weight in each), Fraction(0))
    cost = sum((weight * kind.cost for kind, weight in each), Fraction(0))
    return Earner("paying", 1, Fraction(tariff, total), Fraction(cost, total))


def paying_cases_needed(scenario: Scenario) -> int | None:
    """How many paying cases bear the fixed cost and all cases that pay nothing or too little."""
    one = payer(scenario)
    if one is None:
        return None
    borne = [kind for kind in scenario.kinds if kind.is_borne]
    asked = scenario.fixed - sum((kind.cases * kind.leaves for kind in borne), Fraction(0))
    return max(0, ceil(Fraction(asked, one.contribution)))


def highest_lens_price(scenario: Scenario, category: str) -> int | None:
    """The highest price of one lens of a category at which the result is not below nothing.

    All its lenses are bought at that price. None where it takes none, or not even lenses for
    nothing are borne.

    >>> paid = CaseKind("paid", 1, Fraction(1), Fraction(200), Fraction(60))
    >>> free = CaseKind("free", 2, Fraction(2), Fraction(0), Fraction(40), Fraction(1), Fraction(9))
    >>> highest_lens_price(Scenario((paid, free), Fraction(50)), "free")
    14
    """
    kind = _kind(scenario, category)
    lenses = kind.cases * kind.lenses
    if not lenses:
        return None
    price = floor(Fraction(scenario.result + kind.cases * kind.lens_cost, lenses))
    return price if price >= 0 else None


def highest_cases(scenario: Scenario, category: str) -> int | None:
    """How many of all cases can at most be of a category, the others keeping their mix.

    None where no number of them is borne, or where the ledger has no other cases.
    """
    kind, total = _kind(scenario, category), floor(scenario.cases)
    other = _others(scenario, category)
    if other is None or not total:
        return None
    if kind.leaves >= other.contribution:
        return total if total * kind.leaves >= scenario.fixed else None
    none_of_it = total * other.contribution - scenario.fixed
    most = floor(Fraction(none_of_it, other.contribution - kind.leaves))
    return min(most, total) if most >= 0 else None


def costs_no_more(scenario: Scenario, category: str) -> bool:
    """Whether a case of a category leaves at least as much over as the others do on average."""
    other = _others(scenario, category)
    return other is not None and _kind(scenario, category).leaves >= other.contribution


def _others(scenario: Scenario, category: str) -> Earner | None:
    kinds = [kind for kind in scenario.kinds if kind.category != category]
    return _average(kinds, [Fraction(kind.counted) for kind in kinds])


def _kind(scenario: Scenario, category: str) -> CaseKind:
    return next(kind for kind in scenario.kinds if kind.category == category)


def with_cases(scenario: Scenario, of: dict[str, Fraction]) -> Scenario:
    """As many cases in all, these categories with so many of them; the others keep their mix."""
    rest = scenario.cases - sum(of.values())
    counted = sum(kind.counted for kind in scenario.kinds if kind.category not in of)
    if rest and not counted:
        raise nobody_left()
    return replace(scenario, kinds=tuple(
        replace(kind, cases=of[kind.category]) if kind.category in of
        else replace(kind, cases=Fraction(rest * kind.counted, counted) if counted else Fraction(0))
        for kind in scenario.kinds
    ))  # fmt: skip


def nobody_left() -> InputError:
    """Shares that leave cases to nobody."""
    return InputError(
        "--share: nobody is left to have the rest of the cases. Give shares that make 100, or "
        "leave one category out."
    )


def with_volume(scenario: Scenario, cases: Fraction) -> Scenario:
    """So many cases in all, at the same mix."""
    return replace(scenario, kinds=tuple(
        replace(kind, cases=Fraction(cases * kind.cases, scenario.cases)) for kind in scenario.kinds
    ))  # fmt: skip


def with_lens_price(scenario: Scenario, category: str, price: Fraction) -> Scenario:
    """Every lens of a category bought at this price."""
    kind = _kind(scenario, category)
    paid = price * kind.lenses
    dearer = replace(kind, cost=kind.cost - kind.lens_cost + paid, lens_cost=paid)
    return replace(scenario, kinds=tuple(
        dearer if one.category == category else one for one in scenario.kinds
    ))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What the result would be if one thing were so many per cent more or less; by STEPS."""

    what: str
    category: str
    results: tuple[Fraction, ...]


def sensitivity(scenario: Scenario) -> tuple[Sensitivity, ...]:
    """Tariffs, costs, the fixed cost, the number of cases; of borne cases their share and lens."""
    changed = {
        ("tariffs", ""): [_each(scenario, tariff=factor) for factor in _factors()],
        ("cost of a case", ""): [_each(scenario, cost=factor) for factor in _factors()],
        ("fixed cost", ""): [
            replace(scenario, fixed=scenario.fixed * factor) for factor in _factors()
        ],
    }
    if scenario.cases:
        volumes = [with_volume(scenario, scenario.cases * factor) for factor in _factors()]
        changed["number of cases", ""] = volumes
    for kind in scenario.kinds:
        if kind.is_borne and kind.cases:
            changed |= _of_borne(scenario, kind)
    return tuple(
        Sensitivity(what, category, tuple(one.result for one in scenarios))
        for (what, category), scenarios in changed.items()
    )


def _of_borne(scenario: Scenario, kind: CaseKind) -> dict[tuple[str, str], list[Scenario]]:
    found = {}
    if _others(scenario, kind.category) is not None:
        found["share of cases", kind.category] = [
            with_cases(scenario, {kind.category: min(scenario.cases, kind.cases * factor)})
            for factor in _factors()
        ]
    if kind.lens_cost:
        each = Fraction(kind.lens_cost, kind.lenses)
        found["price of a lens", kind.category] = [
            with_lens_price(scenario, kind.category, each * factor) for factor in _factors()
        ]
    return found


def _factors() -> Iterator[Fraction]:
    return (Fraction(100 + step, 100) for step in STEPS)


def _each(
    scenario: Scenario, tariff: Fraction = Fraction(1), cost: Fraction = Fraction(1)
) -> Scenario:
    return replace(scenario, kinds=tuple(
        replace(kind, tariff=kind.tariff * tariff, cost=kind.cost * cost)
        for kind in scenario.kinds
    ))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Borne:
    """What a category whose cases others bear asks of them, and how far that goes.

    `payers` is how many paying cases bear one of its cases, `carried` how many of them one paying
    case bears, the fixed cost left out.
    """

    category: str
    payers: Fraction | None
    carried: Fraction | None
    lens_price: int | None
    most_cases: int | None


def borne(scenario: Scenario, category: str) -> Borne:
    """The same of one category of a scenario."""
    one, kind = payer(scenario), _kind(scenario, category).earner()
    return Borne(
        category,
        payers_for_one(one, kind) if one else None,
        carried_by_one(one, kind) if one else None,
        highest_lens_price(scenario, category), highest_cases(scenario, category),
    )  # fmt: skip
