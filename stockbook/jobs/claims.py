"""Claims: a sponsor's finished cases sent in a document, then reimbursed or declined, case by case.

A case is in one claim at a time; only a declined one is sent again, in another document. Amounts
and lenses stay in the claim as they were sent.
"""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.amounts import plural
from stockbook.domain.asking import period_end
from stockbook.domain.claims import (
    DECLINED,
    ELSEWHERE,
    NOT_YET,
    REIMBURSED,
    SENT,
    TO_CLAIM,
    ClaimDone,
    SponsoredCase,
)
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.finance_facts import ClaimedCase, Sponsor
from stockbook.domain.reasons import DECLINED_CLAIM, reason_from
from stockbook.errors import InputError, NeedsAnswer, Refused
from stockbook.jobs.claims_view import sponsored
from stockbook.jobs.finding import known, money_of, near
from stockbook.jobs.signing import check_person, request
from stockbook.ledger.claims import cases_of_period, claim_of_document, documents
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, find_request, natural_key, posting

LONGEST = 60


@dataclass(frozen=True, slots=True)
class ClaimAsked:
    """A claim as it was typed: whose, its number, the lists' days, what is sent once more."""

    sponsor: str
    document: str
    first_day: str
    last_day: str
    again: Sequence[str] = ()


def send_claim(
    book: Book, signature: Signature, asked: ClaimAsked, *, sure: bool = False, keep: bool = True
) -> ClaimDone:
    """Every finished and unclaimed case of the days is in the claim, as it stands now."""
    period_end(asked.first_day, asked.last_day)
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "claims")
        clean = _clean(post.db, asked)
        contents = [clean.sponsor, clean.document, clean.first_day, clean.last_day, clean.again]
        wanted = request(natural_key(post.db, f"claim/{clean.document}"), contents)
        entry = find_request(post.db, wanted)
        if entry is not None:
            sent = claim_of_document(post.db, clean.document)
            return ClaimDone(clean.sponsor, clean.document, tuple(sent), entry, already=True)
        made = _claimed(post.db, signature, clean, sure=sure)
        number = post.post(Draft("claim", signature, wanted, (), made, clean.document)).number
        return ClaimDone(clean.sponsor, clean.document, tuple(made), number)


def _clean(db: sqlite3.Connection, asked: ClaimAsked) -> ClaimAsked:
    """What was typed, with codes as the book has them; the document is no other sponsor's."""
    sponsor = known(db, Sponsor, asked.sponsor, "sponsor").code
    document = texts.required_text(asked.document, "document", LONGEST)
    _check_document(db, document, sponsor)
    again = sorted({texts.code(case, "--again") for case in asked.again})
    return ClaimAsked(sponsor, document, asked.first_day, asked.last_day, again)


def _claimed(
    db: sqlite3.Connection, signature: Signature, asked: ClaimAsked, *, sure: bool
) -> list[ClaimedCase]:
    """The cases of the claim as they stand; what is doubtful is asked about."""
    sponsor = _stated(db, asked.sponsor)
    cases = cases_of_period(db, asked.sponsor, asked.first_day, asked.last_day)
    rows = sponsored(db, asked.sponsor, cases)
    chosen = _chosen(sponsor, asked, rows)
    if not sure:
        _ask_about(sponsor, rows, chosen, signature.happened_on)
    return [row.claimed(asked.document, signature.happened_on) for row in chosen]


def _stated(db: sqlite3.Connection, code: str) -> Sponsor:
    """A sponsor whose amount is stated."""
    sponsor = known(db, Sponsor, code, "sponsor")
    if sponsor.amount is None:
        raise Refused(
            f"sponsor {sponsor.code}: no amount stated. Say what it pays for a case with "
            "'stockbook import sponsors FILE'."
        )
    return sponsor


def _check_document(db: sqlite3.Connection, document: str, sponsor: str) -> None:
    others = {one.sponsor for one in claim_of_document(db, document)} - {sponsor}
    if others:
        raise Refused(
            f"document {document}: this is a claim of {', '.join(sorted(others))}, not of "
            f"{sponsor}. Give this claim another number."
        )


def _chosen(
    sponsor: Sponsor, asked: ClaimAsked, rows: Sequence[SponsoredCase]
) -> list[SponsoredCase]:
    """What can be claimed, with the declined cases that are sent again."""
    by_code = {row.case.code: row for row in rows}
    for code in asked.again:
        _check_again(sponsor, asked, code, by_code.get(code))
    chosen = [row for row in rows if row.state == TO_CLAIM or row.case.code in asked.again]
    if not chosen:
        raise Refused(_nothing(sponsor, asked, rows))
    return chosen


def _check_again(sponsor: Sponsor, asked: ClaimAsked, code: str, row: SponsoredCase | None) -> None:
    if row is None:
        raise InputError(
            f"--again {code}: wanted a case of {sponsor.code} on a list from {asked.first_day} "
            f"to {asked.last_day}."
        )
    if not row.can_be_sent_again:
        claim = row.standing or row.claim
        named = f" in document {claim.document} of {claim.sponsor}" if claim else ""
        where = row.state if row.stands == "finished" else row.stands
        raise Refused(
            f"--again {code}: it is {where}{named}. Only a declined case that is finished is "
            "sent again."
        )


def _nothing(sponsor: Sponsor, asked: ClaimAsked, rows: Sequence[SponsoredCase]) -> str:
    """Why there is nothing to claim, by state."""
    days = f"from {asked.first_day} to {asked.last_day}"
    if not rows:
        return f"{sponsor.code} has no case on a list {days}. Look at the days again."
    states = (NOT_YET, SENT, REIMBURSED, DECLINED, ELSEWHERE)
    counts = [(state, sum(row.state == state for row in rows)) for state in states]
    told = ", ".join(f"{count} {state}" for state, count in counts if count)
    return (
        f"{sponsor.code}: nothing is left to claim {days} ({told}). A declined case is sent again "
        "with --again CASE."
    )


def _ask_about(
    sponsor: Sponsor, rows: Sequence[SponsoredCase], chosen: Sequence[SponsoredCase], day: str
) -> None:
    """What is late, and what is left behind, is asked about."""
    late = [row.case.code for row in chosen if row.deadline is not None and row.deadline < day]
    behind = sum(row.state == NOT_YET for row in rows)
    doubts = []
    if late:
        doubts.append(f"past the deadline: {', '.join(late)}")
    if behind:
        doubts.append(f"{plural(behind, 'case')} not finished and left out")
    if doubts:
        raise NeedsAnswer(f"{sponsor.code}: {'; '.join(doubts)}. Claim the rest all the same?")


def reimburse_claim(
    book: Book, signature: Signature, document: str, case: str | None = None,
    amount: str | None = None, *, keep: bool = True,
) -> ClaimDone:  # fmt: skip
    """What waits of a claim is reimbursed in full; or one case of it, in full or by an amount."""
    if amount is not None and case is None:
        raise InputError("--amount: wanted with --case CASE; a whole claim is reimbursed in full.")
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "claims")
        claims = _known_claim(post.db, document)
        if case is not None:
            one = _known_case(claims, case)
            return _reimburse_one(post, signature, one, amount)
        number = claims[0].document
        wanted = request(natural_key(post.db, f"reimbursed/{number}"), [number])
        entry = find_request(post.db, wanted)
        if entry is not None:
            return _done(claims, entry, already=True)
        waiting = [one for one in claims if one.state == SENT]
        if not waiting:
            raise Refused(f"document {number}: no case of it waits any more.")
        made = [_paid(signature, one, one.amount - one.deduction) for one in waiting]
        draft = Draft("reimbursed", signature, wanted, (), made, number)
        return _done(made, post.post(draft).number)


def _reimburse_one(
    post: Posting, signature: Signature, one: ClaimedCase, amount: str | None
) -> ClaimDone:
    money, due = money_of(post.db), one.amount - one.deduction
    paid = due if amount is None else money.minor(amount, "--amount")
    if amount is not None and paid == 0:
        raise InputError(
            "--amount: found nothing, wanted more. A case that is not paid is declined: "
            f"'claims declined {one.document} --case {one.case_code}'."
        )
    if paid > due:
        raise Refused(
            f"case {one.case_code}: {money.text(paid)} is more than the {money.text(due)} that "
            f"document {one.document} claims. Look at the remittance again."
        )
    key = natural_key(post.db, f"reimbursed-case/{one.code}")
    return _settle(post, signature, key, one, _paid(signature, one, paid), "reimbursed")


def _paid(signature: Signature, one: ClaimedCase, amount: int) -> ClaimedCase:
    _check_day(signature, one)
    return replace(one, state=REIMBURSED, paid=amount, settled_on=signature.happened_on)


def decline_case(
    book: Book, signature: Signature, document: str, case: str, *, keep: bool = True
) -> ClaimDone:
    """The sponsor does not pay for a case of a claim; it can be sent again in another document."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "decline")
        reason = reason_from(signature.reason, DECLINED_CLAIM, "--reason")
        one = _known_case(_known_claim(post.db, document), case)
        _check_day(signature, one)
        made = replace(one, state=DECLINED, settled_on=signature.happened_on, reason=reason)
        key = natural_key(post.db, f"declined/{one.code}")
        return _settle(post, signature, key, one, made, "declined")


def _settle(
    post: Posting, signature: Signature, key: str, one: ClaimedCase, made: ClaimedCase, kind: str
) -> ClaimDone:
    """One case of a claim goes on from sent; the same asked again is the entry already there."""
    wanted = request(key, [one.code, made.paid, made.reason])
    entry = find_request(post.db, wanted)
    if entry is not None:
        return _done([one], entry, already=True)
    if one.state != SENT:
        raise Refused(
            f"case {one.case_code}: document {one.document} has it as {one.state} since "
            f"{one.settled_on}; only what is sent is reimbursed or declined."
        )
    return _done([made], post.post(Draft(kind, signature, wanted, (), [made], one.document)).number)


def _check_day(signature: Signature, one: ClaimedCase) -> None:
    if signature.happened_on < one.sent_on:
        raise InputError(
            f"--on: {signature.happened_on} lies before {one.sent_on}, when document "
            f"{one.document} was sent."
        )


def _known_claim(db: sqlite3.Connection, text: str) -> list[ClaimedCase]:
    document = texts.required_text(text, "document", LONGEST)
    claims = claim_of_document(db, document)
    if not claims:
        raise InputError(
            f"document: {document} is no claim of this book.{near(document, documents(db))}"
        )
    return claims


def _known_case(claims: Sequence[ClaimedCase], text: str) -> ClaimedCase:
    code = texts.code(text, "case")
    found = next((one for one in claims if one.case_code == code), None)
    if found is None:
        named = near(code, [one.case_code for one in claims])
        raise InputError(f"case: {code} is not in document {claims[0].document}.{named}")
    return found


def _done(claims: Sequence[ClaimedCase], entry: int, *, already: bool = False) -> ClaimDone:
    first = claims[0]
    return ClaimDone(first.sponsor, first.document, tuple(claims), entry, already)
