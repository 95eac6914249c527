"""Finishing a case: what was used, wasted or comes back; what was never issued is issued first."""

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import Case, Lot
from stockbook.domain.finishing import Scanned, Staged, Trolley, joined, valued
from stockbook.domain.kits import Need, plan
from stockbook.domain.picking import Draw, Shelf, why_not_usable
from stockbook.domain.places import trolley_place, used_place
from stockbook.domain.reasons import RESCUE
from stockbook.domain.records import FinishedCase
from stockbook.errors import InputError, NeedsAnswer, NotEnough, Refused
from stockbook.jobs.consigned import charges_for
from stockbook.jobs.exchanging import exchange_lot
from stockbook.jobs.finding import known_case, known_item, known_list, quantity_of
from stockbook.jobs.hand import (
    NOTHING_IN_HAND,
    Hand,
    HandDraws,
    draw_lot,
    draws_in_hand,
    used_all_the_same,
)
from stockbook.jobs.issue import draw_movement, issue_cases, missing_row
from stockbook.jobs.list_lines import open_list_case
from stockbook.jobs.preparing import (
    Prepared,
    case_key,
    is_served,
    list_of,
    prepare,
    shelf_for,
    to_be_served,
)
from stockbook.jobs.rescue import explain
from stockbook.jobs.scanned import as_asked, needs_besides, scanned_endings, see_scanned
from stockbook.jobs.signing import check_person
from stockbook.jobs.trolley import endings, trolley_of
from stockbook.ledger.balances import in_proportion
from stockbook.ledger.cases import (
    cases_of_list,
    kinds_recorded,
)
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, find_request, posting
from stockbook.ledger.stock import items_by_code, lots_by_code


@dataclass(frozen=True, slots=True)
class FinishAsked:
    """What went differently from the kit; quantities as typed, lots as printed or none."""

    extras: tuple[tuple[str, str], ...] = ()
    returned: tuple[tuple[str, str], ...] = ()
    wasted: tuple[tuple[str, str, str], ...] = ()
    hand: Hand = NOTHING_IN_HAND
    scanned: tuple[Scanned, ...] = ()
    early: bool = False
    """It was really operated before the day its list is planned for."""


def finish_case(
    book: Book, signature: Signature, code: str, asked: FinishAsked, *, keep: bool = True
) -> FinishedCase:
    """Nothing of the case lies on the trolley any more."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "finish")
        case = to_be_served(known_case(post.db, code))
        explained = None
        if signature.reason in RESCUE:
            explained, _ = explain(post, signature, case, str(signature.reason))
            signature = replace(signature, reason=None)
        return replace(finish_within(post, signature, case, asked), explained_as=explained)


def finish_list(
    book: Book, signature: Signature, code: str, asked: dict[str, FinishAsked], *,
    leave: Sequence[str] = (), early: bool = False, keep: bool = True,
) -> list[FinishedCase]:  # fmt: skip
    """Every case of the list that is not finished ends as its kit says, but for what is named."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "finish")
        if signature.reason in RESCUE:
            raise InputError(f"--reason {signature.reason}: a rescue is explained case by case.")
        known_list(post.db, code)
        cases = [c for c in cases_of_list(post.db, code) if is_served(c)]
        _check_named(post.db, code, {code, *(c.code for c in cases)}, asked, leave)
        waiting = [
            c for c in cases
            if c.code not in leave and "finish" not in kinds_recorded(post.db, c.code)
        ]  # fmt: skip
        own = open_list_case(post.db, code)
        if not waiting and (own is None or leave):
            raise Refused(f"list {code}: every one of its cases is finished already.")
        as_kit = FinishAsked()
        ended = [
            finish_within(post, signature, c, replace(asked.get(c.code, as_kit), early=early))
            for c in waiting
        ]
        own = None if leave else open_list_case(post.db, code)
        if own is not None:
            with_own = replace(asked.get(code, as_kit), early=early)
            ended.append(finish_within(post, signature, own, with_own))
        return ended


def _check_named(
    db: sqlite3.Connection, code: str, known: set[str], asked: Iterable[str], leave: Iterable[str]
) -> None:
    """Every case named is of the list, and none that has exceptions is finished already."""
    strange = sorted({*asked, *leave} - known)
    if strange:
        raise InputError(f"list {code}: {', '.join(strange)} is not a case of it, or is cancelled.")
    finished = sorted(case for case in asked if "finish" in kinds_recorded(db, case))
    if finished:
        raise Refused(
            f"list {code}: {', '.join(finished)} is finished already, so its exceptions would be "
            "lost. Take it out of the file, or reverse its finish first."
        )


def finish_within(
    post: Posting, signature: Signature, case: Case, asked: FinishAsked
) -> FinishedCase:
    """A case ends inside the transaction of something larger."""
    db = post.db
    request = Request(case_key(db, "finish", case.code), _digest(case, asked))
    known = find_request(db, request)
    if known is not None:
        return FinishedCase(case, known, already=True, items={}, lots={})
    _check_day(db, signature, case, asked)
    listed_as, issued_as = _issue_first(post, signature, case)
    prepared = prepare(db, signature, case, (), extras=asked.extras, kit=False)
    trolley = trolley_of(db, case, prepared.theatre)
    onto, hand = onto_trolley(db, signature, prepared, asked, trolley)
    moves = [*onto, *_off_trolley(db, case, asked, trolley)]
    if asked.hand.lots:
        moves = in_proportion(db, moves)
    lots = lots_by_code(db, {m.lot for m in moves}) | {lot.code: lot for lot in hand.new_lots}
    moves += charges_for(db, lots, moves)
    warnings = dict.fromkeys([*hand.warnings, *against_rules(signature, prepared, lots, moves)])
    draft = Draft("finish", signature, request, moves, hand.new_lots, case.code)
    recorded = post.post(draft)
    items = items_by_code(db, {lot.item for lot in lots.values()})
    return FinishedCase(
        case, recorded.number, recorded.already, items, lots, tuple(moves), issued_as,
        tuple(warnings), listed_as,
    )  # fmt: skip


def against_rules(
    signature: Signature, prepared: Prepared, lots: Mapping[int, Lot], moves: Sequence[Movement]
) -> list[str]:
    """Lots that were used and should not have been: stopped or expired since they were issued."""
    found = []
    used = {move.lot for move in moves if move.to_place.startswith("used/")}
    for lot in (lots[code] for code in sorted(used)):
        why = why_not_usable(lot, trolley_place(prepared.theatre), prepared.wish)
        if why:
            reason = used_all_the_same(lot, why, signature)
            found.append(f"{lot.item} lot {lot.number} was {why} ({reason}).")
    return found


def _check_day(
    db: sqlite3.Connection, signature: Signature, case: Case, asked: FinishAsked
) -> None:
    """A case finished before its list's day is asked about: it may be another case."""
    day = list_of(db, case).day
    if signature.happened_on < day and not asked.early:
        raise NeedsAnswer(
            f"case {case.code} is planned for {day}. Was it really finished on "
            f"{signature.happened_on}?"
        )


def _digest(case: Case, asked: FinishAsked) -> str:
    hand = asked.hand
    scanned = [as_asked(asked.scanned)] if asked.scanned else []
    return digest_of(
        [case.code, asked.extras, asked.returned, asked.wasted, hand.lots, hand.found, *scanned]
    )


def _issue_first(post: Posting, signature: Signature, case: Case) -> tuple[int | None, int | None]:
    """A case that was never issued is issued as its kit says, in an entry of its own.

    The entries of its list's common lines, where it is the first of its list, and of its kit.
    """
    if "issue" in kinds_recorded(post.db, case.code):
        return None, None
    *listed, issued = issue_cases(post, signature, [case], partial=False)
    return (listed[0].entry if listed else None), issued.entry


def onto_trolley(
    db: sqlite3.Connection, signature: Signature, prepared: Prepared, asked: FinishAsked,
    trolley: Trolley,
) -> tuple[list[Movement], HandDraws]:  # fmt: skip
    """Extras pass the trolley in the same entry; named lots of the kit are seen or exchanged."""
    extra_items = {item for need in prepared.needs for item in need.items}
    named = [(known_item(db, item).code, number) for item, number in asked.hand.lots]
    of_kit = [pair for pair in named if pair[0] not in extra_items]
    of_extras = tuple(pair for pair in named if pair[0] in extra_items)
    moves: list[Movement] = []
    for item, number in of_kit:
        moves += exchange_lot(db, prepared, trolley, item, number)
    seen, besides = see_scanned(db, prepared, trolley, asked.scanned)
    moves += seen
    needs = (
        *prepared.needs, *_found_needs(db, asked.hand, extra_items), *needs_besides(besides),
    )  # fmt: skip
    extras = Prepared(prepared.case, prepared.day, prepared.theatre, needs, prepared.wish, ())
    shelf = shelf_for(db, [extras])
    hand = draws_in_hand(
        db, signature, extras, Hand(of_extras, asked.hand.found), shelf, happened=True
    )
    for unit in besides:
        if unit.lot is not None:
            draw_lot(db, signature, extras, shelf, hand, unit)
    draws = [*hand.draws, *_picked(db, extras, shelf, hand)]
    moves += [draw_movement(draw, extras, hand) for draw in draws]
    for draw in draws:
        trolley.add(Staged(draw.lot, draw.quantity, draw.place, draw.seen), draw.value)
    return moves, hand


def _found_needs(db: sqlite3.Connection, hand: Hand, extra_items: set[str]) -> list[Need]:
    """What was found in the hand is used besides the kit, unless an extra names it."""
    found = [(known_item(db, item), amount) for item, _, _, amount in hand.found]
    return [
        Need((item.code,), quantity_of(item, amount))
        for item, amount in found
        if item.code not in extra_items
    ]


def _picked(
    db: sqlite3.Connection, extras: Prepared, shelf: Shelf, hand: HandDraws
) -> tuple[Draw, ...]:
    """The extras that no hand holds, picked by rule 6."""
    given: dict[str, int] = {}
    for draw in hand.draws:
        given[draw.lot.item] = given.get(draw.lot.item, 0) + draw.quantity
    made = plan(extras.case, extras.needs, shelf, extras.wish, given)
    if made.gaps:
        items = items_by_code(db, {gap.item for gap in made.gaps})
        raise NotEnough(
            f"case {extras.case.code} is not finished: the book has no such extra to give. Nothing "
            "was recorded. If the units were in your hand, record them with --found.",
            [missing_row(extras, gap, items[gap.item], shelf) for gap in made.gaps],
        )
    return made.draws


def _off_trolley(
    db: sqlite3.Connection, case: Case, asked: FinishAsked, trolley: Trolley
) -> list[Movement]:
    moves: list[Movement] = []
    there = dict(trolley.values)
    asked_for = endings(db, case, asked.returned, asked.wasted)
    for ending in asked_for + scanned_endings(asked.scanned, case.category):
        moves += trolley.end(ending)
    moves += trolley.rest(used_place(case.category))
    return valued(joined(moves), there)
