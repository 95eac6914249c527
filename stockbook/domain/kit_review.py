"""What cases made of their kits: what came back, was added, was wasted; and a proposal."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import isqrt

from stockbook.domain.amounts import half_even
from stockbook.domain.facts import Item, Kit, KitLine

SPOILED_LENSES = (662, "Semin Ophthalmol 2024, doi 10.1080/08820538.2024.2354692")
"""Published: lenses spoiled in 1,000 implantations, in hundredths, and where."""

Z = 1_959_964
"""The normal deviate of 95 %, in millionths."""

_MILLION = 10**6
_Z_SQUARED = Z * Z // _MILLION


def wilson(count: int, of: int, parts: int = 10_000) -> tuple[int, int]:
    """The 95 % score interval of a proportion in so many parts of one (E. B. Wilson 1927, J Am
    Stat Assoc 22:209-212).

    The figures are those of R. G. Newcombe 1998, Stat Med 17:857-872, table I, from memory:
    0.2553 to 0.3662 and 0.0624 to 0.1605.

    >>> wilson(81, 263), wilson(15, 148)
    ((2553, 3662), (624, 1605))
    """
    centre = count * _MILLION + _Z_SQUARED // 2
    spread = isqrt(
        _Z_SQUARED * count * (of - count) * _MILLION // of + _Z_SQUARED * _Z_SQUARED // 4
    )
    whole = of * _MILLION + _Z_SQUARED
    low, high = (half_even(parts * x, whole) for x in (centre - spread, centre + spread))
    return (0 if count == 0 else max(low, 0), parts if count == of else min(high, parts))


def is_more_than_half(count: int, of: int) -> bool:
    """More than half the time; exactly half is not.

    >>> [is_more_than_half(n, 10) for n in (4, 5, 6)]
    [False, False, True]
    """
    return 2 * count > of


def is_more_than_three_tenths(count: int, of: int) -> bool:
    """In more than 30 % of cases; exactly 30 % is not.

    >>> [is_more_than_three_tenths(n, 10) for n in (2, 3, 4)]
    [False, False, True]
    """
    return 10 * count > 3 * of


@dataclass(frozen=True, slots=True)
class Flow:
    """So much of an item that ended one way in a case; steps and minor units."""

    case: str
    item: str
    end: str
    """used, wasted or returned."""
    reason: str | None
    quantity: int
    value: int


@dataclass(frozen=True, slots=True)
class CaseKit:
    """A finished case and the lines that its own version of the kit had for it."""

    case: str
    lines: tuple[KitLine, ...]
    drawn: tuple[KitLine, ...]
    """Those it drew: not on standby, when required only with its word."""
    earlier: tuple[KitLine, ...] = ()
    """Those of the kits that it was converted from."""


@dataclass(frozen=True, slots=True)
class LineReview:
    """How often a line's items came back: `returned` of `cases` that drew it."""

    line: KitLine
    cases: int
    returned: int
    units_back: int
    back_mostly: int
    """The most steps that came back in more than half of the cases."""

    @property
    def proposed(self) -> KitLine | None:
        """The line as it should be: less of it, or on standby; none where it stays as it is."""
        if not self.back_mostly or self.line.kind not in ("always", "one-of"):
            return None
        left = self.line.quantity - self.back_mostly
        if left > 0:
            return KitLine(self.line.kind, self.line.items, left)
        return KitLine("standby", self.line.items, self.line.quantity)


@dataclass(frozen=True, slots=True)
class ExtraReview:
    """An item that no line names and that cases used or wasted all the same."""

    item: str
    cases: int
    of: int
    units: int
    value: int
    usual: int
    """The median quantity of the cases that took it, the lower one of two."""
    in_kit: bool = False
    """Whether the kit has it all the same: used in common, or by a later version."""

    @property
    def proposed(self) -> KitLine | None:
        """A line for it, where more than 30 % of cases took it and the kit has none about it."""
        if self.in_kit or not is_more_than_three_tenths(self.cases, self.of):
            return None
        return KitLine("always", (self.item,), self.usual)


@dataclass(frozen=True, slots=True)
class WasteReview:
    """What was wasted of an item for a reason."""

    item: str
    reason: str
    cases: int
    units: int
    value: int


@dataclass(frozen=True, slots=True)
class KitReview:
    """A kit's review over a time, and the version it proposes; none where all stays."""

    code: str
    first_day: str
    last_day: str
    cases: int
    lines: tuple[LineReview, ...] = ()
    extras: tuple[ExtraReview, ...] = ()
    waste: tuple[WasteReview, ...] = ()
    lenses: tuple[int, int] = (0, 0)
    """Lenses spoiled, and all that were used or spoiled, in whole lenses."""
    items: Mapping[str, Item] = field(default_factory=dict)
    before: Kit | None = None

    @property
    def proposed(self) -> tuple[KitLine, ...]:
        """The lines that the review would write."""
        found = [one.proposed for one in self.lines] + [one.proposed for one in self.extras]
        return tuple(line for line in found if line is not None)


def line_reviews(
    lines: Sequence[KitLine], cases: Sequence[CaseKit], flows: Iterable[Flow]
) -> tuple[LineReview, ...]:
    """Each line with the cases that drew it; a line whose first item another shares stays out."""
    back: dict[tuple[str, str], int] = {}
    ended: dict[tuple[str, str], int] = {}
    for flow in flows:
        sums, key = back if flow.end == "returned" else ended, (flow.case, flow.item)
        sums[key] = sums.get(key, 0) + flow.quantity
    firsts = [line.items[:1] for line in lines]
    return tuple(
        _line_review(line, cases, back, ended)
        for line in lines
        if line.items and firsts.count(line.items[:1]) == 1
        and line.kind not in ("standby", "per-list")
    )  # fmt: skip


Sums = Mapping[tuple[str, str], int]
"""Steps by case and item."""


def _line_review(line: KitLine, cases: Sequence[CaseKit], back: Sums, ended: Sums) -> LineReview:
    """Of what came back only that counts by which the case ended less than its line says.

    The rest was an extra, a rescue kit's or of a kit that the case was converted from.
    """
    drew: dict[str, int] = {}
    for one in cases:
        own = [x.quantity for x in one.drawn if x.items[:1] == line.items[:1]]
        drew |= {one.case: sum(own)} if own else {}
    units = [
        max(min(_sum(back, case, line), quantity - _sum(ended, case, line)), 0)
        for case, quantity in drew.items()
    ]
    most = max((n for n in set(units) if is_more_than_half(sum(u >= n for u in units), len(drew))),
               default=0)  # fmt: skip
    return LineReview(
        line, len(drew), sum(u > 0 for u in units), sum(units), min(most, line.quantity)
    )


def _sum(sums: Sums, case: str, line: KitLine) -> int:
    return sum(sums.get((case, item), 0) for item in line.items)


def extra_reviews(
    cases: Sequence[CaseKit], flows: Iterable[Flow], lenses: Iterable[str],
    lines: Iterable[KitLine] = (),
) -> tuple[ExtraReview, ...]:  # fmt: skip
    """Items that were used or wasted and stand in no line of the kits that the case had.

    `lines` are the kit's as it is: what it has about an item already is not proposed again.
    """
    named = {
        one.case: {item for line in (*one.lines, *one.earlier) for item in line.items}
        for one in cases
    }
    has = {item for line in lines for item in line.items}
    skipped = set(lenses)
    units: dict[str, dict[str, int]] = {}
    values: dict[str, int] = {}
    for flow in flows:
        known = flow.item in skipped or flow.item in named.get(flow.case, {flow.item})
        if flow.end == "returned" or known:
            continue
        of_item = units.setdefault(flow.item, {})
        of_item[flow.case] = of_item.get(flow.case, 0) + flow.quantity
        values[flow.item] = values.get(flow.item, 0) + flow.value
    found = []
    for item, taken in sorted(units.items()):
        took = sorted(quantity for quantity in taken.values() if quantity > 0)
        if took:
            usual = took[(len(took) - 1) // 2]
            found.append(
                ExtraReview(item, len(took), len(cases), sum(took), values[item], usual,
                            item in has)
            )  # fmt: skip
    return tuple(found)


def waste_reviews(flows: Iterable[Flow]) -> tuple[WasteReview, ...]:
    """What was wasted, by item and reason."""
    found: dict[tuple[str, str], list[Flow]] = {}
    for flow in flows:
        if flow.end == "wasted":
            found.setdefault((flow.item, flow.reason or "no reason"), []).append(flow)
    return tuple(
        WasteReview(item, reason, len({f.case for f in some}), sum(f.quantity for f in some),
                    sum(f.value for f in some))
        for (item, reason), some in sorted(found.items())
    )  # fmt: skip


def lens_tally(flows: Iterable[Flow], lenses: Iterable[str]) -> tuple[int, int]:
    """Lenses spoiled, and all lenses that were used or spoiled."""
    known = set(lenses)
    ended = [f for f in flows if f.item in known and f.end != "returned"]
    return sum(f.quantity for f in ended if f.end == "wasted"), sum(f.quantity for f in ended)
