"""What waits today, by role."""

from dataclasses import dataclass

from stockbook.domain.entries import Entry
from stockbook.domain.facts import Item, Lot

UNFINISHED, EXPIRED, BELOW = "unfinished case", "expired", "below level"
RESCUE = "rescue not explained"
LATE, DUE = "order late", "order due today"
CLAIM = "claim deadline"
DESK, OWED = "begun by scanner", "not credited"
PROVISIONAL, FOUND, AGAINST = "provisional price", "found at use", "against a rule"

VERIFIED, COPIED = "verify", "backup"

KINDS = (
    UNFINISHED, RESCUE, EXPIRED, DESK, BELOW, LATE, DUE, PROVISIONAL, OWED, CLAIM, FOUND, AGAINST,
)  # fmt: skip

IF_ANY = frozenset({DESK, OWED})
"""What has its line only while there is something; the others say that there is nothing."""

OF_ROLE: dict[str, tuple[str, ...]] = {
    "keeper": (DESK, BELOW, LATE, DUE, EXPIRED, FOUND, PROVISIONAL),
    "nurse": (UNFINISHED, RESCUE, FOUND, AGAINST),
    "sterile": (UNFINISHED, EXPIRED),
    "manager": KINDS,
    "finance": (CLAIM, OWED, PROVISIONAL, FOUND, UNFINISHED),
    "auditor": KINDS,
}
"""What each role is shown, the most pressing first."""


@dataclass(frozen=True, slots=True)
class Point:
    """One thing that waits; whatever of it does not apply is none."""

    code: str
    """The case, the item or the entry."""
    words: str = ""
    day: str | None = None
    place: str | None = None
    item: Item | None = None
    lot: Lot | None = None
    quantity: int | None = None


@dataclass(frozen=True, slots=True)
class Waiting:
    """Everything of one kind that waits."""

    kind: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Upkeep:
    """When the book was last found sound, or copied to a safe place, and its last entry then."""

    what: str
    made_at: str
    entry: int


@dataclass(frozen=True, slots=True)
class Today:
    """What waits on a day for a role (none: for anyone), the last entry, the book's upkeep."""

    day: str
    role: str | None
    parts: tuple[Waiting, ...]
    last: Entry | None
    upkeep: tuple[Upkeep, ...] = ()
