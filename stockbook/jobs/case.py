"""One case: made, changed, cancelled, converted; what it is and what became of it is case_view's.

Before its kit is issued a case changes by a change alone. Once the kit is on the trolley it
changes in what leaves that kit right; once it is finished, by an entry of differences.
"""

import sqlite3
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.case_changes import (
    FINISHED,
    ISSUED,
    PLANNED,
    CancelAsked,
    CaseChange,
    CaseDone,
    ConvertAsked,
    Pairs,
)
from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import Case, Lot
from stockbook.domain.importing import alterations
from stockbook.domain.reasons import OF_COMMAND, reason_from
from stockbook.errors import InputError, Refused
from stockbook.jobs.case_cancel import cancel
from stockbook.jobs.case_convert import convert
from stockbook.jobs.case_correction import Corrected, corrected, moved_to_category
from stockbook.jobs.case_plan import against_terms, check_staged, lots_of_case, planned
from stockbook.jobs.finding import known_case
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.jobs.typed_again import typed_again
from stockbook.ledger.cases import last_entry_of_case, state_of
from stockbook.ledger.facts import find
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, posting
from stockbook.ledger.stock import items_by_code, lots_by_code

__all__ = [
    "CancelAsked", "CaseChange", "CaseDone", "ConvertAsked", "cancel_case", "change_case",
    "convert_case", "new_case",
]  # fmt: skip

FREE_FIELDS = frozenset({"sponsor", "sponsor_number", "list", "position"})
"""What changes of a finished case without a reason: no unit was used otherwise for it."""


def new_case(
    book: Book, signature: Signature, code: str, given: Pairs, *, keep: bool = True
) -> CaseDone:
    """A case of a new code is on a list; `given` is column and text, as in a list's file."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "case")
        case_code = texts.code(code, "case")
        if find(post.db, Case, case_code) is not None:
            raise Refused(f"case {case_code} is in the book already. Use 'case change'.")
        case = planned(post.db, signature, case_code, dict(given), None)
        request = fresh_request(post.db, "case", [case_code, dict(given)])
        recorded = post.post(Draft("case", signature, request, (), [case], case_code))
        return CaseDone(case, PLANNED, recorded.number)


def cancel_case(
    book: Book, signature: Signature, code: str, asked: CancelAsked, *, keep: bool = True
) -> CaseDone:
    """The case is cancelled; its kit is back where it was drawn, what was opened is waste."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "case")
        return cancel(post, signature, known_case(post.db, code), asked)


def convert_case(
    book: Book, signature: Signature, code: str, asked: ConvertAsked, *, keep: bool = True
) -> CaseDone:
    """The case is another procedure; of its kit only what the trolley lacks is issued."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "case")
        case = known_case(post.db, code)
        check_patient(case)
        return convert(post, signature, case, asked)


def change_case(
    book: Book, signature: Signature, code: str, asked: CaseChange, *, keep: bool = True
) -> CaseDone:
    """The case has what is given; a finished one, what was used otherwise by differences."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "case")
        case = known_case(post.db, code)
        given = dict(asked.given)
        if given:
            check_patient(case)
        if not given and not asked.moves and not asked.again:
            raise InputError(f"case {case.code}: nothing was given to change. See --help.")
        was = _taken_back(case, asked)
        state = state_of(post.db, was)
        done = state == FINISHED
        new = planned(post.db, signature, case.code, given, was, done=done) if given else was
        _check(post.db, was, new, state, asked)
        if new == case and not asked.moves:
            return CaseDone(case, state, None, already=True)
        again = _correction_again(post.db, signature, case, asked)
        return again or _record(post, signature, case, new, state, asked)


def _correction_again(
    db: sqlite3.Connection, signature: Signature, case: Case, asked: CaseChange
) -> CaseDone | None:
    """This very correction of what was used, typed again right after."""
    if not asked.moves:
        return None
    wanted = _correction(db, case, asked)
    number = typed_again(db, signature, case.code, wanted, "correction")
    return CaseDone(case, FINISHED, number, already=True) if number else None


def check_patient(case: Case) -> None:
    """Only an operation has a plan; what a list or a service used in common has none."""
    if case.kind != "patient":
        raise Refused(
            f"{case.code} is what {case.kind} {case.list} uses in common, not an operation; it "
            "has no plan to change."
        )


def _taken_back(case: Case, asked: CaseChange) -> Case:
    """The case taken back where that is asked; a cancelled one changes no other way."""
    if asked.again and not case.cancelled:
        raise Refused(f"case {case.code} is not cancelled.")
    if case.cancelled and not asked.again:
        raise Refused(f"case {case.code} is cancelled. Take it back with --again.")
    return replace(case, cancelled=False)


def _check(db: sqlite3.Connection, was: Case, new: Case, state: str, asked: CaseChange) -> None:
    if state == ISSUED and was != new:
        check_staged(db, was, new)
    if asked.moves and state != FINISHED:
        raise Refused(
            f"case {was.code} is {state}, not finished. Say what was used with "
            f"'finish {was.code}'; then only differences are left to say here."
        )
    if asked.moves and was.category != new.category:
        raise InputError(f"case {was.code}: change --category by itself, then what was used.")


def _record(
    post: Posting, signature: Signature, case: Case, new: Case, state: str, asked: CaseChange
) -> CaseDone:
    db = post.db
    altered = alterations(case, new, 0)
    if state == FINISHED and (asked.moves or {a.field for a in altered} - FREE_FIELDS):
        reason_from(signature.reason, OF_COMMAND["case"], "--reason")
    done = _differences(db, signature, case, new, state, asked)
    lots = {lot.code: lot for lot in lots_of_case(db, case.code)} | done.lots
    draft = Draft(
        "correction" if done.moves else "case", signature, _request(db, case, asked, done.moves),
        done.moves, [*done.new_lots, *([new] if new != case else [])], case.code,
    )  # fmt: skip
    recorded = post.post(draft)
    terms = _terms(db, case, new, state)
    items = items_by_code(db, {lot.item for lot in lots.values()})
    return CaseDone(
        new, state, recorded.number, recorded.already, tuple(altered), tuple(done.moves), lots,
        items, (*done.warnings, *terms),
    )  # fmt: skip


def _differences(
    db: sqlite3.Connection, signature: Signature, case: Case, new: Case, state: str,
    asked: CaseChange,
) -> Corrected:  # fmt: skip
    """The movements that make the book say what happened; none where only the plan changes."""
    moves: list[Movement] = []
    lots: dict[int, Lot] = {}
    if asked.moves:
        return corrected(db, signature, new, asked)
    if state == FINISHED and case.category != new.category:
        moves = moved_to_category(db, case, str(new.category))
        lots = lots_by_code(db, {move.lot for move in moves})
    return Corrected(moves, lots, [], [])


def _terms(db: sqlite3.Connection, case: Case, new: Case, state: str) -> list[str]:
    """Lots of a finished case whose terms no longer allow it: recorded and told, not refused."""
    if state != FINISHED or (case.category, case.sponsor) == (new.category, new.sponsor):
        return []
    return [f"{words}." for words in against_terms(lots_of_case(db, case.code), new)]


def _request(
    db: sqlite3.Connection, case: Case, asked: CaseChange, moves: list[Movement]
) -> Request:
    """A correction names the case's last entry; a change alone gets a fresh key."""
    if not moves:
        return fresh_request(db, "case", [*_contents(case, asked), int(asked.again)])
    return _correction(db, case, asked)


def _correction(db: sqlite3.Connection, case: Case, asked: CaseChange) -> Request:
    last = last_entry_of_case(db, case.code)
    return Request(f"correction/{case.code}/after/{last}", digest_of(_contents(case, asked)))


def _contents(case: Case, asked: CaseChange) -> list[object]:
    return [case.code, asked.given, asked.used, asked.not_used, asked.wasted, asked.lots]
