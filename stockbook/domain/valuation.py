"""A period's stock valued by lot, first in first out and by moving average, side by side.

By lot is the ledger as it is. The other two follow the same movements in the order of their
entries, an item's owned units over the whole site as one; consigned units are not owned and
count at their charge. LIFO is not offered: IAS 2 does not allow it.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stockbook.domain.amounts import half_even
from stockbook.domain.cost_flows import (
    AVERAGE,
    DIFFERENCE,
    FIFO,
    LOT,
    RECEIVED,
    SIDE,
    STOCK,
    USED,
    CostFlow,
    GoneKey,
    ValuedLot,
    ValuedMove,
)
from stockbook.errors import InputError

METHODS = (LOT, FIFO, AVERAGE)


def methods_typed(words: Iterable[str]) -> tuple[str, ...]:
    """The methods asked for, each once, by lot first: it always stands beside the others."""
    asked = {word.strip().lower() for word in words}
    for word in sorted(asked.difference(METHODS)):
        why = " LIFO is not offered, because IAS 2 does not allow it." if word == "lifo" else ""
        raise InputError(f"--method: found {word!r}, wanted lot, fifo or average.{why}")
    return tuple(method for method in METHODS if method == LOT or method in asked)


@dataclass(slots=True)
class MethodSums:
    """A period by one method, in minor units: opening + received - used + differences = closing.

    `received` is net of what was sent back, with opening stock and what was made; `used` has
    the waste in it; `differences` are what counts found (more than nothing) or missed.
    """

    opening: int = 0
    received: int = 0
    used: int = 0
    differences: int = 0

    @property
    def closing(self) -> int:
        """What is left at the period's end."""
        return self.opening + self.received - self.used + self.differences

    def add(self, other: "MethodSums") -> None:
        """The other's figures are in these too."""
        self.opening += other.opening
        self.received += other.received
        self.used += other.used
        self.differences += other.differences


@dataclass(frozen=True, slots=True)
class MethodCosts:
    """A period's classes by each method asked for, and the entry it stands on."""

    first_day: str
    last_day: str
    days: int
    by_class: Mapping[str, Mapping[str, MethodSums]]
    total: Mapping[str, MethodSums]
    last_entry: int
    checksum: str

    @property
    def methods(self) -> tuple[str, ...]:
        """The methods side by side, by lot first."""
        return tuple(self.total)


@dataclass(slots=True)
class Valuation:
    """Movements followed in the order of their entries, by each method, summed for a period.

    What a movement is worth hangs on the entries before it alone, never on the period asked
    for: one period's closing is the next one's opening.
    """

    methods: Sequence[str]
    period: tuple[str, str]
    lots: Mapping[int, ValuedLot]
    undone: Collection[GoneKey] = frozenset()
    flows: dict[tuple[str, str], CostFlow] = field(default_factory=dict)
    sums: dict[str, dict[str, MethodSums]] = field(default_factory=dict)

    def follow(self, moves: Iterable[ValuedMove]) -> None:
        """The movements are counted in every method."""
        first, last = self.period
        for move in moves:
            lot = self.lots[move.lot]
            by_lot = _by_lot(move)
            phase = 0 if move.booked_on < first else 1 if move.booked_on <= last else 2
            for method, sums in self._sums_of(lot.item_class).items():
                received, used, differences = by_lot
                if method != LOT and not lot.consigned:
                    gap = self._gap(method, move, lot)
                    if DIFFERENCE in (SIDE[move.from_kind], SIDE[move.to_kind]):
                        differences -= gap
                    else:
                        used += gap
                if phase == 0:
                    sums.opening += received - used + differences
                elif phase == 1:
                    sums.received += received
                    sums.used += used
                    sums.differences += differences

    def total(self) -> dict[str, MethodSums]:
        """All classes together, by method."""
        total = {method: MethodSums() for method in self.methods}
        for sums in self.sums.values():
            for method, of_class in sums.items():
                total[method].add(of_class)
        return total

    def _sums_of(self, item_class: str) -> dict[str, MethodSums]:
        found = self.sums.get(item_class)
        if found is None:
            found = self.sums[item_class] = {method: MethodSums() for method in self.methods}
        return found

    def _gap(self, method: str, move: ValuedMove, lot: ValuedLot) -> int:
        """How much more stock the ledger has by this movement than the method: that is cost."""
        flow = self.flows.get((lot.item, method))
        if flow is None:
            flow = self.flows[lot.item, method] = CostFlow(method)
        change = flow.change(move, lot, self.undone)
        if SIDE[move.to_kind] == STOCK:
            return move.value - change
        return -move.value - change if SIDE[move.from_kind] == STOCK else -change


def _by_lot(move: ValuedMove) -> tuple[int, int, int]:
    """Received, used and differences as the ledger has them."""
    source, target, value = SIDE[move.from_kind], SIDE[move.to_kind], move.value
    if source == STOCK and target == USED:
        return 0, value, 0
    return (
        value * ((source == RECEIVED) - (target == RECEIVED)),
        value * ((target == USED) - (source == USED)),
        value * ((source == DIFFERENCE) - (target == DIFFERENCE)),
    )


def cost_of_goods_used(opening: int, received: int, closing: int) -> int:
    """What was used, from what was there, what came and what is left.

    A closing counted too low makes the year dearer and the next one cheaper by as much
    (OpenStax, Principles of Accounting Vol. 1, ch. 10 s. 10.4).

    >>> cost_of_goods_used(3150, 13005, 8955), cost_of_goods_used(3150, 13005, 7455)
    (7200, 8700)
    """
    return opening + received - closing


def turnover_hundredths(used: int, opening: int, closing: int) -> int | None:
    """How often the stock was used up: cost over the mean of opening and closing, in hundredths.

    OpenStax, Principles of Accounting Vol. 1, ch. 10 s. 10.5; none where nothing was there.

    >>> turnover_hundredths(7200, 3150, 8955)
    119
    """
    return half_even(200 * used, opening + closing) if opening + closing > 0 else None


def days_in_stock_thousandths(days: int, used: int, opening: int, closing: int) -> int | None:
    """How many days the mean stock lasts at this use, in thousandths; none without use.

    OpenStax, Principles of Accounting Vol. 1, ch. 10 s. 10.5, where 365 is divided by the
    turnover; here the turnover is not rounded first.

    >>> days_in_stock_thousandths(365, 7200, 3150, 8955)
    306828
    """
    return half_even(500 * days * (opening + closing), used) if used > 0 else None


def lower_of_cost_and_market(lines: Iterable[tuple[int, int]]) -> int:
    """The stock at the lower of cost and market (net realisable value), line by line.

    IAS 2 paragraph 29: item by item; a gain in one never covers the loss in another.

    >>> lower_of_cost_and_market([(360, 350), (500, 500), (72, 96)])
    922
    """
    return sum(min(cost, market) for cost, market in lines)
