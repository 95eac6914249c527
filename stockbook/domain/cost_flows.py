"""How units flow through layers of cost: first in first out, or one layer at the mean."""

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import NamedTuple

from stockbook.domain.amounts import value_of_part
from stockbook.domain.places import STOCK_KINDS

LOT, FIFO, AVERAGE = "lot", "fifo", "average"


class ValuedLot(NamedTuple):
    """What a valuation knows of a lot; quantity is what came, in finest steps."""

    item: str
    item_class: str
    consigned: bool
    quantity: int


class ValuedMove(NamedTuple):
    """A movement that touches more than stock places; value in minor units."""

    booked_on: str
    reversal: bool
    lot: int
    quantity: int
    value: int
    from_kind: str
    to_kind: str
    case: str | None


STOCK, RECEIVED, USED, DIFFERENCE = "stock", "received", "used", "difference"
SIDE = dict.fromkeys(STOCK_KINDS, STOCK) | {
    "supplier": RECEIVED, "opening": RECEIVED, "reprocessing": RECEIVED,
    "sent back": RECEIVED, "used": USED, "waste": USED, "difference": DIFFERENCE,
}  # fmt: skip
"""On which side of a period's account each kind of place stands."""

GoneKey = tuple[int, str | None, str]
"""A lot, its case and a kind of place that units went to and came back from later."""


def gone_key(lot: int, case: str | None, kind: str) -> GoneKey:
    """Where to look for units that come back; used and waste are one."""
    return lot, case, "used" if kind == "waste" else kind


Taken = tuple[int, int, int]
"""Out of which layer, how many finest steps, worth how much."""


@dataclass(slots=True)
class CostFlow:
    """One item's owned units by one method: layers of quantity and value, oldest first.

    FIFO has a layer for each lot (lots are numbered in the order of booking), the moving
    average one layer for all. Each part leaves a layer by rule 4, so that nothing is lost.
    """

    method: str
    layers: dict[int, list[int]] = field(default_factory=dict)
    gone: dict[GoneKey, list[Taken]] = field(default_factory=dict)
    back: dict[int, int] = field(default_factory=dict)
    """By lot, what was sent back: no bill brings anything to it here."""

    @property
    def value(self) -> int:
        """What all layers are worth, in minor units."""
        return sum(value for _, value in self.layers.values())

    def change(self, move: ValuedMove, lot: ValuedLot, undone: Collection[GoneKey]) -> int:
        """The movement is followed; how much more, or less, the stock is worth by it."""
        inward, outward = SIDE[move.to_kind] == STOCK, SIDE[move.from_kind] == STOCK
        if not move.quantity:
            return self._value_alone(move, lot, outward=outward)
        if "sent back" in (move.from_kind, move.to_kind):
            less = move.quantity if outward else -move.quantity
            self.back[move.lot] = self.back.get(move.lot, 0) + less
        if outward:
            return -self._took(move, undone)
        if not inward:
            return 0
        if _undoes(move):
            return self._put_back(move)
        self._put(self._key(move.lot), move.quantity, move.value)
        return move.value

    def _key(self, lot: int) -> int:
        return lot if self.method == FIFO else 0

    def _put(self, key: int, quantity: int, value: int) -> None:
        layer = self.layers.get(key)
        if layer is not None:
            layer[0] += quantity
            layer[1] += value
            return
        newest = next(reversed(self.layers), key)
        self.layers[key] = [quantity, value]
        if key < newest:
            self.layers = dict(sorted(self.layers.items()))

    def _took(self, move: ValuedMove, undone: Collection[GoneKey]) -> int:
        """What leaves: what goes back where it came from at its own value, else oldest first."""
        taken = []
        quantity = move.quantity
        own = self._key(move.lot)
        if own in self.layers and _goes_back(move):
            part = min(quantity, self.layers[own][0])
            worth = value_of_part(move.value, quantity, part)
            taken.append(self._leave(own, part, min(worth, self.layers[own][1])))
            quantity -= part
        while quantity and self.layers:
            key, (there, worth) = next(iter(self.layers.items()))
            part = min(quantity, there)
            taken.append(self._leave(key, part, value_of_part(worth, there, part)))
            quantity -= part
        key_of_gone = gone_key(move.lot, move.case, move.to_kind)
        if key_of_gone in undone:
            self.gone.setdefault(key_of_gone, []).extend(taken)
        return sum(value for _, _, value in taken)

    def _leave(self, key: int, quantity: int, value: int) -> Taken:
        """Units leave a layer; the last take what is left there."""
        layer = self.layers[key]
        if quantity == layer[0]:
            del self.layers[key]
            return key, quantity, layer[1]
        layer[0] -= quantity
        layer[1] -= value
        return key, quantity, value

    def _put_back(self, move: ValuedMove) -> int:
        """Units come back as they went, the last first; unknown ones at the ledger's value."""
        went = self.gone.get(gone_key(move.lot, move.case, move.from_kind), [])
        quantity = move.quantity
        worth = 0
        while quantity and went:
            key, there, value = went.pop()
            part = min(quantity, there)
            back = value_of_part(value, there, part)
            if part < there:
                went.append((key, there - part, value - back))
            self._put(key, part, back)
            quantity, worth = quantity - part, worth + back
        if quantity:
            rest = value_of_part(move.value, move.quantity, quantity)
            self._put(self._key(move.lot), quantity, rest)
            worth += rest
        return worth

    def _value_alone(self, move: ValuedMove, lot: ValuedLot, *, outward: bool) -> int:
        """A bill, or its reversal, changes what is still there of the lot; so a write-down.

        What was sent back is there no more, whatever is credited for it.
        """
        if "sent back" in (move.from_kind, move.to_kind):
            return 0
        source, target = SIDE[move.from_kind], SIDE[move.to_kind]
        layer = self.layers.get(self._key(move.lot))
        if source == target or layer is None:
            return 0
        value = move.value
        if RECEIVED in (source, target):
            came = lot.quantity - self.back.get(move.lot, 0)
            value = value_of_part(value, came, min(layer[0], came)) if came else 0
        if outward or target == RECEIVED:
            value = -min(value, layer[1])
        layer[1] += value
        return value


def _undoes(move: ValuedMove) -> bool:
    """Whether units come back; what is found at a count came from nowhere."""
    if move.from_kind == "difference":
        return bool(move.reversal)
    return move.from_kind in ("used", "waste", "sent back")


def _goes_back(move: ValuedMove) -> bool:
    """Whether units leave as what they came as: a delivery undone, sent back, found by mistake."""
    side = SIDE[move.to_kind]
    return side == RECEIVED or (side == DIFFERENCE and bool(move.reversal))
