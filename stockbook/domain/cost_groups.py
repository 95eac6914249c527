"""A period's cases put together by what they have in common, and compared at the same mix."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from stockbook.domain.amounts import half_even
from stockbook.domain.costs import PeriodLine, mean
from stockbook.domain.full_cost import FullCost

WAYS = ("category", "sponsor", "procedure", "lens", "surgeon", "theatre", "month")
NONE = "(none)"
"""What cases without it stand under."""


@dataclass(frozen=True, slots=True)
class CaseSum:
    """One case counted in a period: what it used, by class, and what was wasted on it."""

    case: str
    group: str
    mix: str
    """What cases are compared by: the procedure."""
    by_class: Mapping[str, int]
    wasted: int

    @property
    def used(self) -> int:
        """All that it used, in minor units."""
        return sum(self.by_class.values())


@dataclass(frozen=True, slots=True)
class GroupCost:
    """The cases of one group; values in minor units, none where there is no case.

    `same_mix` is what a case would cost on average if the group had the procedures of all cases;
    it leaves out procedures that the group never had, `covered` cases in a thousand are left.
    """

    name: str
    cases: int
    used: int
    mean: int | None
    lower: int | None
    median: int | None
    upper: int | None
    wasted: int
    by_class: Mapping[str, int]
    same_mix: int | None
    covered: int


@dataclass(frozen=True, slots=True)
class CostGroups:
    """A period by one way of grouping."""

    by: str
    first_day: str
    last_day: str
    groups: tuple[GroupCost, ...]
    all: GroupCost
    last_entry: int
    checksum: str
    full: tuple[FullCost, ...] = ()
    """What each group bears in all, in the order of the groups, all of them together last."""
    shadows: Mapping[str, int] = field(default_factory=dict)
    """By group, what given lots would have cost; shown beside, never summed with values."""
    provisional: Mapping[str, int] = field(default_factory=dict)


def quartile(values: Sequence[int], quarter: int) -> int | None:
    """The first, second or third quartile, rounded half-even: a straight line between ranks
    (R. J. Hyndman and Y. Fan 1996, Am Stat 50:361-365, definition 7).

    >>> [quartile([1, 3, 4, 10], n) for n in (1, 2, 3)]
    [2, 4, 6]
    """
    if not values:
        return None
    ordered = sorted(values)
    place, rest = divmod((len(ordered) - 1) * quarter, 4)
    low = ordered[place]
    high = ordered[min(place + 1, len(ordered) - 1)]
    return half_even(4 * low + rest * (high - low), 4)


def case_sums(
    lines: Iterable[PeriodLine], counted: Callable[[str], bool],
    group_of: Mapping[str, str], mix_of: Mapping[str, str],
) -> list[CaseSum]:  # fmt: skip
    """Every case counted in the period, with its own lines."""
    inside = {case for case in group_of if counted(case)}
    classes: dict[str, dict[str, int]] = {}
    wasted: dict[str, int] = {}
    for case, _, item_class, is_waste, value in lines:
        if case is None or case not in inside:
            continue
        if is_waste:
            wasted[case] = wasted.get(case, 0) + value
            continue
        own = classes.setdefault(case, {})
        own[item_class] = own.get(item_class, 0) + value
    return [
        CaseSum(case, group_of[case], mix_of[case], own, wasted.get(case, 0))
        for case, own in sorted(classes.items())
    ]


def groups_of(sums: Sequence[CaseSum]) -> tuple[tuple[GroupCost, ...], GroupCost]:
    """Each group by its name, never by its cost, and all cases together."""
    whole = Counter(one.mix for one in sums)
    names = sorted({one.group for one in sums})
    found = [_group(name, [s for s in sums if s.group == name], whole) for name in names]
    return tuple(found), _group("all", sums, whole)


def _group(name: str, sums: Sequence[CaseSum], whole: Mapping[str, int]) -> GroupCost:
    costs = [one.used for one in sums]
    classes: dict[str, int] = {}
    for one in sums:
        for item_class, value in one.by_class.items():
            classes[item_class] = classes.get(item_class, 0) + value
    same_mix, covered = standardised(sums, whole)
    return GroupCost(
        name, len(sums), sum(costs), mean(costs), quartile(costs, 1), quartile(costs, 2),
        quartile(costs, 3),
        sum(one.wasted for one in sums), dict(sorted(classes.items())), same_mix, covered,
    )  # fmt: skip


def standardised(sums: Sequence[CaseSum], whole: Mapping[str, int]) -> tuple[int | None, int]:
    """The mean at the mix of all cases (direct standardisation: L. Gordis, Epidemiology, ch. 4),
    and the thousandths of that mix which the group has at all.

    Two procedures at 10 and 30, three of the first to one of the second in all, one of each here:

    >>> sums = [CaseSum("A", "g", "P", {"x": 10}, 0), CaseSum("B", "g", "Q", {"x": 30}, 0)]
    >>> standardised(sums, {"P": 3, "Q": 1})
    (15, 1000)
    """
    own = Counter(one.mix for one in sums)
    total = sum(whole[mix] for mix in own)
    if not total:
        return None, 0
    value = Fraction(0)
    for mix, count in own.items():
        used = sum(one.used for one in sums if one.mix == mix)
        value += Fraction(whole[mix] * used, total * count)
    covered = half_even(1000 * total, sum(whole.values()))
    return half_even(value.numerator, value.denominator), covered
