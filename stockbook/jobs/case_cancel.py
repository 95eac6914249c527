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
from stockbook.jobs.list_lines import common_left_over
from stockbook.jobs.preparing import list_of
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
    moves = _moves(post.db, case, asked)
    lots = lots_by_code(post.db, {m.lot for m in moves})
    moves += charges_for(post.db, lots, moves)
    gone = replace(case, cancelled=True, missing=())
    recorded = post.post(Draft("cancel", signature, request, moves, [gone], case.code))
    items = items_by_code(post.db, {lot.item for lot in lots.values()})
    left = common_left_over(post.db, case.list) if case.kind == "patient" else []
    return CaseDone(
        gone, CANCELLED, recorded.number, moves=tuple(moves), lots=lots, items=items,
        warnings=tuple(left),
    )  # fmt: skip


def _request(db: sqlite3.Connection, case: Case, asked: CancelAsked) -> Request:
    """`cancel/CASE` with the number of times it was cancelled before."""
    before = times_cancelled(db, case.code, standing=False) - int(case.cancelled)
    digest = digest_of([case.code, asked.wasted, asked.returned, int(asked.all_opened)])
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


def _moves(db: sqlite3.Connection, case: Case, asked: CancelAsked) -> list[Movement]:
    """What was named first, then the rest: back, or to waste where all was opened."""
    trolley = trolley_of(db, case, list_of(db, case).theatre)
    if not trolley.staged and (asked.wasted or asked.returned or asked.all_opened):
        raise InputError(f"case {case.code}: nothing of it is on a trolley; cancel it by itself.")
    there = dict(trolley.values)
    moves: list[Movement] = []
    for ending in endings(db, case, asked.returned, asked.wasted):
        moves += trolley.end(ending)
    if asked.all_opened:
        moves += trolley.rest(waste_place(case.category), "cancelled")
    else:
        moves += trolley.rest("returned")
    return valued(joined(moves), there)
