"""Labels to print: of shelves, of lots, of cases; each bears one of the site's own codes."""

from collections.abc import Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Case, Item, Level, Lot, OperatingList
from stockbook.domain.own_codes import own_code
from stockbook.errors import InputError

MOST = 500
"""Labels of the longest page: more is a slip of the hand."""


@dataclass(frozen=True, slots=True)
class Printed:
    """From which state of the book a page was made, and when."""

    today: str
    last_entry: int
    checksum: str


@dataclass(frozen=True, slots=True)
class ShelfLabel:
    """Where an item lies in a place, with its words and its level, if any."""

    place: str
    item: Item
    words: str = ""
    level: Level | None = None

    @property
    def code(self) -> str:
        """What its symbol says.

        >>> ShelfLabel("OT1", Item("VISC", "Viscoelastic", "visco", "each", 0)).code
        'SHELF/OT1/VISC'
        """
        return own_code("SHELF", self.place, self.item.code)


@dataclass(frozen=True, slots=True)
class LotLabel:
    """A lot as the book numbers it; `stopped` is what stands against using it, in words."""

    lot: Lot
    item: Item
    stopped: str | None = None

    @property
    def code(self) -> str:
        """What its symbol says."""
        return own_code("LOT", str(self.lot.code))


@dataclass(frozen=True, slots=True)
class CaseStrip:
    """One case as a sitting scans it."""

    case: Case
    list: OperatingList

    @property
    def code(self) -> str:
        """What its symbol says."""
        return own_code("CASE", self.case.code)


@dataclass(frozen=True, slots=True)
class ShelfLabels:
    """The labels of shelves, in the order of walking."""

    labels: tuple[ShelfLabel, ...]
    printed: Printed


@dataclass(frozen=True, slots=True)
class LotLabels:
    """The labels of lots; each so many times."""

    labels: tuple[LotLabel, ...]
    copies: int
    printed: Printed


@dataclass(frozen=True, slots=True)
class CaseStrips:
    """Strips of cases, list by list; with `whole`, each list's own symbol at its head."""

    strips: tuple[CaseStrip, ...]
    printed: Printed
    whole: bool = False
    left_out: tuple[str, ...] = ()
    """Cases without a strip, because they are cancelled."""


@dataclass(frozen=True, slots=True)
class Card:
    """The card of theatre codes; kits follow CONVERT."""

    procedures: tuple[str, ...]
    printed: Printed


def check_count(labels: Sequence[object], copies: int = 1) -> None:
    """A page of labels has some, and not more than can be meant."""
    count = len(labels) * copies
    if copies < 1 or count > MOST:
        raise InputError(f"label: {count} labels asked, wanted 1 to {MOST}. Name fewer.")
