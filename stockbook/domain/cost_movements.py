"""The movements behind the figures of a cost page: each with the figure and the name it is in."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from stockbook.domain.facts import Item, Lot
from stockbook.domain.list_shares import Part
from stockbook.domain.overhead import CaseOverhead

ENDS = ("used/", "waste/")


class EndedMove(NamedTuple):
    """A movement that brought something to use or waste, or took it back; steps, minor units."""

    entry: int
    booked_on: str
    kind: str
    case: str | None
    lot: int
    quantity: int
    value: int
    from_place: str
    to_place: str
    seen: bool
    reason: str | None


class Traced(NamedTuple):
    """A movement as a figure counts it: what left an end again is taken off it."""

    figure: str
    name: str
    move: EndedMove
    quantity: int
    value: int


Named = Callable[[EndedMove, str], tuple[str, str] | None]
"""Of a movement and the end it touches: the figure and the name it counts in; none: in none."""


def traced(moves: Iterable[EndedMove], named: Named) -> list[Traced]:
    """Every movement once for each end it touches that counts, sorted by figure and name."""
    found = []
    for move in moves:
        for place, sign in ((move.to_place, 1), (move.from_place, -1)):
            where = named(move, place) if place.startswith(ENDS) else None
            if where is not None:
                found.append(Traced(*where, move, sign * move.quantity, sign * move.value))
    return sorted(found, key=lambda one: (one.figure, one.name))


@dataclass(frozen=True, slots=True)
class CostMovements:
    """What stands behind a cost page; `by` says what names are."""

    title: str
    by: str
    rows: tuple[Traced, ...]
    lots: Mapping[int, Lot]
    items: Mapping[str, Item]
    overheads: tuple[CaseOverhead, ...]
    parts: tuple[Part, ...]
    """Of what lists used in common, whose movements are those of *common*."""
    last_entry: int
    checksum: str

    def sums(self) -> list[tuple[str, str, int, int]]:
        """Figure, name, how many movements, and their value: the very figure of the page."""
        found: dict[tuple[str, str], list[int]] = {}
        for one in self.rows:
            both = found.setdefault((one.figure, one.name), [0, 0])
            both[0] += 1
            both[1] += one.value
        return [(*key, count, value) for key, (count, value) in found.items()]
