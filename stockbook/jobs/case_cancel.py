"""Cancelling a case: what was opened is waste, all else goes back where it was drawn."""

import sqlite3
from dataclasses import replace

from stockbook.domain.case_changes import CANCELLED, FINISHED, CancelAsked, CaseDone
from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import Case
from stockbook.domain.finishing import joined, valued
from stockbook.domain.places import waste_place
from stockbook.errors import InputError, Refused
from stockbook.jobs.consigned import charges_for
from stockbook.jobs.finish import FinishAsked, onto_trolley
from stockbook.jobs.hand import HandDraws
from stockbook.jobs.list_lines import common_left_over
from stockbook.jobs.preparing import list_of, prepare
from stockbook.jobs.scanned import as_asked, scanned_endings
from stockbook.jobs.trolley import endings, trolley_of
from stockbook.ledger.cases import kinds_recorded, state_of, times_cancelled
from stockbook.ledger.posting import Posting, find_request
from stockbook.ledger.stock import items_by_code, lots_by_code


def cancel(post: Posting, signature: Signature, case: Case, asked: CancelAsked) -> CaseDone:
    """The case is cancelled and nothing of it lies on the trolley."""
    request = _request(post.db, case, asked)
    known = find_request(post.db, request)
    if known is not None:
        return CaseDone(case, CANCELLED, known, already=True)
    _check(post.db, case)
    moves, hand = _moves(post.db, signature, case, asked)
    lots = lots_by_code(post.db, {m.lot for m in moves}) | {x.code: x for x in hand.new_lots}
    moves += charges_for(post.db, lots, moves)
    gone = replace(case, cancelled=True, missing=())
    recorded = post.post(
        Draft("cancel", signature, request, moves, [*hand.new_lots, gone], case.code)
    )
    items = items_by_code(post.db, {lot.item for lot in lots.values()})
    left = common_left_over(post.db, case.list) if case.kind == "patient" else []
    return CaseDone(
        gone, CANCELLED, recorded.number, moves=tuple(moves), lots=lots, items=items,
        warnings=(*hand.warnings, *left),
    )  # fmt: skip


def _request(db: sqlite3.Connection, case: Case, asked: CancelAsked) -> Request:
    """`cancel/CASE` with the number of times it was cancelled before."""
    before = times_cancelled(db, case.code, standing=False) - int(case.cancelled)
    scanned = [as_asked(asked.scanned)] if asked.scanned else []
    digest = digest_of([case.code, asked.wasted, asked.returned, int(asked.all_opened), *scanned])
    return Request(f"cancel/{case.code}/{max(before, 0)}", digest)


def _check(db: sqlite3.Connection, case: Case) -> None:
    if case.cancelled:
        raise Refused(f"case {case.code} is cancelled already.")
    if state_of(db, case) == FINISHED:
        entry = kinds_recorded(db, case.code)["finish"]
        raise Refused(
            f"case {case.code} is finished (entry {entry}), so it took place. "
            f"Correct it with 'case change {case.code}', or reverse that entry."
        )


def _moves(
    db: sqlite3.Connection, signature: Signature, case: Case, asked: CancelAsked
) -> tuple[list[Movement], HandDraws]:
    """What was named or scanned first, then the rest: back, or to waste where all was opened."""
    theatre = list_of(db, case).theatre
    trolley = trolley_of(db, case, theatre)
    if not trolley.staged and (asked.wasted or asked.returned or asked.all_opened):
        raise InputError(f"case {case.code}: nothing of it is on a trolley; cancel it by itself.")
    onto: list[Movement] = []
    hand = HandDraws()
    if asked.scanned:
        prepared = prepare(db, signature, case, (), kit=False)
        onto, hand = onto_trolley(
            db, signature, prepared, FinishAsked(scanned=asked.scanned), trolley
        )
    there = dict(trolley.values)
    named = endings(db, case, asked.returned, asked.wasted)
    moves: list[Movement] = []
    for ending in named + scanned_endings(asked.scanned, case.category):
        moves += trolley.end(ending)
    if asked.all_opened:
        moves += trolley.rest(waste_place(case.category), "cancelled")
    else:
        moves += trolley.rest("returned")
    return [*onto, *valued(joined(moves), there)], hand
