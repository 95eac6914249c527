"""Finishing a case: every staged unit ends as used, wasted or returned; pure bookkeeping."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.amounts import value_of_part
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Lot
from stockbook.errors import Refused


@dataclass(frozen=True, slots=True)
class Staged:
    """Units of one lot on the case's trolley: where they were drawn from and whether seen."""

    lot: Lot
    quantity: int
    drawn_from: str
    seen: bool


@dataclass(frozen=True, slots=True)
class Ending:
    """Where part of an item goes at the finish; a named lot is seen, else presumed last first."""

    item: str
    quantity: int
    to: str
    """`returned`, or the code of a used or waste place."""
    reason: str | None = None
    number: str | None = None


@dataclass(frozen=True, slots=True)
class Scanned:
    """Units read from their packs in theatre, in finest steps; `lot` as printed, or a serial."""

    item: str
    quantity: int
    lot: str | None = None
    expiry: str | None = None
    what: str = "used"
    """`used`, `returned`, or the reason for which it was wasted."""


class Trolley:
    """A case's units while it is finished: taken last picked first, valued by rule 4."""

    def __init__(
        self, case: str, place: str, staged: Sequence[Staged], values: dict[int, tuple[int, int]]
    ) -> None:
        """`values` is each lot's quantity and value on the trolley for this case."""
        self.case = case
        self.place = place
        self.staged = list(staged)
        self.values = dict(values)

    def add(self, unit: Staged, value: int) -> None:
        """One more thing came onto the trolley in this entry."""
        self.staged.append(unit)
        quantity, before = self.values.get(unit.lot.code, (0, 0))
        self.values[unit.lot.code] = (quantity + unit.quantity, before + value)

    def see(self, item: str, number: str, most: int | None = None) -> int:
        """Units of a printed lot are seen from now on; how many of it lie here, at most so many."""
        seen = 0
        for unit in list(self.staged):
            if unit.lot.item != item or number not in (unit.lot.number, unit.lot.serial):
                continue
            part = unit.quantity if most is None else min(unit.quantity, most - seen)
            if part and not unit.seen:
                self._split(unit, part)
            seen += part
        return seen

    def _split(self, unit: Staged, part: int) -> None:
        """So much of a unit is seen; the rest stays presumed."""
        index = self.staged.index(unit)
        halves = [Staged(unit.lot, part, unit.drawn_from, seen=True)]
        if part < unit.quantity:
            halves.append(Staged(unit.lot, unit.quantity - part, unit.drawn_from, seen=False))
        self.staged[index : index + 1] = halves

    def presumed(self, item: str) -> list[Staged]:
        """What of an item nobody has seen yet, the last picked first."""
        return [unit for unit in reversed(self.staged) if unit.lot.item == item and not unit.seen]

    def end(self, ending: Ending) -> list[Movement]:
        """The movements by which units leave as the ending says."""
        moves: list[Movement] = []
        left = ending.quantity
        for unit in self._in_order(ending):
            if not left:
                break
            part = min(left, unit.quantity)
            moves.append(self._leave(unit, part, ending))
            left -= part
        if left:
            raise Refused(
                f"case {self.case}: more of {ending.item} than lies on its trolley is named. "
                "What was used besides the kit is an --extra; look with 'stockbook trace'."
            )
        return moves

    def rest(self, to: str, reason: str | None = None) -> list[Movement]:
        """Everything left ends at one place, or is returned."""
        return [
            self._leave(unit, unit.quantity, Ending(unit.lot.item, unit.quantity, to, reason))
            for unit in list(self.staged)
        ]

    def _in_order(self, ending: Ending) -> list[Staged]:
        """Named lots only, or the presumed one picked last first, then the seen ones."""
        units = [u for u in reversed(self.staged) if u.lot.item == ending.item]
        if ending.number is not None:
            return [u for u in units if ending.number in (u.lot.number, u.lot.serial)]
        return sorted(units, key=lambda u: u.seen)

    def _leave(self, unit: Staged, part: int, ending: Ending) -> Movement:
        quantity, value = self.values[unit.lot.code]
        leaving = value_of_part(value, quantity, part)
        self.values[unit.lot.code] = (quantity - part, value - leaving)
        index = self.staged.index(unit)
        if part == unit.quantity:
            del self.staged[index]
        else:
            self.staged[index] = Staged(unit.lot, unit.quantity - part, unit.drawn_from, unit.seen)
        to = unit.drawn_from if ending.to == "returned" else ending.to
        seen = unit.seen or ending.number is not None
        return Movement(
            unit.lot.code, part, leaving, self.place, to, self.case, ending.reason, seen
        )


def joined(moves: Sequence[Movement]) -> list[Movement]:
    """Movements alike but for amount as one, in the order in which each kind first came."""
    sums: dict[tuple[object, ...], Movement] = {}
    for m in moves:
        key = (m.lot, m.from_place, m.to_place, m.case, m.reason, m.seen)
        there = sums.get(key)
        quantity, value = (there.quantity, there.value) if there else (0, 0)
        sums[key] = Movement(
            m.lot, m.quantity + quantity, m.value + value, m.from_place, m.to_place, m.case,
            m.reason, m.seen,
        )  # fmt: skip
    return list(sums.values())


def valued(moves: Sequence[Movement], there: Mapping[int, tuple[int, int]]) -> list[Movement]:
    """The movements with the value each takes in their order (rule 4).

    `there` is each lot's quantity and value before the first of them; joining movements changes
    their order, and with it who takes the odd minor unit.
    """
    left = dict(there)
    made = []
    for move in moves:
        quantity, value = left[move.lot]
        part = value_of_part(value, quantity, move.quantity)
        left[move.lot] = (quantity - move.quantity, value - part)
        made.append(replace(move, value=part))
    return made
