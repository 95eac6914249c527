"""What the ward, the clinic or the wet lab uses: from a store straight to common use."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain import texts
from stockbook.domain.entries import Draft, Movement, Request, Signature
from stockbook.domain.facts import Case, Fact
from stockbook.domain.kits import Need, plan
from stockbook.domain.levels import in_shelf_order
from stockbook.domain.list_shares import SERVICE
from stockbook.domain.picking import Draw
from stockbook.domain.places import used_place
from stockbook.domain.records import IssuedCase
from stockbook.errors import InputError, NotEnough
from stockbook.jobs.consigned import charges_for
from stockbook.jobs.finding import known_item, quantity_of
from stockbook.jobs.hand import Hand, HandDraws, draws_in_hand
from stockbook.jobs.issue import given_by, missing_row
from stockbook.jobs.preparing import Prepared, Shared, shelf_for, shelf_labels, wish_for
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, posting
from stockbook.ledger.stock import items_by_code, lots_by_code


def issue_to_service(
    book: Book, signature: Signature, word: str, wanted: Sequence[tuple[str, str]], hand: Hand, *,
    keep: bool = True,
) -> IssuedCase:  # fmt: skip
    """The units are used in common, on a case of the service's own; all of them or none."""
    service = texts.word(word, "--service")
    if not wanted:
        raise InputError(f"service {service}: nothing to issue. Name an --extra ITEM QTY.")
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "issue")
        case = _new_case(post.db, service, signature.happened_on)
        prepared = _prepared(post.db, signature, case, wanted)
        shelf = shelf_for(post.db, [prepared])
        named = draws_in_hand(post.db, signature, prepared, hand, shelf)
        made = plan(case, prepared.needs, shelf, prepared.wish, given_by(named))
        if made.gaps:
            words = f"Not issued: service {service} cannot be served in full. Nothing was recorded."
            missing = [missing_row(prepared, g, prepared.items[g.item], shelf) for g in made.gaps]
            raise NotEnough(words, missing)
        asked = fresh_request(post.db, "service", [service, list(wanted), hand.lots, hand.found])
        return _record(post, signature, prepared, asked, [*named.draws, *made.draws], named)


def _record(
    post: Posting, signature: Signature, prepared: Prepared, asked: Request,
    draws: Sequence[Draw], named: HandDraws,
) -> IssuedCase:  # fmt: skip
    case = prepared.case
    moves = [
        Movement(d.lot.code, d.quantity, d.value, d.place, used_place(None), case.code,
                 named.reasons.get((d.place, d.lot.code)), d.seen)
        for d in draws
    ]  # fmt: skip
    lots = lots_by_code(post.db, {m.lot for m in moves}) | {x.code: x for x in named.new_lots}
    moves += charges_for(post.db, lots, moves)
    facts: list[Fact] = [*named.new_lots, case]
    entry = post.post(Draft("service", signature, asked, moves, facts, case.code))
    labels = shelf_labels(post.db, [(draw.place, draw.lot.item) for draw in draws])
    return IssuedCase(
        case, entry.number, entry.already, dict(prepared.items),
        tuple(in_shelf_order(draws, prepared.wish.places, labels)), (),
        tuple(named.warnings), labels,
    )  # fmt: skip


def _new_case(db: sqlite3.Connection, service: str, day: str) -> Case:
    """The next case of a service on a day; in the place of a list it bears the service's word."""
    known = {case.code for case in all_of(db, Case, list=service, kind=SERVICE)}
    stem = f"{service.upper()}-{day.replace('-', '')}"
    number = next(n for n in range(1, len(known) + 2) if f"{stem}-{n}" not in known)
    return Case(f"{stem}-{number}", service, 0, SERVICE)


def _prepared(
    db: sqlite3.Connection, signature: Signature, case: Case, wanted: Sequence[tuple[str, str]]
) -> Prepared:
    needs = []
    for text, amount in wanted:
        item = known_item(db, text)
        needs.append(Need((item.code,), quantity_of(item, amount)))
    items = items_by_code(db, {need.items[0] for need in needs})
    wish = wish_for(signature, case, "", items, Shared(db))
    return Prepared(case, signature.happened_on, "", tuple(needs), wish, (), items=items)
