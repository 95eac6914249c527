"""Balances as they change within an entry that is being prepared."""

import sqlite3
from collections.abc import Iterable
from dataclasses import replace

from stockbook.domain.amounts import value_of_part
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Place
from stockbook.domain.places import SENT_BACK, STOCK_KINDS
from stockbook.ledger.facts import find
from stockbook.ledger.send_backs import left_in_sent_back


class Balances:
    """Quantity and value by place, lot and case, read from the book and carried forward."""

    def __init__(self, db: sqlite3.Connection) -> None:
        """Read lazily; nothing is written."""
        self.db = db
        self._known: dict[tuple[str, int, str | None], tuple[int, int]] = {}
        self._kinds: dict[str, str] = {}

    def at(self, place: str, lot: int, case: str | None) -> tuple[int, int] | None:
        """What is there; none where a place keeps no balance."""
        kind = self._kind(place)
        with_case = case is not None and kind in ("trolley", "used", "waste")
        if kind not in STOCK_KINDS and not with_case and place != SENT_BACK:
            return None
        key = (place, lot, case if with_case else None)
        if key not in self._known:
            self._known[key] = self._read(*key)
        return self._known[key]

    def apply(self, move: Movement) -> None:
        """The movement is counted on both sides."""
        for place, sign in ((move.from_place, -1), (move.to_place, 1)):
            there = self.at(place, move.lot, move.case)
            if there is not None:
                key = (place, move.lot, self._case(place, move.case))
                self._known[key] = (
                    there[0] + sign * move.quantity, there[1] + sign * move.value,
                )  # fmt: skip

    def _case(self, place: str, case: str | None) -> str | None:
        return case if self._kind(place) in ("trolley", "used", "waste") else None

    def _kind(self, place: str) -> str:
        if place not in self._kinds:
            found = find(self.db, Place, place)
            self._kinds[place] = found.kind if found else ""
        return self._kinds[place]

    def _read(self, place: str, lot: int, case: str | None) -> tuple[int, int]:
        if place == SENT_BACK:
            return left_in_sent_back(self.db, [lot]).get(lot, (0, 0))
        if case is None:
            sql = "SELECT quantity, value FROM on_hand WHERE place = ? AND lot = ?"
            row = self.db.execute(sql, (place, lot)).fetchone()
        else:
            sql = (
                "SELECT quantity, value FROM case_balance "
                "WHERE place = ? AND lot = ? AND case_code = ?"
            )
            row = self.db.execute(sql, (place, lot, case)).fetchone()
        return (int(row[0]), int(row[1])) if row else (0, 0)


def in_proportion(db: sqlite3.Connection, moves: Iterable[Movement]) -> list[Movement]:
    """The movements with the value each takes in their order (rule 4), whatever came before.

    What comes from where no balance is kept, and what has no units, keeps its value.
    """
    balances = Balances(db)
    made = []
    for move in moves:
        there = balances.at(move.from_place, move.lot, move.case)
        if there is not None and 0 < move.quantity <= there[0]:
            value = value_of_part(there[1], there[0], move.quantity)
            move = replace(move, value=value)
        balances.apply(move)
        made.append(move)
    return made
