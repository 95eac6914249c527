"""Traces: which cases a lot reached for certain, and which it may have reached."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from stockbook.domain.facts import Lot


class TracedMove(NamedTuple):
    """A movement of one item with its entry and the kinds of its places; made by the thousand."""

    entry: int
    happened_on: str
    kind: str
    lot: int
    number: str
    quantity: int
    from_place: str
    to_place: str
    from_kind: str
    to_kind: str
    case: str | None
    seen: bool
    undone: bool = False


@dataclass(frozen=True, slots=True)
class Reached:
    """A case and how the lot reached it: the last move that says so and how many steps."""

    case: str
    move: TracedMove
    presumed: bool


@dataclass(frozen=True, slots=True)
class LotTrace:
    """A printed lot's way: its moves, the cases it reached for certain, those it may have."""

    lots: tuple[Lot, ...]
    moves: tuple[TracedMove, ...]
    certain: tuple[Reached, ...]
    possible: tuple[Reached, ...]
    left: int


_ENDS = {"used", "waste", "sent back"}
_SHELVES = {"store", "theatre", "in use", "quarantine"}


class _Walk:
    """Walks the item's movements in the order of recording and keeps where the lot may lie."""

    def __init__(self, lots: Collection[int]) -> None:
        self.lots = lots
        self.open: set[str | tuple[str, str | None]] = set()
        """Places where the lot may lie; of a trolley the one case it may lie there for."""
        self.certain: dict[str, TracedMove] = {}
        self.possible: dict[str, TracedMove] = {}
        self.presumed: set[str] = set()
        self.unaccounted = 0
        self.on_trolley: dict[str | None, int] = {}
        self.certain_with: dict[str, int] = {}
        self.possible_with: dict[str, int] = {}
        """Steps that a case has, certain and possible apart."""

    def step(self, move: TracedMove) -> None:
        ours = move.lot in self.lots
        if ours and move.from_kind in ("supplier", "opening", "difference"):
            self.unaccounted += move.quantity
        if ours and move.seen:
            self._certain(move)
        elif not move.seen and (ours or self._came_from(move)):
            self._possible(move, presumed=ours)
        if ours and move.seen:
            self._account(move)
        if self.unaccounted <= 0:
            self.open.clear()

    def _account(self, move: TracedMove) -> None:
        """Seen units on a trolley or at their end are accounted for; returned ones are not."""
        if move.to_kind == "trolley":
            self.on_trolley[move.case] = self.on_trolley.get(move.case, 0) + move.quantity
            self.unaccounted -= move.quantity
        elif move.from_kind == "trolley":
            counted = min(move.quantity, self.on_trolley.get(move.case, 0))
            self.on_trolley[move.case] = self.on_trolley.get(move.case, 0) - counted
            ended = move.quantity if move.to_kind in _ENDS else 0
            self.unaccounted += counted - ended
        elif move.to_kind in _ENDS:
            self.unaccounted -= move.quantity

    def _came_from(self, move: TracedMove) -> bool:
        place = move.from_place
        return (place if move.from_kind != "trolley" else (place, move.case)) in self.open

    def _opens(self, move: TracedMove) -> None:
        if move.to_kind == "trolley":
            self.open.add((move.to_place, move.case))
        elif move.to_kind in _SHELVES:
            self.open.add(move.to_place)

    def _certain(self, move: TracedMove) -> None:
        self._opens(move)
        self._reach(self.certain, self.certain_with, move)

    def _possible(self, move: TracedMove, *, presumed: bool) -> None:
        if self.unaccounted <= 0:
            return
        self._opens(move)
        if presumed and move.case:
            self.presumed.add(move.case)
        self._reach(self.possible, self.possible_with, move)

    def _reach(
        self, reached: dict[str, TracedMove], held_by: dict[str, int], move: TracedMove
    ) -> None:
        """A case is reached while any of it stays; all of it returned unopened, it was not."""
        if not move.case:
            return
        into, out = move.to_kind not in _SHELVES, move.from_kind not in _SHELVES
        held = held_by.get(move.case, 0) + (into - out) * move.quantity
        held_by[move.case] = held
        if held > 0 or (into and out):
            reached[move.case] = move
        elif reached.pop(move.case, None) and reached is self.possible:
            self.presumed.discard(move.case)


def trace_lot(lots: Collection[Lot], moves: Iterable[TracedMove]) -> LotTrace:
    """Certain (seen) and possible (drawn unseen from where the lot may have lain) apart.

    `moves` are all movements of the item in the order of recording. A movement that was
    reversed, and the reversal itself, say nothing about where the lot went.
    """
    codes = {lot.code for lot in lots}
    walk = _Walk(codes)
    own = []
    for move in sorted(moves, key=lambda m: 2 * m.entry + (m.lot not in codes)):
        if move.lot in codes:
            own.append(move)
        if not move.undone and move.quantity:
            walk.step(move)
    certain = tuple(Reached(case, move, presumed=False) for case, move in walk.certain.items())
    possible = tuple(
        Reached(case, move, case in walk.presumed)
        for case, move in walk.possible.items() if case not in walk.certain
    )  # fmt: skip
    left = sum(_sign(m) * m.quantity for m in own)
    return LotTrace(tuple(lots), tuple(own), certain, possible, left)


def _sign(move: TracedMove) -> int:
    stock = _SHELVES | {"trolley"}
    return int(move.to_kind in stock) - int(move.from_kind in stock)
