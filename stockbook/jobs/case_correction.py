"""Correcting a finished case by an entry of differences: its category, what it used and wasted."""

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, field

from stockbook.domain.amounts import value_of_part
from stockbook.domain.case_changes import CaseChange
from stockbook.domain.entries import Movement, Signature
from stockbook.domain.facts import Case, Lot
from stockbook.domain.finishing import Ending, Staged, Trolley
from stockbook.domain.places import trolley_place, used_place, waste_place
from stockbook.errors import Refused
from stockbook.jobs.consigned import charges_for, credit_for
from stockbook.jobs.finding import known_item, quantity_of, shown
from stockbook.jobs.finish import FinishAsked, against_rules, onto_trolley
from stockbook.jobs.hand import Hand
from stockbook.jobs.preparing import list_of, prepare
from stockbook.jobs.trolley import endings
from stockbook.ledger.balances import in_proportion
from stockbook.ledger.cases import EndedPart, case_rows, ended_parts, moves_of_case
from stockbook.ledger.stock import lots_by_code

ENDS = ("used/", "waste/")


def moved_to_category(db: sqlite3.Connection, case: Case, category: str) -> list[Movement]:
    """All that a case used and wasted, in units and money, ends in another category."""
    targets = {"used": used_place(category), "waste": waste_place(category)}
    left = {(row.place, row.lot): (row.quantity, row.value) for row in case_rows(db, case.code)}
    moves = []
    for part in ended_parts(db, case.code):
        target = targets[part.place.partition("/")[0]]
        if part.place == target:
            continue
        quantity, value = left[part.place, part.lot]
        leaving = value_of_part(value, quantity, part.quantity)
        left[part.place, part.lot] = (quantity - part.quantity, value - leaving)
        moves.append(
            Movement(part.lot, part.quantity, leaving, part.place, target, case.code,
                     part.reason, part.seen)
        )  # fmt: skip
    return moves


@dataclass
class Ended:
    """What a case used, while units of it are taken back; valued by rule 4."""

    case: str
    place: str
    parts: list[EndedPart]
    values: dict[int, tuple[int, int]]
    lots: Mapping[int, Lot]
    drawn: dict[int, list[tuple[str, int]]]
    moves: list[Movement] = field(default_factory=list)

    def take_back(self, trolley: Trolley, item: str, quantity: int, *, doubted: bool) -> None:
        """Units of an item that were recorded as used lie on the trolley again.

        The presumed ones come first, the last picked first; what is `doubted` counts as presumed.
        """
        left = quantity
        parts = [p for p in reversed(self.parts) if self.lots[p.lot].item == item]
        for part in sorted(parts, key=lambda p: p.seen):
            taken = min(left, part.quantity)
            if taken:
                self._back(trolley, part, taken, doubted=doubted)
            left -= taken
        if left:
            raise Refused(f"case {self.case}: more of {item} than it used is named as not used.")

    def _back(self, trolley: Trolley, part: EndedPart, quantity: int, *, doubted: bool) -> None:
        lot = self.lots[part.lot]
        there, value = self.values[lot.code]
        leaving = value_of_part(value, there, quantity)
        credit = credit_for(lot, leaving, trolley.place, self.case)
        self.values[lot.code] = (there - quantity, value - leaving)
        self.moves.append(
            Movement(lot.code, quantity, leaving, self.place, trolley.place, self.case, None,
                     part.seen)
        )  # fmt: skip
        self.moves += [credit] if credit else []
        carried = 0 if credit else leaving
        seen = part.seen and not doubted
        for place, share in self._drawn_from(lot.code, quantity):
            trolley.add(Staged(lot, share, place, seen), 0)
        units, before = trolley.values[lot.code]
        trolley.values[lot.code] = (units, before + carried)
        self._lessen(part, quantity)

    def _lessen(self, part: EndedPart, quantity: int) -> None:
        rest = EndedPart(part.place, part.lot, part.quantity - quantity, part.reason, part.seen)
        at = self.parts.index(part)
        self.parts[at : at + 1] = [rest] if rest.quantity else []

    def _drawn_from(self, lot: int, quantity: int) -> list[tuple[str, int]]:
        """The shelves from which these units came, the last one first."""
        found = []
        while quantity:
            place, there = self.drawn[lot].pop()
            part = min(quantity, there)
            found.append((place, part))
            quantity -= part
            if there > part:
                self.drawn[lot].append((place, there - part))
        return found


def _ended(db: sqlite3.Connection, case: Case) -> Ended:
    place = used_place(case.category)
    parts = [part for part in ended_parts(db, case.code) if part.place == place]
    values = {r.lot: (r.quantity, r.value) for r in case_rows(db, case.code, place)}
    return Ended(
        case.code, place, parts, values, lots_by_code(db, set(values)), _drawn(db, case.code)
    )


def _drawn(db: sqlite3.Connection, case: str) -> dict[int, list[tuple[str, int]]]:
    """For each lot the shelves from which a case still has units, in order of drawing."""
    net: dict[int, dict[str, int]] = {}
    for move in moves_of_case(db, case):
        of_lot = net.setdefault(move.lot, {})
        if move.to_place.startswith("trolley/") and not move.from_place.startswith(ENDS):
            of_lot[move.from_place] = of_lot.get(move.from_place, 0) + move.quantity
        elif move.from_place.startswith("trolley/") and not move.to_place.startswith(ENDS):
            of_lot[move.to_place] = of_lot.get(move.to_place, 0) - move.quantity
    return {lot: [(p, q) for p, q in of.items() if q > 0] for lot, of in net.items()}


@dataclass(frozen=True, slots=True)
class Corrected:
    """The movements of an entry of differences, with lots and warnings."""

    moves: list[Movement]
    lots: dict[int, Lot]
    warnings: list[str]
    new_lots: list[Lot]


Amounts = dict[str, int]


def corrected(
    db: sqlite3.Connection, signature: Signature, case: Case, asked: CaseChange
) -> Corrected:
    """What was used, not used or wasted otherwise than the finish said, as movements.

    What was not used goes back where it was drawn, unless it was wasted; what was used or wasted
    besides passes the trolley, picked by rule 6.
    """
    ended = _ended(db, case)
    trolley = Trolley(case.code, trolley_place(list_of(db, case).theatre), [], {})
    back, wasted = _amounts(db, asked.not_used), endings(db, case, (), asked.wasted)
    for item, quantity in back.items():
        ended.take_back(trolley, item, quantity, doubted=False)
    moves = ended.moves
    besides = _first_from_back(trolley, back, wasted, moves)
    _doubt_named(db, ended, trolley, asked)
    extras = [*asked.used, *((e.item, _typed(db, e)) for e in besides)]
    differences = FinishAsked(extras=tuple(extras), hand=Hand(asked.lots))
    prepared = prepare(db, signature, case, (), extras=differences.extras, kit=False)
    onto, hand = onto_trolley(db, signature, prepared, differences, trolley)
    moves += onto
    for ending in besides:
        moves += trolley.end(ending)
    moves += trolley.rest(used_place(case.category))
    moves = in_proportion(db, moves)
    lots = lots_by_code(db, {m.lot for m in moves}) | {lot.code: lot for lot in hand.new_lots}
    moves += charges_for(db, lots, moves)
    warnings = [*hand.warnings, *against_rules(signature, prepared, lots, moves)]
    return Corrected(moves, lots, list(dict.fromkeys(warnings)), hand.new_lots)


def _first_from_back(
    trolley: Trolley, back: Amounts, wasted: list[Ending], moves: list[Movement]
) -> list[Ending]:
    """What came back and was wasted is waste, the rest is returned; what was wasted besides."""
    besides = []
    for ending in wasted:
        part = min(ending.quantity, back.get(ending.item, 0))
        if part:
            back[ending.item] -= part
            moves += trolley.end(Ending(ending.item, part, ending.to, ending.reason))
        if part < ending.quantity:
            rest = ending.quantity - part
            besides.append(Ending(ending.item, rest, ending.to, ending.reason))
    for item, quantity in back.items():
        moves += trolley.end(Ending(item, quantity, "returned")) if quantity else []
    return besides


def _doubt_named(db: sqlite3.Connection, ended: Ended, trolley: Trolley, asked: CaseChange) -> None:
    """Where only the lot was another, the units presumed used come back to be exchanged."""
    drawn = {known_item(db, text).code for text, *_ in (*asked.used, *asked.wasted)}
    for item in dict.fromkeys(known_item(db, text).code for text, _ in asked.lots):
        if item in drawn:
            continue
        parts = [p for p in ended.parts if ended.lots[p.lot].item == item]
        presumed = [p for p in parts if not p.seen] or parts
        quantity = sum(p.quantity for p in presumed)
        ended.take_back(trolley, item, quantity, doubted=True)


def _amounts(db: sqlite3.Connection, typed: tuple[tuple[str, str], ...]) -> Amounts:
    sums: Amounts = {}
    for text, amount in typed:
        item = known_item(db, text)
        sums[item.code] = sums.get(item.code, 0) + quantity_of(item, amount)
    return sums


def _typed(db: sqlite3.Connection, ending: Ending) -> str:
    """An ending's quantity as it would be typed."""
    item = known_item(db, ending.item)
    return shown(item, ending.quantity).split()[0]
