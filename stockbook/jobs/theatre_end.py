"""How a list stands when its sitting is left: lenses, open packs, unfinished cases."""

import sqlite3
from collections import Counter
from collections.abc import Collection, Mapping

from stockbook.domain.facts import Case, Item, Lot
from stockbook.domain.sitting import LensTally, ListEnd
from stockbook.jobs.list_lines import open_list_case
from stockbook.ledger.cases import cases_of_list, kinds_recorded, moves_of_case, seen_lots
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting
from stockbook.ledger.sittings import end_sitting, find_sitting
from stockbook.ledger.stock import items_by_code, lots_by_code


def how_list_stands(book: Book, code: str) -> ListEnd:
    """Every lens that was taken out is implanted, spoiled or back; what is not stands open."""
    with book.reading() as db:
        return _stands(db, code)


def leave(book: Book, code: str, seat: int) -> ListEnd:
    """How the list stands; where it is over and nothing waits, its sitting is gone.

    A sitting that goes on at another terminal is left to that one.
    """
    end = how_list_stands(book, code)
    if not end.over:
        return end
    with posting(book) as post:
        sitting = find_sitting(post.db, code)
        end = _stands(post.db, code)
        if end.over and sitting is not None and sitting.seat == seat:
            end_sitting(post.db, code)
    return end


def _stands(db: sqlite3.Connection, code: str) -> ListEnd:
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
        open_list_case(db, code) is not None,
    )  # fmt: skip


def _lens_lots(db: sqlite3.Connection, cases: Collection[Case]) -> dict[int, Lot]:
    """The lots of lenses that these cases ever had."""
    codes = {move.lot for case in cases for move in moves_of_case(db, case.code)}
    lots = lots_by_code(db, codes)
    items: Mapping[str, Item] = items_by_code(db, {lot.item for lot in lots.values()})
    return {code: lot for code, lot in lots.items() if items[lot.item].lens_model is not None}


def _tally(db: sqlite3.Connection, cases: Collection[Case], lenses: Collection[int]) -> LensTally:
    """What went out, and where it ended.

    Two lots that change places are no lens more; a correction takes back what it corrects.
    """
    sums = Counter[str]()
    for move in (move for case in cases for move in moves_of_case(db, case.code)):
        if move.lot not in lenses or move.reason == "lots-exchanged":
            continue
        left, reached = _stage(move.from_place), _stage(move.to_place)
        if reached == "trolley" and left in ("used", "waste"):
            sums[left] -= move.quantity
        elif reached == "trolley":
            sums["out"] += move.quantity
        elif left == "trolley":
            sums[reached] += move.quantity
    return LensTally(sums["out"], sums["used"], sums["waste"], sums["back"])


def _stage(place: str) -> str:
    """Where a lens is: on a trolley, used, wasted, or back on a shelf."""
    kind = place.partition("/")[0]
    return kind if kind in ("trolley", "used", "waste") else "back"


def _lens_seen(db: sqlite3.Connection, case: Case, lenses: Collection[int]) -> bool:
    """Whether the case used no lens, or every one was read from its pack."""
    used = {
        move.lot for move in moves_of_case(db, case.code)
        if move.lot in lenses and move.to_place.startswith("used/")
    }  # fmt: skip
    return used <= seen_lots(db, case.code)
