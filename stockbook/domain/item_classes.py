"""Items by what they cost in a year (ABC) and by how much hangs on them (VED).

The cuts are named arguments, because hospitals cut at 70 and 90, 72 and 95 or 80 and 95 in the
hundred. So is what becomes of the item that a cut goes through: sources differ, and say it rarely.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from stockbook.errors import InputError

Crossing = Literal["nearest", "above", "below"]
"""The item a cut goes through: to the class more than half of it lies in, the dearer, or not."""

ABC = ("A", "B", "C")
VED = ("V", "E", "D")


@dataclass(frozen=True, slots=True)
class Cuts:
    """Where A and B end, as shares of the value of a year: 0 < a <= b <= 1."""

    a: Fraction = Fraction(70, 100)
    b: Fraction = Fraction(90, 100)
    crossing: Crossing = "nearest"

    def __post_init__(self) -> None:
        """The cuts stand in their order."""
        if not 0 < self.a <= self.b <= 1:
            raise InputError(f"cuts: found {self.a} and {self.b}, wanted 0 < A <= B <= 1.")


def shares(amounts: Mapping[str, int]) -> dict[str, Fraction]:
    """Each one's share of the sum, in the order given; all 0 where the sum is 0.

    Devnani et al., J Young Pharm 2010;2(2):201-205: 58 of 421 items are 13.78 in the hundred.

    >>> shares({"A": 58, "B": 92, "C": 271})["A"]
    Fraction(58, 421)
    """
    total = sum(amounts.values())
    return {name: Fraction(amount, total or 1) for name, amount in amounts.items()}


def abc_classes(value_of_a_year: Mapping[str, int], cuts: Cuts) -> dict[str, str]:
    """The class of each item, dearest first; items of equal value keep the order given.

    Values are whole numbers of the minor unit. By `nearest` the published classes come out
    (Heizer & Render, Operations Management, ch. 12 Example 1, cut at 72 and 95 in the hundred):

    >>> value = {"12760": 2635000, "10286": 9000000, "11526": 7700000, "10867": 1500100,
    ...          "10500": 1250000, "12572": 850200, "others": 270400}
    >>> "".join(abc_classes(value, Cuts(Fraction(72, 100), Fraction(95, 100))).values())
    'AABBBCC'
    """
    for item, value in value_of_a_year.items():
        if value < 0:
            raise InputError(f"{item}: found a year's value of {value}, wanted 0 or more.")
    dearest = sorted(value_of_a_year, key=lambda item: -value_of_a_year[item])
    part = shares({item: value_of_a_year[item] for item in dearest})
    classes, before = {}, Fraction(0)
    for item in dearest:
        classes[item] = _class_at(before, part[item], cuts)
        before += part[item]
    return classes


def _class_at(before: Fraction, share: Fraction, cuts: Cuts) -> str:
    """The class of an item whose share begins at `before`."""
    if not share:
        return "C"
    counted = {"nearest": Fraction(share, 2), "above": Fraction(0), "below": share}[cuts.crossing]
    here = before + counted
    within = [here < cut if cuts.crossing == "above" else here <= cut for cut in (cuts.a, cuts.b)]
    return "A" if within[0] else "B" if within[1] else "C"


def share_of_classes(
    value_of_a_year: Mapping[str, int], classes: Mapping[str, str]
) -> dict[str, Fraction]:
    """What each class has of the value of a year.

    >>> share_of_classes({"x": 3, "y": 1}, {"x": "A", "y": "C"})
    {'A': Fraction(3, 4), 'B': Fraction(0, 1), 'C': Fraction(1, 4)}
    """
    sums = dict.fromkeys(ABC, 0)
    for item, value in value_of_a_year.items():
        sums[classes[item]] += value
    return shares(sums)


def category(abc: str, ved: str) -> str:
    """I, II or III of the ABC-VED matrix: I is dear or vital, III cheap and desirable.

    Devnani et al., J Young Pharm 2010;2(2):201-205: I is AV, AE, AD, BV, CV; II is BE, CE, BD;
    III is CD.

    >>> [category(a, v) for a in ABC for v in VED]
    ['I', 'I', 'I', 'I', 'II', 'II', 'I', 'II', 'III']
    """
    if abc not in ABC or ved not in VED:
        raise InputError(f"class: found {abc!r} and {ved!r}, wanted A, B or C and V, E or D.")
    if abc == "A" or ved == "V":
        return "I"
    return "III" if (abc, ved) == ("C", "D") else "II"


def counts_a_day(items: Mapping[str, int], cycle_days: Mapping[str, int]) -> dict[str, Fraction]:
    """How many items of each class are counted a day when each is once in its class's cycle.

    Heizer & Render, Operations Management, ch. 12 Example 2:

    >>> found = counts_a_day({"A": 500, "B": 1750, "C": 2750}, {"A": 20, "B": 60, "C": 120})
    >>> [round(number) for number in found.values()]
    [25, 29, 23]
    """
    for name in items:
        if cycle_days.get(name, 0) <= 0:
            raise InputError(f"class {name}: wanted a cycle of 1 day or more.")
    return {name: Fraction(number, cycle_days[name]) for name, number in items.items()}
