"""What groups of cases bear in all: own use and waste, their part of what is common, overhead.

Everything that is shared is shared by `domain/allocation.py`, so its parts sum to the whole.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.allocation import Pool, by_activity
from stockbook.domain.amounts import half_even
from stockbook.domain.overhead import CaseOverhead


@dataclass(frozen=True, slots=True)
class Own:
    """What a group's own lines say, before anything is shared; minor units.

    `earlier` is value of cases that an earlier period counts; `common` says that it is what
    others share.
    """

    name: str
    cases: int
    used: int
    wasted: int
    earlier: int = 0
    common: bool = False


@dataclass(frozen=True, slots=True)
class FullCost:
    """What a group bears in all; minor units."""

    own: Own
    list_share: int
    common_share: int
    overhead: int
    """As far as it is known: of cases without minutes it is not."""
    without_minutes: tuple[str, ...]
    """Cases whose overhead is not known; never reckoned as nothing without being named."""

    @property
    def full(self) -> int:
        """Everything together."""
        own = self.own
        shares = self.list_share + self.common_share + self.overhead
        return own.used + own.wasted + own.earlier + shares

    @property
    def mean(self) -> int | None:
        """Of a case counted here, what earlier periods count left out; none without a case."""
        if not self.own.cases:
            return None
        return half_even(self.full - self.own.earlier, self.own.cases)


@dataclass(frozen=True, slots=True)
class Borne:
    """Overhead of a group's cases: what is known of it, and which cases have no minutes."""

    amount: int = 0
    without_minutes: tuple[str, ...] = ()


def borne_by(
    overheads: Iterable[CaseOverhead], name_of: Callable[[str], str | None]
) -> dict[str, Borne]:
    """By name, the overhead of its cases; a case without a name is left out."""
    amounts: dict[str, int] = {}
    unknown: dict[str, list[str]] = {}
    for one in overheads:
        name = name_of(one.case)
        if name is None:
            continue
        amounts[name] = amounts.get(name, 0) + (one.amount or 0)
        if one.amount is None:
            unknown.setdefault(name, []).append(one.case)
    return {
        name: Borne(amount, tuple(sorted(unknown.get(name, ()))))
        for name, amount in amounts.items()
    }


def full_costs(
    groups: Sequence[Own], list_shares: Mapping[str, int], borne: Mapping[str, Borne]
) -> tuple[FullCost, ...]:
    """Every group with its part of what is common and was not already given by lists.

    The group `common` gives all it has to the others by their cases; without cases it keeps it.
    Two categories of three cases and one share 100 that the shelves lost:

    >>> groups = [Own("free", 3, 0, 0), Own("paid", 1, 0, 0), Own("common", 0, 0, 100, common=True)]
    >>> [one.common_share for one in full_costs(groups, {}, {})]
    [75, 25, -100]
    """
    given = sum(list_shares.values())
    rest = sum(one.used + one.wasted + one.earlier for one in groups if one.common) - given
    cases = [0 if one.common else one.cases for one in groups]
    parts = shared_by_cases(rest, cases)
    left = sum(parts)
    none = Borne()
    return tuple(
        FullCost(
            one, -given if one.common else list_shares.get(one.name, 0),
            -left if one.common else part, borne.get(one.name, none).amount,
            borne.get(one.name, none).without_minutes,
        )
        for one, part in zip(groups, parts, strict=True)
    )  # fmt: skip


def shared_by_cases(amount: int, cases: Sequence[int]) -> tuple[int, ...]:
    """An amount over groups by how many cases each has; nothing where there is no case.

    >>> shared_by_cases(100, [1, 2]), shared_by_cases(100, [0, 0])
    ((33, 67), (0, 0))
    """
    if not sum(cases):
        return (0,) * len(cases)
    return by_activity([Pool("common use", amount, tuple(cases))])


def together(name: str, parts: Sequence[FullCost]) -> FullCost:
    """Several groups as one."""
    own = [one.own for one in parts]
    return FullCost(
        Own(
            name, sum(one.cases for one in own), sum(one.used for one in own),
            sum(one.wasted for one in own), sum(one.earlier for one in own),
        ),
        sum(one.list_share for one in parts), sum(one.common_share for one in parts),
        sum(one.overhead for one in parts),
        tuple(sorted(code for one in parts for code in one.without_minutes)),
    )  # fmt: skip
