"""Converting a case: another procedure with the kit that was opened; only the rest is issued."""

import sqlite3
from collections import Counter
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.case_changes import FINISHED, PLANNED, CaseDone, ConvertAsked
from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import Case, Shortfall
from stockbook.domain.finishing import Trolley, joined
from stockbook.domain.importing import alterations
from stockbook.domain.kits import Plan, plan, unasked, unknown_requirements
from stockbook.errors import InputError, Refused
from stockbook.jobs.consigned import charges_for
from stockbook.jobs.finding import shown
from stockbook.jobs.hand import HandDraws
from stockbook.jobs.issue import draw_movement, refuse_gaps
from stockbook.jobs.preparing import (
    Prepared,
    in_reach,
    kit_of,
    list_of,
    prepare,
    shelf_for,
    to_be_served,
)
from stockbook.jobs.signing import fresh_request
from stockbook.jobs.trolley import endings, trolley_of
from stockbook.ledger.balances import in_proportion
from stockbook.ledger.cases import kinds_recorded, last_entry_of_case, state_of
from stockbook.ledger.posting import Posting
from stockbook.ledger.stock import items_by_code, lots_by_code


def convert(post: Posting, signature: Signature, case: Case, asked: ConvertAsked) -> CaseDone:
    """The case has its new procedure; what that kit needs and the trolley lacks is issued."""
    to_be_served(case)
    state = state_of(post.db, case)
    if state == FINISHED:
        entry = kinds_recorded(post.db, case.code)["finish"]
        raise Refused(
            f"case {case.code} is finished (entry {entry}). If another procedure was done, "
            f"use 'case change {case.code} --procedure'."
        )
    new = _converted(post.db, case, asked)
    if new == case and not (asked.wasted or asked.returned):
        return CaseDone(case, state, None, already=True)
    if state == PLANNED:
        return _planned(post, signature, case, new, asked)
    return _staged(post, signature, case, new, asked)


def _converted(db: sqlite3.Connection, case: Case, asked: ConvertAsked) -> Case:
    """The case with its new procedure; requirements that the new kit knows no line for go."""
    procedure = texts.code(asked.procedure, "procedure")
    new = replace(case, procedure=procedure)
    kit = kit_of(db, new)
    wanted = [texts.word(word, "requirement") for word in asked.requirements]
    unknown = unknown_requirements(kit, wanted)
    if unknown:
        raise InputError(f"case {case.code}: kit {kit.code} has no line for {', '.join(unknown)}.")
    kept = [w for w in case.needs if w not in unknown_requirements(kit, case.needs)]
    return replace(new, needs=tuple(dict.fromkeys([*kept, *wanted])))


def _planned(
    post: Posting, signature: Signature, case: Case, new: Case, asked: ConvertAsked
) -> CaseDone:
    """Before the issue it is a change of plan, nothing more."""
    if asked.wasted or asked.returned:
        raise InputError(f"case {case.code}: nothing of it is on a trolley yet.")
    request = fresh_request(post.db, "case", [case.code, new.procedure])
    recorded = post.post(Draft("case", signature, request, (), [new], case.code))
    altered = tuple(alterations(case, new, 0))
    return CaseDone(new, PLANNED, recorded.number, altered=altered)


def _staged(
    post: Posting, signature: Signature, case: Case, new: Case, asked: ConvertAsked
) -> CaseDone:
    db = post.db
    trolley = trolley_of(db, case, list_of(db, case).theatre)
    off = _off_trolley(db, case, asked, trolley)
    held = Counter[str]()
    for unit in trolley.staged:
        held[unit.lot.item] += unit.quantity
    prepared = prepare(db, signature, new, ())
    shelf = shelf_for(db, [prepared])
    made = plan(new, prepared.needs, shelf, prepared.wish, held)
    refuse_gaps(db, [(prepared, made)], shelf, partial=asked.partial)
    new = replace(new, missing=tuple(Shortfall(gap.item, gap.short) for gap in made.gaps))
    moves = [*off, *(draw_movement(draw, prepared, HandDraws()) for draw in made.draws)]
    moves = in_proportion(db, moves)
    lots = lots_by_code(db, {m.lot for m in moves})
    moves += charges_for(db, lots, moves)
    request = _request(db, case, asked)
    recorded = post.post(Draft("convert", signature, request, moves, [new], case.code))
    staying = unasked(prepared.needs, held)
    return CaseDone(
        new, state_of(db, new), recorded.number, altered=tuple(alterations(case, new, 0)),
        moves=tuple(moves), lots=lots, warnings=_warnings(prepared, made),
        items=items_by_code(db, {*(lot.item for lot in lots.values()), *staying}),
        staying=tuple(sorted(staying.items())),
    )  # fmt: skip


def _off_trolley(
    db: sqlite3.Connection, case: Case, asked: ConvertAsked, trolley: Trolley
) -> list[Movement]:
    """What is no longer needed leaves the trolley: back, or to waste."""
    moves: list[Movement] = []
    for ending in endings(db, case, asked.returned, asked.wasted):
        moves += trolley.end(ending)
    return joined(moves)


def _request(db: sqlite3.Connection, case: Case, asked: ConvertAsked) -> Request:
    digest = digest_of(
        [case.code, asked.procedure, asked.wasted, asked.returned, sorted(asked.requirements)]
    )
    return Request(f"issue/{case.code}/after/{last_entry_of_case(db, case.code)}", digest)


def _warnings(prepared: Prepared, made: Plan) -> tuple[str, ...]:
    items = prepared.items
    missing = [
        f"{gap.item} is missing: {shown(items[gap.item], gap.short)}, recorded with the case."
        for gap in made.gaps
    ]
    standby = [
        f"standby {gap.item} is not in reach: {shown(items[gap.item], gap.usable)} usable, "
        f"{shown(items[gap.item], gap.wanted)} wanted ({in_reach(prepared)})."
        for gap in made.standby
    ]
    return (*missing, *standby)
