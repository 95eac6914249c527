"""Periods of finance: closed with a statement that never changes, shown again, reopened."""

import sqlite3
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.amounts import plural
from stockbook.domain.answers import Listed
from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.days import days_after
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.finance_facts import Period
from stockbook.domain.reasons import REOPEN, reason_from
from stockbook.domain.statements import Closing, Colour, Statement, class_flows
from stockbook.errors import InputError, NeedsAnswer, Refused
from stockbook.jobs.finding import near
from stockbook.jobs.invoice_view import not_invoiced
from stockbook.jobs.sent_lots import owed
from stockbook.jobs.signing import check_person, request, second_person
from stockbook.ledger import statements as asked
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.money import proof
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, natural_key, posting, same_request
from stockbook.ledger.settings import last_entry


@dataclass(frozen=True, slots=True)
class Closed:
    """A closed period with its statement; `already` where it was closed before."""

    statement: Statement
    entry: int
    already: bool = False


def period_code(first_day: str, last_day: str) -> str:
    """A whole month by its name, other spans by their days.

    >>> period_code("2027-02-01", "2027-02-28"), period_code("2027-02-01", "2027-02-14")
    ('2027-02', '2027-02-01..2027-02-14')
    """
    month = first_day[:7]
    whole = first_day.endswith("-01") and days_after(last_day, 1)[:7] != month == last_day[:7]
    return month if whole else f"{first_day}..{last_day}"


def close_period(
    book: Book, signature: Signature, days: tuple[str, str], *, sure: bool = False,
    keep: bool = True,
) -> Closed:  # fmt: skip
    """Nothing more is booked on or before the last day; the statement stands from now on."""
    code = period_code(*days)
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "period")
        known = find(post.db, Period, code)
        if known is None or not known.closed:
            return _close(post, signature, Period(code, *days, closed=True), sure=sure)
    found = statement_of(book, code)
    return Closed(found, found.entry or 0, already=True)


def _close(post: Posting, signature: Signature, period: Period, *, sure: bool) -> Closed:
    _check_days(post.db, period, signature.today)
    found = _statement(post.db, period)
    if not sure:
        _ask_about(found, signature.today)
    number = asked.statements_made(post.db) + 1
    closed = replace(period, number=number, statement=found.digest)
    key = request(
        _key(post.db, period.code), [period.code, period.first_day, period.last_day]
    )  # fmt: skip
    entry = post.post(Draft("period", signature, key, (), [closed], closed.code)).number
    shown = replace(found.proof, last_entry=entry, checksum=last_entry(post.db)[1])
    return Closed(replace(found, period=closed, entry=entry, proof=shown), entry)


def _key(db: sqlite3.Connection, code: str) -> str:
    """The period's key with how often it was reopened."""
    reopened = sum(c.period.code == code and not c.period.closed for c in asked.closings(db))
    return f"period/{code}/{reopened}"


def _check_days(db: sqlite3.Connection, period: Period, today: str) -> None:
    period_end(period.first_day, period.last_day)
    if period.last_day > today:
        raise InputError(
            f"period: {period.last_day} has not come yet; today is {today}. A period is closed "
            "when its last day is over."
        )
    last = asked.last_closed(db)
    if last is not None and period.first_day != (begins := days_after(last.last_day, 1)):
        raise Refused(
            f"period: {last.code} is closed through {last.last_day}, so the next one begins on "
            f"{begins}, not on {period.first_day}. Give --from {begins}, or reopen {last.code}."
        )


def _ask_about(found: Statement, today: str) -> None:
    """A day that is not over, and what colours the statement, is asked about."""
    doubts = [plural(one.count, one.what) for one in found.colours if one.count]
    if found.period.last_day == today:
        doubts.insert(0, f"{today} is not over")
    if doubts:
        raise NeedsAnswer(f"{found.period.code}: {', '.join(doubts)}. Close it all the same?")


def statement_now(book: Book, first_day: str, last_day: str) -> Statement:
    """The statement an open period would have if it were closed now."""
    period_end(first_day, last_day)
    with book.reading() as db:
        return _statement(db, Period(period_code(first_day, last_day), first_day, last_day))


def statement_of(book: Book, text: str) -> Statement:
    """A closed period's statement, as the book stood when it was closed."""
    with book.reading() as db:
        closing = _closing(db, text)
    with reading_as_of(book, AsOf(closing.period.last_day, closing.entry)) as db:
        return _statement(db, closing.period, closing.entry)


def _closing(db: sqlite3.Connection, text: str) -> Closing:
    """By its code the last closing of a period, by `number N` any statement."""
    wanted = texts.required_text(text, "period")
    made = [one for one in asked.closings(db) if one.period.closed]
    for one in reversed(made):
        if wanted in (one.period.code, str(one.period.number)):
            return one
    known = [one.period.code for one in made]
    hint = near(wanted, known) or " 'stockbook period show' lists all."
    raise InputError(f"period: {wanted} was never closed.{hint}")


def _statement(db: sqlite3.Connection, period: Period, entry: int | None = None) -> Statement:
    first, last = period.first_day, period.last_day
    during = asked.flows_within(db, first, last)
    classes = class_flows(asked.value_by_class(db), during, asked.flows_after(db, last))
    colours = (
        asked.staged_value(db, last), asked.provisional_value(db, first, last),
        _not_invoiced(db, last), *_not_credited(db, last),
    )  # fmt: skip
    return Statement(
        period, classes, tuple(asked.balances_through(db, last)), proof(db, first, last),
        colours, entry,
    )  # fmt: skip


def _not_invoiced(db: sqlite3.Connection, last_day: str) -> Colour:
    """Lots that came by the last day and that no invoice names in full."""
    found = [one for one in not_invoiced(db) if one.lot.received_on <= last_day]
    return Colour("uninvoiced lot", len(found), sum(one.value for one in found))


def _not_credited(db: sqlite3.Connection, last_day: str) -> list[Colour]:
    """Lots sent back by the last day for which a supplier owes a credit; nothing where none."""
    found = [one for one in owed(db) if one.day <= last_day]
    value = sum(one.owed_value for one in found)
    return [Colour("uncredited lot", len(found), value)] if found else []


def all_closings(book: Book) -> Listed[Closing]:
    """Every closing and reopening."""
    with book.reading() as db:
        return Listed(tuple(asked.closings(db)), *last_entry(db)[:2])


def reopen_period(
    book: Book, signature: Signature, code: str, *, keep: bool = True
) -> tuple[Period, int]:
    """The last closed period takes entries again; its statement stays printable as it was."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "reopen")
        second_person(signature, "Reopening a period")
        reason_from(signature.reason, REOPEN, "--reason")
        period = find(post.db, Period, texts.required_text(code, "period"))
        if period is None:
            known = [one.code for one in all_of(post.db, Period)]
            raise InputError(f"period: {code} is not in this book.{near(code, known)}")
        _check_last(post.db, period)
        opened = replace(period, closed=False)
        key = request(natural_key(post.db, f"reopen/{_key(post.db, period.code)}"), [period.code])
        known_entry = same_request(post.db, key)
        entry = known_entry or post.post(
            Draft("period", signature, key, (), [opened], period.code)
        ).number  # fmt: skip
        return opened, entry


def _check_last(db: sqlite3.Connection, period: Period) -> None:
    last = asked.last_closed(db)
    if not period.closed or last is None:
        raise Refused(f"period: {period.code} is open already.")
    if last.code != period.code:
        raise Refused(
            f"period: {last.code} was closed after {period.code} and begins where it ends. "
            f"Reopen {last.code} first."
        )
