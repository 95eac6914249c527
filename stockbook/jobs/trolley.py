"""What lies on a trolley for a case, and how it leaves: the bookkeeping of one case."""

import sqlite3

from stockbook.domain.facts import Case
from stockbook.domain.finishing import Ending, Staged, Trolley
from stockbook.domain.places import trolley_place, waste_place
from stockbook.domain.reasons import WASTE, reason_from
from stockbook.jobs.finding import known_item, quantity_of
from stockbook.ledger.cases import case_rows, moves_of_case
from stockbook.ledger.stock import lots_by_code


def trolley_of(db: sqlite3.Connection, case: Case, theatre: str) -> Trolley:
    """What lies on the trolley for the case, in the order it was picked."""
    place = trolley_place(theatre)
    rows = case_rows(db, case.code, place)
    lots = lots_by_code(db, {row.lot for row in rows})
    staged: list[Staged] = []
    for move in moves_of_case(db, case.code):
        if move.lot not in lots:
            continue
        if move.to_place == place:
            staged.append(Staged(lots[move.lot], move.quantity, move.from_place, move.seen))
        elif move.from_place == place:
            _unstage(staged, move.lot, move.quantity)
    values = {row.lot: (row.quantity, row.value) for row in rows}
    return Trolley(case.code, place, staged, values)


def _unstage(staged: list[Staged], lot: int, quantity: int) -> None:
    """Units that left the trolley earlier are no longer staged, the last picked first."""
    for index in range(len(staged) - 1, -1, -1):
        unit = staged[index]
        if unit.lot.code != lot or not quantity:
            continue
        part = min(quantity, unit.quantity)
        quantity -= part
        staged[index] = Staged(unit.lot, unit.quantity - part, unit.drawn_from, unit.seen)
    staged[:] = [unit for unit in staged if unit.quantity]


def endings(
    db: sqlite3.Connection, case: Case, returned: tuple[tuple[str, str], ...],
    wasted: tuple[tuple[str, str, str], ...],
) -> list[Ending]:  # fmt: skip
    """What comes back and what was wasted, as typed."""
    made = []
    for text, amount in returned:
        item = known_item(db, text)
        made.append(Ending(item.code, quantity_of(item, amount), "returned"))
    for text, amount, reason in wasted:
        item = known_item(db, text)
        made.append(
            Ending(item.code, quantity_of(item, amount), waste_place(case.category),
                   reason_from(reason, WASTE, "--wasted"))
        )  # fmt: skip
    return made
