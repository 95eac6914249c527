"""What cases cost beside their standard kit: the difference by price, usage and mix.

Formulas as textbooks of cost accounting give them for materials that may replace each other (from
memory: Horngren, Datar and Rajan, Cost Accounting, on mix and yield): at standard prices, *mix* is
what was taken in other proportions than the standard's, *usage* (there: yield) what was taken more
or less in all; *price* is all else. Each step is rounded once, so the three sum to the difference
to the minor unit.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from stockbook.domain.amounts import half_even
from stockbook.domain.kits import Need

FURTHEST = 10
"""So many cases are shown that lie furthest from their standard."""


class UnitPrice(NamedTuple):
    """Minor units for so many finest steps."""

    price: int
    steps: int


Prices = Mapping[str, UnitPrice]
"""Standard prices by item; an item without one counts as nothing, and is named."""


class Amounts(NamedTuple):
    """Finest steps of an item and what they were worth, in minor units."""

    quantity: int
    value: int


@dataclass(frozen=True, slots=True)
class StandardLine:
    """What a standard has of items that may replace each other: alternatives, a lens.

    `quantities` names the first alternative of each need with its steps; `cost` is at standard
    price.
    """

    items: frozenset[str]
    quantities: tuple[tuple[str, int], ...]
    cost: int
    lens: bool = False
    """Whether any other lens takes the place of this one."""


@dataclass(frozen=True, slots=True)
class Standard:
    """The lines of one standard kit, no item in two of them."""

    lines: tuple[StandardLine, ...]
    cost: int
    """Of a case, in minor units."""
    plain: Mapping[str, int] | None
    """All of it by item, where each line is of one; what took just this differs in price alone."""


class Split(NamedTuple):
    """A difference from standard, in minor units; above nothing is dearer than the standard."""

    price: int = 0
    usage: int = 0
    mix: int = 0

    @property
    def all(self) -> int:
        """The whole difference."""
        return self.price + self.usage + self.mix


def worth(item: str, quantity: int, prices: Prices) -> int:
    """Steps of an item at its standard price, rounded half-even."""
    known = prices.get(item)
    return half_even(known.price * quantity, known.steps) if known else 0


def standard_of(needs: Iterable[Need], lens: str, prices: Prices) -> Standard:
    """The standard of these needs; what only has to be in the room costs nothing.

    Needs that share an item are one line, so that whatever was used belongs to one alone.
    """
    merged: list[tuple[set[str], dict[str, int]]] = []
    for need in (n for n in needs if not n.standby):
        items, quantities = set(need.items), {need.items[0]: need.quantity}
        for other in [one for one in merged if one[0] & items]:
            merged.remove(other)
            items |= other[0]
            quantities = _added(other[1], quantities)
        merged.append((items, quantities))
    lines = tuple(_line(items, quantities, lens, prices) for items, quantities in merged)
    plain = dict(line.quantities[0] for line in lines)
    one_each = all(len(line.quantities) == 1 for line in lines)
    return Standard(lines, sum(line.cost for line in lines), plain if one_each else None)


def _added(some: Mapping[str, int], others: Mapping[str, int]) -> dict[str, int]:
    return {item: some.get(item, 0) + others.get(item, 0) for item in (*some, *others)}


def _line(
    items: set[str], quantities: Mapping[str, int], lens: str, prices: Prices
) -> StandardLine:
    cost = sum(worth(item, quantity, prices) for item, quantity in quantities.items())
    return StandardLine(
        frozenset(items), tuple(quantities.items()), cost, bool(lens) and lens in items
    )


def split_line(line: StandardLine, used: Mapping[str, Amounts], prices: Prices) -> Split:
    """What was used of a line's items beside the line.

    Three sorts of a material, standards 3,200, 1,920 and 1,280 at 70, 80 and 90, used 3,250 at 70,
    2,275 at 82 and 975 at 96 (the textbook's figures, from memory):

    >>> prices = {"A": UnitPrice(70, 1), "B": UnitPrice(80, 1), "C": UnitPrice(90, 1)}
    >>> line = StandardLine(frozenset("ABC"), (("A", 3200), ("B", 1920), ("C", 1280)), 492800)
    >>> used = {"A": Amounts(3250, 227500), "B": Amounts(2275, 186550), "C": Amounts(975, 93600)}
    >>> split_line(line, used, prices), split_line(line, used, prices).all
    (Split(price=10400, usage=7700, mix=-3250), 14850)
    """
    value = sum(one.value for one in used.values())
    at_standard = sum(worth(item, one.quantity, prices) for item, one in used.items())
    same_mix = _at_mix(line, sum(one.quantity for one in used.values()), prices)
    return Split(value - at_standard, same_mix - line.cost, at_standard - same_mix)


def _at_mix(line: StandardLine, quantity: int, prices: Prices) -> int:
    """So many steps in the line's own proportions, at standard price."""
    if len(line.quantities) == 1:
        return worth(line.quantities[0][0], quantity, prices)
    steps = sum(n for _, n in line.quantities)
    exact = sum(
        (Fraction(prices[item].price * n, prices[item].steps)
         for item, n in line.quantities if item in prices),
        Fraction(0),
    )  # fmt: skip
    found = exact * Fraction(quantity, steps)
    return half_even(found.numerator, found.denominator)


NOTHING = StandardLine(frozenset(), (), 0)
"""What no line of a kit asks for: all of it is usage."""


def split_case(
    standard: Standard, used: Mapping[str, Amounts], is_lens: Callable[[str], bool], prices: Prices
) -> list[tuple[StandardLine, dict[str, Amounts], Split]]:
    """Each line with what was used of it; what no line asks for comes item by item, after them."""
    left = dict(used)
    found = []
    for line in standard.lines:
        mine = {item: left.pop(item) for item in used if item in line.items and item in left}
        if line.lens:
            mine |= {item: left.pop(item) for item in list(left) if is_lens(item)}
        found.append((line, mine, split_line(line, mine, prices)))
    for item, one in left.items():
        at_standard = worth(item, one.quantity, prices)
        found.append((NOTHING, {item: one}, Split(one.value - at_standard, at_standard, 0)))
    return found


def split_of(
    standard: Standard, used: Mapping[str, Amounts], is_lens: Callable[[str], bool], prices: Prices
) -> Split:
    """The whole case's split; of a case that took just its kit without looking at the lines."""
    if standard.plain == {item: one.quantity for item, one in used.items()}:
        return Split(sum(one.value for one in used.values()) - standard.cost)
    return summed(one for *_, one in split_case(standard, used, is_lens, prices))


@dataclass(frozen=True, slots=True)
class CaseVariance:
    """One case beside its standard; values in minor units."""

    case: str
    group: str
    procedure: str
    category: str
    standard: int
    actual: int
    """What it used; what was wasted on it is apart."""
    split: Split
    wasted: int

    @property
    def difference(self) -> int:
        """What it cost more than its standard."""
        return self.actual - self.standard


@dataclass(frozen=True, slots=True)
class GroupVariance:
    """The cases of one group beside their standards."""

    name: str
    cases: int
    standard: int
    actual: int
    split: Split
    wasted: int

    @property
    def difference(self) -> int:
        """What they cost more than their standards."""
        return self.actual - self.standard

    @property
    def mean(self) -> int | None:
        """The difference of a case on average; none without a case."""
        return half_even(self.difference, self.cases) if self.cases else None


@dataclass(frozen=True, slots=True)
class PeriodVariance:
    """A period's cases beside their standard kits."""

    by: str
    first_day: str
    last_day: str
    groups: tuple[GroupVariance, ...]
    all: GroupVariance
    cases: tuple[CaseVariance, ...]
    without_standard: tuple[str, ...]
    """Cases without a kit in the book, or whose lens or machine is not known: in no figure."""
    without_price: tuple[str, ...]
    """Items that never had a price by the period's end: counted as nothing at standard."""
    last_entry: int
    checksum: str

    @property
    def furthest(self) -> list[CaseVariance]:
        """The cases furthest from their standard either way, by their codes where equally far."""
        far = sorted(self.cases, key=lambda one: (-abs(one.difference), one.case))
        return [one for one in far[:FURTHEST] if one.difference]


def grouped_variances(
    cases: Sequence[CaseVariance],
) -> tuple[tuple[GroupVariance, ...], GroupVariance]:
    """Each group by its name, and all cases together."""
    by_name: dict[str, list[CaseVariance]] = {}
    for one in cases:
        by_name.setdefault(one.group, []).append(one)
    groups = tuple(_together(name, by_name[name]) for name in sorted(by_name))
    return groups, _together("all", cases)


def summed(splits: Iterable[Split]) -> Split:
    """Splits together, each part by itself."""
    price = usage = mix = 0
    for one in splits:
        price, usage, mix = price + one.price, usage + one.usage, mix + one.mix
    return Split(price, usage, mix)


def _together(name: str, cases: Sequence[CaseVariance]) -> GroupVariance:
    return GroupVariance(
        name, len(cases), sum(one.standard for one in cases), sum(one.actual for one in cases),
        summed(one.split for one in cases), sum(one.wasted for one in cases),
    )  # fmt: skip
