"""A rescue kit: the standby lines drawn in one action, without a question, explained later."""

import sqlite3
from collections.abc import Sequence
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.entries import Draft, Request, Signature, digest_of
from stockbook.domain.facts import Case, KitLine
from stockbook.domain.kits import Need, plan, rescue_lines, rescues_of
from stockbook.domain.reasons import RESCUE, check_reason, reason_from
from stockbook.domain.records import IssuedCase
from stockbook.errors import InputError, NotEnough, Refused
from stockbook.jobs.finding import known_case
from stockbook.jobs.hand import HandDraws
from stockbook.jobs.issue import draw_movement, issue_cases, missing_row
from stockbook.jobs.kits_in_force import fitting_lines
from stockbook.jobs.preparing import Prepared, Shared, prepare, shelf_for, shelf_labels, wish_for
from stockbook.jobs.signing import check_signers
from stockbook.jobs.typed_again import typed_again
from stockbook.ledger.cases import kinds_recorded, last_entry_of_case
from stockbook.ledger.open_points import rescues_of_case, unexplained_rescues
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, find_request, posting
from stockbook.ledger.stock import items_by_code


def issue_rescue(
    book: Book, signature: Signature, code: str, word: str | None, *, keep: bool = True
) -> IssuedCase:
    """The standby lines of a rescue lie on the case's trolley, as far as there are any.

    A case without its kit gets that first. What is short is said and stops nothing.
    """
    with posting(book, keep=keep) as post:
        check_reason(signature.reason, "rescue")
        check_signers(post.db, signature, "issue")
        case = known_case(post.db, code)
        again = _already(post.db, signature, case, word)
        return again or rescue(post, signature, case, word)


def _already(
    db: sqlite3.Connection, signature: Signature, case: Case, word: str | None
) -> IssuedCase | None:
    """This very rescue typed again right after; once it is explained another one is meant."""
    if case.code not in {waiting.document for waiting in unexplained_rescues(db)}:
        return None
    asked = _request(db, case, _lines(db, case, word))
    number = typed_again(db, signature, case.code, asked, "rescue")
    return IssuedCase(case, number, already=True, items={}) if number else None


def rescue(post: Posting, signature: Signature, case: Case, word: str | None) -> IssuedCase:
    """The same inside the transaction of something larger."""
    lines = _lines(post.db, case, word)
    recorded = kinds_recorded(post.db, case.code)
    if "finish" in recorded:
        raise Refused(
            f"case {case.code} is finished (entry {recorded['finish']}); nothing more is "
            "issued to it. Reverse that entry first if it was wrong."
        )
    first = None
    if "issue" not in recorded:
        *_, kit = issue_cases(post, replace(signature, reason=None), [case], partial=False)
        first, case = kit.entry, kit.case
    return replace(_record(post, signature, case, lines), issued_as=first)


def _lines(db: sqlite3.Connection, case: Case, word: str | None) -> list[KitLine]:
    standby = [line for line, _ in fitting_lines(db, case) if line.kind == "standby"]
    wanted = texts.word(word, "--rescue") if word else None
    known = rescues_of(standby)
    if wanted is None and len(known) > 1:
        raise InputError(f"case {case.code}: which rescue? --rescue {' or '.join(known)}.")
    lines = rescue_lines(standby, wanted)
    if not lines:
        found = f"no rescue {wanted}" if wanted else "no standby line"
        raise InputError(
            f"case {case.code}: its kit has {found}; it knows: {', '.join(known) or 'none'}."
        )
    return lines


def _record(
    post: Posting, signature: Signature, case: Case, lines: Sequence[KitLine]
) -> IssuedCase:
    db = post.db
    prepared = _prepared(db, signature, case, lines)
    shelf = shelf_for(db, [prepared])
    made = plan(case, prepared.needs, shelf, prepared.wish, {})
    missing = tuple(missing_row(prepared, g, prepared.items[g.item], shelf) for g in made.gaps)
    if not made.draws:
        words = f"case {case.code}: nothing of its rescue kit is in reach. Nothing was recorded."
        raise NotEnough(words, list(missing))
    entry = post.post(
        Draft("rescue", signature, _request(db, case, lines),
              [draw_movement(draw, prepared, HandDraws()) for draw in made.draws],
              document=case.code)
    )  # fmt: skip
    labels = shelf_labels(db, [(draw.place, draw.lot.item) for draw in made.draws])
    return IssuedCase(
        case, entry.number, entry.already, dict(prepared.items), made.draws, missing, (), labels
    )


def _prepared(
    db: sqlite3.Connection, signature: Signature, case: Case, lines: Sequence[KitLine]
) -> Prepared:
    base = prepare(db, signature, case, (), kit=False)
    items = items_by_code(db, {item for line in lines for item in line.items})
    return replace(
        base, needs=tuple(Need(line.items, line.quantity) for line in lines), items=items,
        wish=wish_for(signature, case, base.theatre, items, Shared(db)),
    )  # fmt: skip


def _request(db: sqlite3.Connection, case: Case, lines: Sequence[KitLine]) -> Request:
    asked = [case.code, "rescue", [[*line.items, line.quantity] for line in lines]]
    return Request(f"issue/{case.code}/after/{last_entry_of_case(db, case.code)}", digest_of(asked))


def explain_rescue(
    book: Book, signature: Signature, code: str, reason: str, *, keep: bool = True
) -> tuple[int, bool]:
    """Every rescue of the case so far is explained; the entry, and whether it was there already."""
    with posting(book, keep=keep) as post:
        check_reason(signature.reason, "explanation")
        check_signers(post.db, signature, "issue")
        return explain(post, signature, known_case(post.db, code), reason)


def explain(post: Posting, signature: Signature, case: Case, reason: str) -> tuple[int, bool]:
    """An entry of its own says why; it moves nothing and names the case."""
    said = reason_from(reason, RESCUE, "rescue")
    rescues = rescues_of_case(post.db, case.code)
    if not rescues:
        raise Refused(f"case {case.code}: no rescue kit was issued to it, so there is nothing "
                      f"to explain with {said}.")  # fmt: skip
    request = Request(f"rescue/{case.code}/explained/{rescues[-1]}", digest_of([case.code, said]))
    known = find_request(post.db, request)
    if known is None and case.code not in {x.document for x in unexplained_rescues(post.db)}:
        raise Refused(f"case {case.code}: its rescue (entry {rescues[-1]}) is explained already.")
    made = post.post(
        Draft("explanation", replace(signature, reason=said), request, document=case.code)
    )
    return made.number, made.already
