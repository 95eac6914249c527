"""A theatre in plain dicts: what random days should leave behind, without the ledger's code."""

from dataclasses import dataclass, field
from fractions import Fraction

Line = tuple[int, int, int, str, str, str | None]
"""Lot, quantity, value, from, to, case."""

STOCK = ("STORE", "OT1", "QUAR", "trolley/OT1")
CASES = ("trolley/OT1", "used/paid", "used/free", "waste/paid", "waste/free")


class Impossible(Exception):
    """The book has to refuse this."""


def part(value: int, quantity: int, taken: int) -> int:
    """Rule 4: in proportion, half to even (as `round` does to a fraction); the last takes all."""
    return value if taken == quantity else round(Fraction(value * taken, quantity))


@dataclass
class Lot:
    """What a delivery line brought."""

    code: int
    item: str
    number: str
    expires_on: str


@dataclass
class Model:
    """Stock by place and lot, a case's units by place and lot, entries as lists of lines."""

    stock: dict[tuple[str, int], tuple[int, int]] = field(default_factory=dict)
    cases: dict[tuple[str, str, int], tuple[int, int]] = field(default_factory=dict)
    lots: dict[int, Lot] = field(default_factory=dict)
    entries: dict[int, list[Line]] = field(default_factory=dict)
    stopped: dict[str, str] = field(default_factory=dict)
    staged: dict[str, list[list]] = field(default_factory=dict)

    def copy(self) -> "Model":
        """A model to try on."""
        staged = {case: [list(unit) for unit in units] for case, units in self.staged.items()}
        return Model(dict(self.stock), dict(self.cases), dict(self.lots), dict(self.entries),
                     dict(self.stopped), staged)  # fmt: skip

    def apply(self, lines: list[Line]) -> None:
        """Both sides of every line, in order."""
        for lot, quantity, value, start, end, case in lines:
            for place, sign in ((start, -1), (end, 1)):
                if place in STOCK:
                    _add(self.stock, (place, lot), sign * quantity, sign * value)
                if case and place in CASES:
                    _add(self.cases, (case, place, lot), sign * quantity, sign * value)

    def usable(self, item: str, places: tuple[str, ...], day: str) -> list[tuple[str, int]]:
        """Rule 6, for items with no least days and lots of no terms; lots grow with receipt."""
        keys = [
            (places.index(place), self.lots[lot].expires_on, lot, place)
            for place, lot in self.stock
            if place in places and self.lots[lot].item == item
            and self.lots[lot].expires_on >= day
            and self.lots[lot].number not in self.stopped.values()
        ]  # fmt: skip
        return [(place, lot) for _, _, lot, place in sorted(keys)]

    def take(
        self, rows: list[tuple[str, int]], wanted: int, to: str, case: str | None = None
    ) -> list[Line]:
        """Lines that take exactly `wanted` from the rows in their order."""
        lines: list[Line] = []
        for place, lot in rows:
            quantity, value = self.stock[place, lot]
            taken = min(wanted, quantity)
            if taken:
                lines.append((lot, taken, part(value, quantity, taken), place, to, case))
                self.apply(lines[-1:])
                wanted -= taken
        if wanted:
            raise Impossible
        return lines

    def named(self, item: str, number: str, place: str) -> list[tuple[str, int]]:
        """Rows of a printed lot number at one place."""
        keys = [
            (self.lots[lot].expires_on, lot)
            for where, lot in self.stock
            if where == place and (self.lots[lot].item, self.lots[lot].number) == (item, number)
        ]
        return [(place, lot) for _, lot in sorted(keys)]

    def issue(self, case: str, needs: list[tuple[str, int]], day: str) -> list[Line]:
        """Kit lines in order onto the trolley; the units staged, as picked."""
        lines: list[Line] = []
        for item, wanted in needs:
            lines += self.take(self.usable(item, ("OT1", "STORE"), day), wanted, STOCK[3], case)
        staged = self.staged.setdefault(case, [])
        staged += [[lot, quantity, start] for lot, quantity, _, start, _, _ in lines]
        return lines

    def finish(
        self, case: str, category: str, returned: list[tuple[str, int]],
        wasted: list[tuple[str, int]],
    ) -> list[Line]:  # fmt: skip
        """Presumed units leave last picked first; the rest is used, in the order of picking.

        Units of one lot that go the same way are one line, with that line's part of the value.
        """
        ends: dict[tuple[int, str], int] = {}
        for wishes, to in ((returned, None), (wasted, f"waste/{category}")):
            for item, wanted in wishes:
                for unit in reversed(self.staged[case]):
                    if self.lots[unit[0]].item == item:
                        taken = min(wanted, unit[1])
                        wanted -= taken
                        _leave(unit, taken, to or unit[2], ends)
                if wanted:
                    raise Impossible
        for unit in self.staged[case]:
            _leave(unit, unit[1], f"used/{category}", ends)
        self.staged[case] = []
        return [self._line(case, lot, to, taken) for (lot, to), taken in ends.items()]

    def _line(self, case: str, lot: int, to: str, taken: int) -> Line:
        value = part(*reversed(self.cases[case, STOCK[3], lot]), taken)
        self.apply([(lot, taken, value, STOCK[3], to, case)])
        return (lot, taken, value, STOCK[3], to, case)

    def reverse(self, number: int) -> list[Line]:
        """Rule 2: each line back, the last first; what drains a row takes all that is left."""
        lines: list[Line] = []
        for lot, quantity, value, start, end, case in reversed(self.entries[number]):
            if case and end in CASES:
                there = self.cases.get((case, end, lot), (0, 0))
            else:
                there = self.stock.get((end, lot), (0, 0)) if end in STOCK else None
            if there is not None and there[0] < quantity:
                raise Impossible
            if there is not None:
                value = there[1] if there[0] == quantity else min(value, there[1])
            lines.append((lot, quantity, value, end, start, case))
            self.apply(lines[-1:])
        return lines


def _leave(unit: list, taken: int, to: str, ends: dict[tuple[int, str], int]) -> None:
    if taken:
        unit[1] -= taken
        ends[unit[0], to] = ends.get((unit[0], to), 0) + taken


def _add(rows: dict, key: tuple, quantity: int, value: int) -> None:
    there = rows.get(key, (0, 0))
    left = (there[0] + quantity, there[1] + value)
    assert min(left) >= 0, f"the model itself went below nothing at {key}"
    if left == (0, 0):
        rows.pop(key)
    else:
        rows[key] = left
