"""What was recorded, ready to be shown: entries, deliveries, issued and finished cases."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from stockbook.domain.deliveries import Charges, DeliveryLine
from stockbook.domain.entries import ChangeRow, Entry, Movement
from stockbook.domain.facts import Case, Item, Lot, Quarantine
from stockbook.domain.order_facts import Rejection
from stockbook.domain.orders import OrderState
from stockbook.domain.picking import Draw, ShelfRow
from stockbook.errors import Missing


@dataclass(frozen=True, slots=True)
class ShownMove:
    """A movement with its lot and item."""

    movement: Movement
    lot: Lot
    item: Item


@dataclass(frozen=True, slots=True)
class LeftLine:
    """A lot that came and what of it is expected to be left at its expiry, in finest steps.

    None where it keeps longer than a year, or where its item has no basis for a forecast.
    """

    item: Item
    lot: Lot
    left: int | None


@dataclass(frozen=True, slots=True)
class ShownEntry:
    """An entry with its lines; `reversed_by` names the entry that undid it."""

    entry: Entry
    moves: tuple[ShownMove, ...]
    changes: tuple[ChangeRow, ...]
    reversed_by: int | None


@dataclass(frozen=True, slots=True)
class CaseTrace:
    """Everything that was ever moved for a case, entry by entry."""

    case: Case
    day: str
    theatre: str
    moves: tuple[tuple[Entry, ShownMove], ...]


@dataclass(frozen=True, slots=True)
class ReceivedLine:
    """What became of a line: its lot and its value with its share of freight and tax."""

    lot: Lot
    line: DeliveryLine
    value: int
    provisional: bool


@dataclass(frozen=True, slots=True)
class ReceivedOrder:
    """An order after a delivery: what this one brought by item, and how it differs."""

    state: OrderState
    now: Mapping[str, int]
    differences: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Received:
    """A recorded delivery."""

    entry: int
    already: bool
    supplier: str
    note: str | None
    place: str
    lines: tuple[ReceivedLine, ...]
    charges: Charges
    orders: tuple[ReceivedOrder, ...] = ()
    expected: tuple[OrderState, ...] = ()
    """Open orders of the supplier for what came without naming one."""
    rejected: tuple[Rejection, ...] = ()
    """What came and was not taken in."""
    items: Mapping[str, Item] = field(default_factory=dict)
    """The items of what was rejected, as far as known."""

    @property
    def value(self) -> int:
        """What lies on the shelf because of it, in minor units."""
        return sum(line.value for line in self.lines)


@dataclass(frozen=True, slots=True)
class IssuedCase:
    """What one case got."""

    case: Case
    entry: int
    already: bool
    items: dict[str, Item]
    draws: tuple[Draw, ...] = ()
    """In shelf order."""
    missing: tuple[Missing, ...] = ()
    warnings: tuple[str, ...] = ()
    labels: Mapping[tuple[str, str], str] = field(default_factory=dict)
    """Shelf labels by place and item, as far as there are any."""
    notes: tuple[str, ...] = ()
    """What the patient's other eye got before."""
    issued_as: int | None = None
    """The entry of the kit, where a rescue had to issue that first."""
    beside: "IssuedCase | None" = None
    """What its list got in common, issued with its first case."""


@dataclass(frozen=True, slots=True)
class FinishedCase:
    """How a case ended."""

    case: Case
    entry: int
    already: bool
    items: dict[str, Item]
    lots: dict[int, Lot]
    moves: tuple[Movement, ...] = ()
    issued_as: int | None = None
    warnings: tuple[str, ...] = ()
    listed_as: int | None = None
    """The entry of the list's common lines, where this was its first case."""
    explained_as: int | None = None
    """The entry that explains the case's rescue kit."""


@dataclass(frozen=True, slots=True)
class Moved:
    """What left one place for another (or for waste)."""

    entry: int
    item: Item
    from_place: str
    to_place: str
    draws: tuple[Draw, ...]


@dataclass(frozen=True, slots=True)
class QuarantineView:
    """A quarantine and what it covers: staged kits (with their case) first."""

    quarantine: Quarantine
    rows: tuple[tuple[ShelfRow, Item, str | None], ...]
