"""How a list stands when its sitting is left: lenses, open packs, unfinished cases."""

import sqlite3
from collections.abc import Collection, Mapping

from stockbook.domain.facts import Case, Item, Lot
from stockbook.domain.sitting import LensTally, ListEnd
from stockbook.ledger.cases import cases_of_list, kinds_recorded, moves_of_case, seen_lots
from stockbook.ledger.opening import Book
from stockbook.ledger.sittings import find_sitting
from stockbook.ledger.stock import items_by_code, lots_by_code


def how_list_stands(book: Book, code: str) -> ListEnd:
    """Every lens that was taken out is implanted, spoiled or back; what is not stands open."""
    with book.reading() as db:
        cases = [c for c in cases_of_list(db, code) if c.kind == "patient"]
        finished = [c for c in cases if "finish" in kinds_recorded(db, c.code)]
        cancelled = [c for c in cases if c.cancelled]
        over = {c.code for c in (*finished, *cancelled)}
        sitting = find_sitting(db, code)
        lenses = _lens_lots(db, cases)
        return ListEnd(
            code, len(finished), len(cancelled), tuple(c for c in cases if c.code not in over),
            sitting.packs if sitting else (), _tally(db, cases, lenses),
            tuple(c.code for c in finished if not _lens_seen(db, c, lenses)),
        )  # fmt: skip


def _lens_lots(db: sqlite3.Connection, cases: Collection[Case]) -> dict[int, Lot]:
    """The lots of lenses that these cases ever had."""
    codes = {move.lot for case in cases for move in moves_of_case(db, case.code)}
    lots = lots_by_code(db, codes)
    items: Mapping[str, Item] = items_by_code(db, {lot.item for lot in lots.values()})
    return {code: lot for code, lot in lots.items() if items[lot.item].lens_model is not None}


def _tally(db: sqlite3.Connection, cases: Collection[Case], lenses: Collection[int]) -> LensTally:
    """What went out, and where it ended; an exchange goes out and back alike."""
    out = implanted = spoiled = back = 0
    moves = [move for case in cases for move in moves_of_case(db, case.code) if move.lot in lenses]
    for move in moves:
        if move.to_place.startswith("trolley/"):
            out += move.quantity
        elif move.to_place.startswith("used/") and move.from_place.startswith("trolley/"):
            implanted += move.quantity
        elif move.to_place.startswith("waste/") and move.from_place.startswith("trolley/"):
            spoiled += move.quantity
        elif move.from_place.startswith("trolley/"):
            back += move.quantity
    return LensTally(out, implanted, spoiled, back)


def _lens_seen(db: sqlite3.Connection, case: Case, lenses: Collection[int]) -> bool:
    """Whether the case used no lens, or every one was read from its pack."""
    used = {
        move.lot for move in moves_of_case(db, case.code)
        if move.lot in lenses and move.to_place.startswith("used/")
    }  # fmt: skip
    return used <= seen_lots(db, case.code)
