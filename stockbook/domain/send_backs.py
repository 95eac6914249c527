"""Units sent back to who delivered them: what one note took, and what a recall asks for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Item, Lot, Quarantine
from stockbook.domain.picking import Draw, is_stopped

RECALL_NOTICE = "recall-notice"
"""The reason of a quarantine that a recall began."""

CAUTION = (
    "CAUTION, recalled: follow the recall notice before anything leaves the house. It may ask for "
    "units to be kept, pictured, labelled or destroyed here, and for an answer even where none "
    "are left; what was used for patients is found with 'stockbook trace LOT'."
)


@dataclass(frozen=True, slots=True)
class SentLine:
    """A lot's units that left a shelf for its supplier."""

    item: Item
    draw: Draw
    seen: bool


@dataclass(frozen=True, slots=True)
class SentBack:
    """What went back to a supplier under one note."""

    entry: int
    already: bool
    supplier: str
    note: str
    reason: str
    lines: tuple[SentLine, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def value(self) -> int:
        """What left the shelves because of it, in minor units."""
        return sum(line.draw.value for line in self.lines)


@dataclass(frozen=True, slots=True)
class SentRow:
    """A movement by which units went back, as long as its entry stands."""

    entry: int
    day: str
    document: str
    lot: int
    quantity: int
    value: int
    reason: str | None

    @property
    def supplier(self) -> str:
        """To whom."""
        return self.document.partition("/")[0]

    @property
    def note(self) -> str:
        """Under which note."""
        return self.document.partition("/")[2]


def sent_document(supplier: str, note: str) -> str:
    """The document of an entry that sends back.

    >>> sent_document("ACME", "R-7")
    'ACME/R-7'
    """
    return f"{supplier}/{note}"


def recalls_on(draws: Sequence[Draw], quarantines: Iterable[Quarantine]) -> dict[str, list[Lot]]:
    """By the code of each recall in force, the lots among these that it stops."""
    found: dict[str, list[Lot]] = {}
    for one in quarantines:
        lots = [d.lot for d in draws if is_stopped(one, d.lot, d.place)]
        if one.reason == RECALL_NOTICE and lots:
            found[one.code] = lots
    return found
