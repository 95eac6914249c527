"""What may be asked of one case, where a case stands, and what became of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from stockbook.domain.entries import Entry, Movement
from stockbook.domain.facts import Case, Item, Lot, OperatingList
from stockbook.domain.finishing import Scanned
from stockbook.domain.importing import Alteration

PLANNED, ISSUED, FINISHED, CANCELLED = "planned", "issued", "finished", "cancelled"
"""Where a case stands; the book's entries say so."""

Wasted = tuple[tuple[str, str, str], ...]
"""Items, quantities and reasons as typed."""

Pairs = tuple[tuple[str, str], ...]
"""Items and quantities (or lots) as typed; columns and texts."""


@dataclass(frozen=True, slots=True)
class CancelAsked:
    """What was opened before the case was cancelled; all else goes back where it was drawn."""

    wasted: Wasted = ()
    returned: Pairs = ()
    all_opened: bool = False
    """Everything but what is named as returned was opened."""

    scanned: tuple[Scanned, ...] = ()
    """Packs that were read in theatre; one that is not on the trolley comes from its shelf."""


@dataclass(frozen=True, slots=True)
class ConvertAsked:
    """The procedure it became, and what of the first kit is no longer needed."""

    procedure: str
    wasted: Wasted = ()
    returned: Pairs = ()
    requirements: tuple[str, ...] = ()
    partial: bool = False


@dataclass(frozen=True, slots=True)
class CaseChange:
    """Fields of the plan (column and text as in a list's file), and what was used otherwise."""

    given: Pairs = ()
    used: Pairs = ()
    not_used: Pairs = ()
    wasted: Wasted = ()
    lots: Pairs = ()
    again: bool = False

    @property
    def moves(self) -> bool:
        """Whether it corrects what was used or wasted."""
        return bool(self.used or self.not_used or self.wasted or self.lots)


@dataclass(frozen=True, slots=True)
class CaseDone:
    """What became of a case: its entry (none when nothing had to change), what moved."""

    case: Case
    state: str
    entry: int | None
    already: bool = False
    altered: tuple[Alteration, ...] = ()
    moves: tuple[Movement, ...] = ()
    lots: Mapping[int, Lot] = field(default_factory=dict)
    items: Mapping[str, Item] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    staying: tuple[tuple[str, int], ...] = ()
    """Items of the first kit on the trolley which the new one does not ask for, in steps."""


@dataclass(frozen=True, slots=True)
class CaseUnits:
    """So much of a lot that a case has on its trolley, used or wasted."""

    where: str
    item: Item
    lot: Lot
    quantity: int
    value: int
    seen: bool
    reason: str | None


@dataclass(frozen=True, slots=True)
class CaseView:
    """Everything about one case."""

    case: Case
    list: OperatingList
    state: str
    units: tuple[CaseUnits, ...]
    entries: tuple[Entry, ...]
    other_eye: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def value(self, where: str) -> int:
        """What is there of it, in minor units."""
        return sum(unit.value for unit in self.units if unit.where == where)
