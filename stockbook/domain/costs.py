"""What a case costs, and a period by category: sums of the ledger's own movements."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from stockbook.domain.amounts import half_even, sums_of, text_from_whole
from stockbook.domain.facts import Case, Item, Lot
from stockbook.domain.full_cost import FullCost
from stockbook.domain.list_shares import ListShare
from stockbook.domain.overhead import CaseOverhead
from stockbook.domain.places import COMMON
from stockbook.domain.published_costs import OwnShare, main_share


@dataclass(frozen=True, slots=True)
class CostLine:
    """What one case used or wasted of one lot; quantity in steps, values in minor units."""

    item: Item
    lot: Lot
    seen: bool
    wasted: bool
    reason: str | None
    quantity: int
    value: int

    @property
    def shadow(self) -> int:
        """What a given lot's part would have cost; shown beside, never summed with values."""
        return half_even(self.lot.shadow_value * self.quantity, self.lot.quantity)


@dataclass(frozen=True, slots=True)
class CaseCost:
    """One case in full."""

    case: Case
    day: str
    theatre: str
    lines: tuple[CostLine, ...]
    is_staged: bool
    """Whether anything of it still lies on a trolley."""
    share: ListShare | None = None
    """Its part of what its list used in common; never in the sums of its own lines."""
    overhead: CaseOverhead | None = None
    """What it bears of the theatre's overhead; none where no rate holds."""
    last_entry: int = field(default=0, compare=False)
    checksum: str = field(default="", compare=False)

    @property
    def used(self) -> int:
        """What the case used, in minor units."""
        return sum(line.value for line in self.lines if not line.wasted)

    @property
    def wasted(self) -> int:
        """What was wasted on the case, in minor units."""
        return sum(line.value for line in self.lines if line.wasted)

    @property
    def by_class(self) -> dict[str, int]:
        """What the case used of each class, in minor units."""
        found: dict[str, int] = {}
        for line in self.lines:
            if not line.wasted:
                found[line.item.item_class] = found.get(line.item.item_class, 0) + line.value
        return found

    @property
    def full(self) -> int:
        """All it bears as far as it is known: own use and waste, list's part, overhead."""
        share = self.share.part if self.share else 0
        overhead = self.overhead.amount if self.overhead else 0
        return self.used + self.wasted + share + (overhead or 0)

    @property
    def lacks_minutes(self) -> bool:
        """Whether its overhead is not known for want of its minutes."""
        return self.overhead is not None and self.overhead.amount is None


class PeriodLine(NamedTuple):
    """A sum of movements booked in a period: one case (or none), class and kind of end."""

    case: str | None
    category: str
    item_class: str
    wasted: bool
    value: int


class Given(NamedTuple):
    """So many steps of a given lot that a case (or none) ended; `shadow` is for `received`."""

    case: str | None
    category: str
    lot: int
    quantity: int
    shadow: int
    received: int


@dataclass(frozen=True, slots=True)
class Ended:
    """What ended in a period: its sums, what of it was given, what by case is provisional."""

    lines: Sequence[PeriodLine]
    given: Sequence[Given]
    provisional: Mapping[str | None, int]


def shadows_by(given: Iterable[Given], name_of: Callable[[Given], str | None]) -> dict[str, int]:
    """By name, what the given lots that ended would have cost; what has no name is left out."""
    units: dict[tuple[str, int], list[int]] = {}
    for one in given:
        name = name_of(one)
        if name is not None:
            row = units.setdefault((name, one.lot), [0, one.shadow, one.received])
            row[0] += one.quantity
    sums: dict[str, int] = {}
    for (name, _), (quantity, shadow, received) in units.items():
        sums[name] = sums.get(name, 0) + half_even(shadow * quantity, received)
    return sums


@dataclass(frozen=True, slots=True)
class CategoryCost:
    """A category's period: its cases' cost and everything beside it, in minor units.

    The category *common* has no cases of its own: lists, the ward, the shelves.
    """

    category: str
    cases: int
    used: int
    mean: int | None
    median: int | None
    lowest: int | None
    highest: int | None
    by_class: Mapping[str, int]
    wasted: int
    shadow: int
    earlier_cases: int
    wasted_by_class: Mapping[str, int] = field(default_factory=dict)
    counted: tuple[str, ...] = ()
    """The cases that are counted here."""

    @property
    def total(self) -> int:
        """All value that ended in this category in the period."""
        return self.used + self.wasted + self.earlier_cases

    def share(self, item_class: str) -> str:
        """A class's share of what was used, in per cent with one decimal."""
        if not self.used:
            return "0.0"
        return text_from_whole(half_even(1000 * self.by_class.get(item_class, 0), self.used), 1)


def mean(values: Sequence[int]) -> int | None:
    """The mean, rounded half-even to the minor unit; none of nothing."""
    return half_even(sum(values), len(values)) if values else None


def median(values: Sequence[int]) -> int | None:
    """The median; of an even number the mean of the middle two, rounded half-even.

    >>> median([1, 2, 9]), median([1, 2]), median([])
    (2, 2, None)
    """
    if not values:
        return None
    ordered = sorted(values)
    middle = len(ordered) // 2
    if len(ordered) % 2:
        return ordered[middle]
    return half_even(ordered[middle - 1] + ordered[middle], 2)


def category_cost(
    category: str, lines: Iterable[PeriodLine], first_used: Mapping[str, str],
    period: tuple[str, str], shadow: int,
) -> CategoryCost:  # fmt: skip
    """One category's page from the sums booked in a period (first and last day).

    `first_used` is the day each case's first standing use was booked: a case is counted once,
    in the period of that day; what is booked in a later period shows there as earlier cases. What
    was wasted before any use (a case cancelled and taken back) stays waste where it was booked.
    """
    per_case: dict[str | None, int] = {}
    by_class: dict[str, int] = {}
    wasted: dict[str, int] = {}
    earlier = 0
    for line in lines:
        began = first_used.get(line.case) if line.case else period[0]
        figure = figure_of(began, period, wasted=line.wasted)
        if figure == USED:
            per_case[line.case] = per_case.get(line.case, 0) + line.value
            by_class[line.item_class] = by_class.get(line.item_class, 0) + line.value
        elif figure == WASTED:
            wasted[line.item_class] = wasted.get(line.item_class, 0) + line.value
        else:
            earlier += line.value
    own = {case: v for case, v in per_case.items() if case is not None and category != COMMON}
    costs = list(own.values())
    return CategoryCost(
        category, len(costs), sum(per_case.values()), mean(costs), median(costs),
        min(costs, default=None), max(costs, default=None), by_class, sum(wasted.values()),
        shadow, earlier, wasted, tuple(own),
    )  # fmt: skip


USED, WASTED, EARLIER = "used", "wasted", "earlier cases"


def figure_of(began: str | None, period: tuple[str, str], *, wasted: bool) -> str:
    """The figure of a period that value of a case is in, by the day its first use was booked."""
    counted = began is not None and period[0] <= began <= period[1]
    if counted and not wasted:
        return USED
    return WASTED if wasted and (counted or began is None or began > period[1]) else EARLIER


@dataclass(frozen=True, slots=True)
class Proof:
    """Rule 5 in money: opening + what came - what went = what is there, in minor units."""

    opening: int
    received: int
    opening_stock: int
    made: int
    used: int
    wasted: int
    sent_back: int
    differences: int
    on_hand: int
    last_entry: int
    checksum: str

    @property
    def expected(self) -> int:
        """What the movements say is on hand at the end."""
        return (
            self.opening + self.received + self.opening_stock + self.made
            - self.used - self.wasted - self.sent_back + self.differences
        )  # fmt: skip

    @property
    def holds(self) -> bool:
        """Whether the shelves bear exactly what the movements say."""
        return self.expected == self.on_hand


@dataclass(frozen=True, slots=True)
class PeriodCost:
    """A period's cost by category, common use beside it, with its proof."""

    first_day: str
    last_day: str
    categories: tuple[CategoryCost, ...]
    provisional: int
    proof: Proof
    unfinished: tuple[str, ...] = field(default=())
    shares: Mapping[str, int] = field(default_factory=dict)
    """By category, its part of what lists used in common; taken from the category *common*."""
    share_key: str = ""
    services: Mapping[str, int] = field(default_factory=dict)
    """What each service used in common."""
    full: tuple[FullCost, ...] = ()
    """What each category bears in all, common use included."""
    main_classes: tuple[str, ...] = ()
    """Classes that the site sets beside the published share of lens, viscoelastic, tubing, pack."""

    @property
    def main_share(self) -> OwnShare | None:
        """What these classes are of all that was used."""
        return main_share(sums_of(one.by_class for one in self.categories), self.main_classes)

    @property
    def supplies_share(self) -> int | None:
        """Supplies in the full cost of cases, in thousandths; none where overhead is not known."""
        whole = sum(one.full for one in self.full)
        overhead = sum(one.overhead for one in self.full)
        if not overhead or any(one.without_minutes for one in self.full):
            return None
        return half_even(1000 * (whole - overhead), whole)

    def share_of(self, category: str) -> int:
        """A category's part of what lists used in common; of *common* what others take from it."""
        return -sum(self.shares.values()) if category == COMMON else self.shares.get(category, 0)
