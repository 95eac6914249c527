"""Entries as they are asked for and as they are chained."""

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from stockbook.domain.amounts import LIMIT
from stockbook.domain.codec import KIND_OF, body_of, canonical
from stockbook.domain.facts import Fact
from stockbook.errors import Refused

PREFIX = "stockbook entry 1"
"""The version of the checksum's text; a new form gets a new number."""


@dataclass(frozen=True, slots=True)
class Movement:
    """So many finest steps of one lot, with their value in minor units, from place to place."""

    lot: int
    quantity: int
    value: int
    from_place: str
    to_place: str
    case: str | None = None
    reason: str | None = None
    seen: bool = False


@dataclass(frozen=True, slots=True)
class Signature:
    """Who records, when the machine said it was, and the day it happened."""

    by: str
    today: str
    recorded_at: str
    happened_on: str
    happened_at: str | None = None
    checked_by: str | None = None
    reason: str | None = None
    comment: str | None = None


@dataclass(frozen=True, slots=True)
class Request:
    """A key that names what was asked once, and a digest of what was asked."""

    key: str
    digest: str


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry not yet recorded."""

    kind: str
    signature: Signature
    request: Request
    movements: Sequence[Movement] = ()
    facts: Sequence[Fact] = ()
    document: str | None = None
    reverses: int | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Recorded:
    """What became of a draft: its number, and whether it was there already."""

    number: int
    already: bool = False
    warnings: tuple[str, ...] = field(default=())


HEAD = (
    "number", "kind", "happened_on", "happened_at", "booked_on", "recorded_at", "by", "checked_by",
    "reason", "comment", "document", "request_key", "request_digest", "reverses",
)  # fmt: skip
"""The parts of an entry's head in the order of the checksum."""


@dataclass(frozen=True, slots=True)
class Entry:
    """The head of a recorded entry."""

    number: int
    kind: str
    happened_on: str
    happened_at: str | None
    booked_on: str
    recorded_at: str
    by: str
    checked_by: str | None
    reason: str | None
    comment: str | None
    document: str | None
    request_key: str
    request_digest: str
    reverses: int | None
    previous: str
    checksum: str
    movement_count: int
    change_count: int


MovementRow = tuple[int, int, int, str, str, str | None, str | None, int]
"""Lot, quantity, value, from, to, case, reason, seen (0 or 1): the order of the checksum."""

ChangeRow = tuple[str, str, str]
"""Kind, code, canonical JSON."""


def movement_row(move: Movement) -> MovementRow:
    """A movement as plain values in the order of the checksum; whole numbers alone (rule 1)."""
    for amount in (move.quantity, move.value):
        if type(amount) is not int or not 0 <= amount < LIMIT:
            raise Refused(f"Lot {move.lot}: {amount!r} is no whole number below 2^53.")
    return (
        move.lot, move.quantity, move.value, move.from_place, move.to_place,
        move.case, move.reason, int(move.seen),
    )  # fmt: skip


def change_row(fact: Fact) -> ChangeRow:
    """A fact as the plain values of its change."""
    return (KIND_OF[type(fact)], str(fact.code), body_of(fact))


_dump = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode


def entry_text(
    head: Sequence[int | str | None],
    movements: Iterable[MovementRow],
    changes: Iterable[ChangeRow],
) -> str:
    """The canonical JSON of an entry: `[head, movements, changes]`, no spaces."""
    bodies = ",".join(f"[{_dump(kind)},{_dump(code)},{body}]" for kind, code, body in changes)
    return f"[{_dump(head)},{_dump(list(movements))},[{bodies}]]"


def checksum(previous: str, text: str) -> str:
    """SHA-256 (FIPS 180-4) over the versioned prefix, the previous checksum and the entry.

    >>> checksum("", "")[:16] == hashlib.sha256(b"stockbook entry 1\\n\\n").hexdigest()[:16]
    True
    """
    return hashlib.sha256(f"{PREFIX}\n{previous}\n{text}".encode()).hexdigest()


def digest_of(asked: object) -> str:
    """A digest of what was asked, so that asking twice is noticed."""
    return hashlib.sha256(canonical(asked).encode()).hexdigest()
