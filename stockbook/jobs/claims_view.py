"""A sponsor's cases as they can be claimed, and every sponsor with what is open."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain import texts
from stockbook.domain.asking import period_end
from stockbook.domain.case_changes import CANCELLED, FINISHED, ISSUED, PLANNED
from stockbook.domain.claim_answers import AllSponsors, ClaimsOfPeriod, SponsorSums, sample
from stockbook.domain.claims import NOT_YET, SponsoredCase, UsedLens, state_sums
from stockbook.domain.facts import Case
from stockbook.domain.finance_facts import Sponsor
from stockbook.errors import InputError
from stockbook.jobs.finding import near
from stockbook.ledger import claims as asked
from stockbook.ledger.cases import seen_lots
from stockbook.ledger.facts import find
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import book_id, last_entry
from stockbook.ledger.stock import items_by_code, lots_by_code

Dated = tuple[Case, str]
"""A case and the day of its list."""


def claims_of_period(
    book: Book, sponsor: str, first_day: str, last_day: str, today: str,
    number: int | None = None,
) -> ClaimsOfPeriod:  # fmt: skip
    """One sponsor's cases of the lists of some days; with a `number`, a sample of that many."""
    period_end(first_day, last_day)
    with book.reading() as db:
        code = named_sponsor(db, sponsor)
        rows = sponsored(db, code, asked.cases_of_period(db, code, first_day, last_day))
        entry, checksum, _, _ = last_entry(db)
        done = [row for row in rows if row.can_be_verified]
        drawn = sample(book_id(db), (first_day, last_day), done, number) if number else None
        return ClaimsOfPeriod(
            code, find(db, Sponsor, code), first_day, last_day, today, tuple(rows), book_id(db),
            entry, checksum, drawn,
        )  # fmt: skip


def named_sponsor(db: sqlite3.Connection, text: str) -> str:
    """The code of a sponsor that the book describes, or that a case names."""
    code = texts.code(text, "sponsor")
    if find(db, Sponsor, code) is None and not asked.is_named(db, code):
        known = asked.sponsors_named(db)
        if code not in known:
            raise InputError(
                f"sponsor: {code} is not in this book, and no case names it.{near(code, known)}"
            )
    return code


def sponsored(db: sqlite3.Connection, sponsor: str, cases: Sequence[Dated]) -> list[SponsoredCase]:
    """The cases as this sponsor sees them; a cancelled one only where it was claimed."""
    codes = [case.code for case, _ in cases]
    recorded, lenses = asked.finished_of(db, codes), _lenses(db, codes)
    claims, terms = asked.claims_of_cases(db, codes), find(db, Sponsor, sponsor)
    rows = [
        SponsoredCase(
            sponsor, terms, case, day, _stands(case, recorded[case.code]),
            lenses.get(case.code, ()), tuple(claims.get(case.code, ())),
        )
        for case, day in cases
    ]  # fmt: skip
    return [row for row in rows if row.stands != CANCELLED or row.claim]


def _stands(case: Case, recorded: set[str]) -> str:
    if case.cancelled:
        return CANCELLED
    if "finish" in recorded:
        return FINISHED
    return ISSUED if "issue" in recorded else PLANNED


def _lenses(db: sqlite3.Connection, cases: Sequence[str]) -> dict[str, tuple[UsedLens, ...]]:
    """The lenses that cases used, by case."""
    used = asked.lenses_used(db, cases)
    lots = lots_by_code(db, {lot for of_case in used.values() for lot, _ in of_case})
    items = items_by_code(db, {lot.item for lot in lots.values()})
    found: dict[str, tuple[UsedLens, ...]] = {}
    for case, of_case in used.items():
        seen = seen_lots(db, case)
        found[case] = tuple(
            UsedLens(
                item := items[lots[lot].item], lots[lot], steps // 10**item.unit_places,
                lot in seen,
            )
            for lot, steps in of_case
        )  # fmt: skip
    return found


def all_sponsors(book: Book, first_day: str | None, last_day: str | None) -> AllSponsors:
    """Every sponsor with what is to claim, sent, reimbursed and declined; without days, of all."""
    if first_day and last_day:
        period_end(first_day, last_day)
    with book.reading() as db:
        entry, checksum, _, _ = last_entry(db)
        sums = [_sums(db, code, first_day, last_day) for code in asked.sponsors_named(db)]
        return AllSponsors(tuple(sums), first_day, last_day, entry, checksum)


def _sums(
    db: sqlite3.Connection, code: str, first_day: str | None, last_day: str | None
) -> SponsorSums:
    if first_day and last_day:
        cases = asked.cases_of_period(db, code, first_day, last_day)
    else:
        cases = asked.cases_of_sponsor(db, code)
    rows = sponsored(db, code, cases)
    not_yet = sum(row.state == NOT_YET for row in rows)
    return SponsorSums(code, find(db, Sponsor, code), state_sums(rows), not_yet)
