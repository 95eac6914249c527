"""The statement of a period: where every class's value came from and went, tied to all places."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from stockbook.domain.costs import Proof
from stockbook.domain.entries import digest_of
from stockbook.domain.finance_facts import Period
from stockbook.domain.places import STOCK_KINDS

NO_REASON = "without a reason"


class ValueFlow(NamedTuple):
    """Value that went from place to place in one class for one reason; minor units."""

    item_class: str
    from_kind: str
    from_place: str
    to_kind: str
    to_place: str
    reason: str | None
    value: int


@dataclass(slots=True)
class ClassFlows:
    """One class's period: opening + came - went = closing, in minor units.

    `received` is net of what suppliers took back in value; `used` goes by category, `wasted` by
    reason; *common* is a category like the others.
    """

    item_class: str
    opening: int = 0
    received: int = 0
    opening_stock: int = 0
    made: int = 0
    used: dict[str, int] = field(default_factory=dict)
    wasted: dict[str, int] = field(default_factory=dict)
    sent_back: int = 0
    differences: int = 0
    closing: int = 0

    @property
    def came(self) -> int:
        """What came in: received, opening stock, made."""
        return self.received + self.opening_stock + self.made

    @property
    def ties(self) -> bool:
        """Whether opening, came and went make the closing."""
        went = sum(self.used.values()) + sum(self.wasted.values()) + self.sent_back
        return self.opening + self.came - went + self.differences == self.closing

    def take(self, flow: ValueFlow) -> None:
        """A flow of the period is in the figures, once for each of its ends."""
        self._end(flow.to_kind, flow.to_place, flow.reason, flow.value)
        self._end(flow.from_kind, flow.from_place, flow.reason, -flow.value)

    def _end(self, kind: str, place: str, reason: str | None, value: int) -> None:
        name = place.partition("/")[2]
        if kind == "used":
            self.used[name] = self.used.get(name, 0) + value
        elif kind == "waste":
            why = reason or NO_REASON
            self.wasted[why] = self.wasted.get(why, 0) + value
        elif kind == "sent back":
            self.sent_back += value
        elif kind in _SOURCES:
            column = _SOURCES[kind]
            setattr(self, column, getattr(self, column) - value)


_SOURCES = {
    "supplier": "received", "opening": "opening_stock", "reprocessing": "made",
    "difference": "differences",
}  # fmt: skip


def stock_change(flows: Iterable[ValueFlow]) -> dict[str, int]:
    """By class, how much more value lies in stock places after these flows."""
    found: dict[str, int] = {}
    for flow in flows:
        sign = (flow.to_kind in STOCK_KINDS) - (flow.from_kind in STOCK_KINDS)
        found[flow.item_class] = found.get(flow.item_class, 0) + sign * flow.value
    return found


def class_flows(
    on_hand: Mapping[str, int], during: Iterable[ValueFlow], after: Iterable[ValueFlow]
) -> tuple[ClassFlows, ...]:
    """Every class's period, from what lies on hand now and what was booked in it and after it.

    A class that had nothing and moved nothing is left out.
    """
    flows = list(during)
    later, inside = stock_change(after), stock_change(flows)
    found: dict[str, ClassFlows] = {}
    for name in sorted({*on_hand, *later, *inside}):
        closing = on_hand.get(name, 0) - later.get(name, 0)
        opening = closing - inside.get(name, 0)
        if opening or closing or name in inside:
            found[name] = ClassFlows(name, opening=opening, closing=closing)
    for flow in flows:
        found[flow.item_class].take(flow)
    return tuple(found.values())


@dataclass(frozen=True, slots=True)
class PlaceBalance:
    """What a place has taken in less what it gave, since the book began; minor units."""

    place: str
    kind: str
    value: int


@dataclass(frozen=True, slots=True)
class Colour:
    """What colours a statement: how many of a kind, and their value in minor units."""

    what: str
    count: int
    value: int


@dataclass(frozen=True, slots=True)
class Statement:
    """A period's figures; `period` bears number and digest once it is closed."""

    period: Period
    classes: tuple[ClassFlows, ...]
    balances: tuple[PlaceBalance, ...]
    proof: Proof
    colours: tuple[Colour, ...]
    entry: int | None = None
    """The entry that closed it; none while it is open."""

    @property
    def on_shelves(self) -> int:
        """What the stock places bear at the end, by the balances of all places."""
        return sum(one.value for one in self.balances if one.kind in STOCK_KINDS)

    @property
    def ties(self) -> bool:
        """Whether classes, balances and proof say the same, and all places sum to nothing."""
        opening = sum(one.opening for one in self.classes)
        closing = sum(one.closing for one in self.classes)
        return (
            all(one.ties for one in self.classes)
            and sum(one.value for one in self.balances) == 0
            and self.proof.holds
            and (opening, closing) == (self.proof.opening, self.proof.on_hand)
            and closing == self.on_shelves
        )

    @property
    def digest(self) -> str:
        """SHA-256 over all figures in canonical form: the same statement has the same."""
        return digest_of([
            self.period.code, self.period.first_day, self.period.last_day,
            [_plain(one) for one in self.classes],
            [[one.place, one.value] for one in self.balances],
            [[one.what, one.count, one.value] for one in self.colours],
        ])  # fmt: skip

    @property
    def is_as_closed(self) -> bool:
        """Whether the figures are those that the closing entry bears."""
        return self.digest == self.period.statement


def _plain(one: ClassFlows) -> list[object]:
    return [
        one.item_class, one.opening, one.received, one.opening_stock, one.made,
        sorted(one.used.items()), sorted(one.wasted.items()), one.sent_back, one.differences,
        one.closing,
    ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Closing:
    """A period as one entry left it: closed with its statement, or reopened."""

    entry: int
    period: Period
    by: str
    recorded_at: str
    reason: str | None
    is_in_force: bool
    """Whether it is how the period stands now."""
