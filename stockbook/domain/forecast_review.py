"""The forecast beside what happened: how often its levels were enough, and how far it was off."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isqrt

from stockbook.domain.amounts import half_even
from stockbook.domain.facts import Item
from stockbook.domain.service_levels import ServiceLevel


@dataclass(frozen=True, slots=True)
class Looked:
    """One item over one past period; quantities in finest steps.

    `expected` and `level` are the forecast's as the book stood at its beginning, `there` what was
    usable then; `used` is what was used or wasted in it, `short` whether anybody went without.
    """

    item: Item
    first_day: str
    expected: float
    level: int
    there: int
    used: int
    short: bool

    @property
    def enough(self) -> bool:
        """Whether no more was used than the level, and nobody went without beyond it."""
        return self.used <= self.level

    @property
    def avoided(self) -> bool:
        """Whether more was used than there was at the beginning, and nobody went without."""
        return self.used > self.there and not self.short


@dataclass(frozen=True, slots=True)
class ItemReview:
    """An item over all periods."""

    item: Item
    looked: tuple[Looked, ...]

    @property
    def expected(self) -> float:
        """All that was expected."""
        return sum(one.expected for one in self.looked)

    @property
    def used(self) -> int:
        """All that was used."""
        return sum(one.used for one in self.looked)

    @property
    def enough(self) -> int:
        """In how many periods the level was enough."""
        return sum(one.enough for one in self.looked)

    @property
    def short(self) -> int:
        """In how many periods somebody went without."""
        return sum(one.short for one in self.looked)

    @property
    def avoidable(self) -> int:
        """In how many of those the level would have been enough."""
        return sum(one.short and one.enough for one in self.looked)

    @property
    def avoided(self) -> int:
        """In how many periods deliveries came before anybody went without."""
        return sum(one.avoided for one in self.looked)


@dataclass(frozen=True, slots=True)
class ForecastReview:
    """Every item with a basis over past periods of the same length."""

    day: str
    days: int
    first_days: tuple[str, ...]
    service: ServiceLevel
    """The site's; an item may have its own."""
    items: tuple[ItemReview, ...]

    @property
    def looks(self) -> int:
        """How many periods of items were looked at."""
        return sum(len(one.looked) for one in self.items)

    @property
    def enough(self) -> int:
        """In how many of them the level was enough."""
        return sum(one.enough for one in self.items)


def chance_interval(count: int, whole: int) -> tuple[int, int]:
    """Between which thousandths a share lies with 95 %, so that few looks are not overread.

    E. B. Wilson 1927, J Am Stat Assoc 22:209-212, with z = 1.96, in whole numbers. Of 8 in 10
    (published as 0.490 to 0.943):

    >>> chance_interval(8, 10)
    (490, 943)
    """
    if not whole:
        return 0, 1000
    z = 196
    scaled = whole * 10_000 + z * z
    centre = count * 10_000 * 2 + z * z
    root = isqrt(z * z * (z * z + 4 * 10_000 * count * (whole - count) // whole))
    low, high = centre - root, centre + root
    return half_even(1000 * low, 2 * scaled), half_even(1000 * high, 2 * scaled)


def by_item(looked: Sequence[Looked]) -> tuple[ItemReview, ...]:
    """Looks put together by item."""
    found: dict[str, list[Looked]] = {}
    for one in looked:
        found.setdefault(one.item.code, []).append(one)
    return tuple(ItemReview(own[0].item, tuple(own)) for _, own in sorted(found.items()))
