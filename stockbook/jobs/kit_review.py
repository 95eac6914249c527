"""How kits fared: per kit and surgeon, with a proposed version that can be accepted."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case, Kit, KitLine
from stockbook.domain.kit_review import (
    CaseKit,
    Flow,
    KitReview,
    extra_reviews,
    lens_tally,
    line_reviews,
    waste_reviews,
)
from stockbook.domain.kit_versions import sourced, unversioned, version_code
from stockbook.domain.kit_view import KitChange, changed_lines, is_difference
from stockbook.domain.kits import kit_code
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import near
from stockbook.jobs.kit import kit_typed, record_version
from stockbook.jobs.kits_in_force import KitAsked, asked_for, fitting_lines, layers_of
from stockbook.jobs.signing import check_person
from stockbook.ledger.facts import codes
from stockbook.ledger.kit_use import FinishedCase, finished_cases, flows_of_cases
from stockbook.ledger.kits import kit_on
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting
from stockbook.ledger.stock import items_by_code


@dataclass(frozen=True, slots=True)
class Span:
    """The days whose finished cases are looked at."""

    first_day: str
    last_day: str


@dataclass(frozen=True, slots=True)
class Finished:
    """A finished case, the kit it belongs to, and its lines."""

    case: Case
    kit: str
    lines: CaseKit


def review_of_kits(book: Book, span: Span) -> tuple[KitReview, ...]:
    """Every kit that a case finished in the time belonged to; no order but that of their codes."""
    with book.reading() as db:
        finished, flows = _finished(db, span), _flows(db, span)
        asked = {one.kit: asked_for(db, one.case) for one in finished}
        return tuple(
            _review(db, _with_surgeon(code, asked[code], span.last_day), span, finished, flows)
            for code in sorted(asked)
        )


def review_of_kit(book: Book, text: str, span: Span) -> KitReview:
    """One kit: of a procedure and category, or of one surgeon."""
    with book.reading() as db:
        return _asked_review(db, text, span)


def accept_review(
    book: Book, signature: Signature, text: str, span: Span, first_day: str, *,
    agreed: Kit | None = None, sure: bool = False, keep: bool = True,
) -> KitChange:  # fmt: skip
    """The proposed version is recorded from a first day on, if it is still the one agreed to."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "kit")
        review = _asked_review(post.db, text, span)
        if not review.proposed:
            raise Refused(f"kit {review.code}: the review proposes nothing; all stays as it is.")
        made = _version(post.db, review, kit_typed(post.db, text, first_day))
        if agreed is not None and agreed != made.kit:
            raise Refused(
                f"kit {review.code}: the proposal changed while it was read. Nothing was recorded. "
                "Look again with kit review."
            )
        return record_version(post, signature, made, agreed=agreed, sure=sure or not keep)


def _asked_review(db: sqlite3.Connection, text: str, span: Span) -> KitReview:
    asked = kit_typed(db, text, span.last_day)
    finished, flows = _finished(db, span), _flows(db, span)
    return _review(db, asked, span, finished, flows)


def _with_surgeon(code: str, asked: KitAsked, day: str) -> KitAsked:
    surgeon = asked.surgeon if code.count("/") == 2 else None
    return KitAsked(asked.procedure, asked.category, surgeon, day)


def _finished(db: sqlite3.Connection, span: Span) -> list[Finished]:
    """The cases of the time with the kit each had; those whose kit is not known stay out."""
    found = []
    for one in finished_cases(db, span.first_day, span.last_day):
        try:
            found.append(_with_kit(db, one))
        except Refused:
            continue
    return found


def _with_kit(db: sqlite3.Connection, one: FinishedCase) -> Finished:
    """A case belongs to its surgeon's kit where that surgeon has differences, else to all's.

    It is the kit with which it was finished: of the procedure and category it had then.
    """
    case = one.case
    asked = asked_for(db, case)
    layers = layers_of(db, asked)
    own = asked.surgeon if any(kit.surgeon for kit in layers) else None
    lines = tuple(line for line, _ in fitting_lines(db, case))
    drawn = tuple(
        line for line in lines
        if line.kind != "standby" and (line.kind != "when" or line.requirement in case.needs)
    )  # fmt: skip
    code = kit_code(asked.procedure, asked.category, own)
    earlier = tuple(line for was in one.converted for line in _lines_of(db, was))
    return Finished(case, code, CaseKit(case.code, lines, drawn, earlier))


def _lines_of(db: sqlite3.Connection, case: Case) -> list[KitLine]:
    """The lines of the kit that a case had; none where it is not known any more."""
    try:
        return [line for line, _ in fitting_lines(db, case)]
    except Refused:
        return []


def _flows(db: sqlite3.Connection, span: Span) -> list[Flow]:
    return flows_of_cases(db, span.first_day, span.last_day)


def _review(
    db: sqlite3.Connection, asked: KitAsked, span: Span, finished: Sequence[Finished],
    flows: Sequence[Flow],
) -> KitReview:  # fmt: skip
    code = kit_code(asked.procedure, asked.category, asked.surgeon)
    layers = layers_of(db, asked)
    if not layers:
        raise InputError(f"kit: there is no {code} on {asked.day}.{near(code, codes(db, Kit))}")
    cases = [one.lines for one in finished if one.kit == code or _is_of(one.case, asked)]
    mine = {one.case for one in cases}
    flows = [flow for flow in flows if flow.case in mine]
    lines = [line for line, _ in sourced(layers)]
    items = items_by_code(
        db, {flow.item for flow in flows} | {item for line in lines for item in line.items}
    )
    lenses = [item.code for item in items.values() if item.lens_model]
    return KitReview(
        code, span.first_day, span.last_day, len(cases), line_reviews(lines, cases, flows),
        extra_reviews(cases, flows, lenses, lines), waste_reviews(flows),
        lens_tally(flows, lenses), items, kit_on(db, code, asked.day),
    )  # fmt: skip


def _is_of(case: Case, asked: KitAsked) -> bool:
    """Whether a case is one of the surgeon who was asked about."""
    mine = (case.procedure, case.category, case.surgeon)
    return mine == (asked.procedure, asked.category, asked.surgeon)


def _version(db: sqlite3.Connection, review: KitReview, asked: KitAsked) -> KitChange:
    """The version that has the proposed lines, in place of what the kit has about their items."""
    before = kit_on(db, review.code, asked.day)
    bases = {unversioned(code) for code in codes(db, Kit)}
    made = Kit(
        version_code(review.code, asked.day), asked.procedure, asked.category, asked.surgeon, (),
        asked.day,
    )  # fmt: skip
    lines = changed_lines(
        before.lines if before else (), review.proposed, (), differs=is_difference(made, bases)
    )
    made = Kit(made.code, made.procedure, made.category, made.surgeon, lines, made.first_day)
    named = {item for line in (*lines, *(before.lines if before else ())) for item in line.items}
    return KitChange(made, before, items_by_code(db, named))
