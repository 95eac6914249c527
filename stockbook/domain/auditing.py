"""What an audit of a book found."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One contradiction: where it is and what is wrong."""

    where: str
    what: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """How much was checked, the last entry, and every fault."""

    entries: int
    movements: int
    changes: int
    checksum: str
    faults: tuple[Fault, ...]
