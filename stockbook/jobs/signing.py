"""Who records, when, and for which day: checked once, before anything is decided."""

import sqlite3

from stockbook.domain import texts
from stockbook.domain.days import days_between
from stockbook.domain.entries import Request, Signature, digest_of
from stockbook.domain.reasons import check_reason
from stockbook.domain.roles import check_role
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import near
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry, staff, staff_codes

SILENCE_DAYS = 45
"""After so many days without an entry the clock is doubted."""


def known_staff(db: sqlite3.Connection, text: str, what: str = "staff code") -> str:
    """The code of someone who may post."""
    code = texts.code(text, what)
    person = staff(db, code)
    if person is None or not person.active:
        known = [p.code for p in staff_codes(db)]
        raise InputError(f"{what}: {code} is not in this book.{near(code, known)}")
    return code


def check_person(db: sqlite3.Connection, signature: Signature, command: str) -> None:
    """The signature is of someone whose role may give this command; two codes are two people."""
    check_reason(signature.reason, command)
    check_signers(db, signature, command)


def check_signers(db: sqlite3.Connection, signature: Signature, command: str) -> None:
    """Who signs may give the command, on a day that has come."""
    code = known_staff(db, signature.by, "staff code (--by)")
    person = staff(db, code)
    check_role(code, person.role if person else "", command)
    if signature.checked_by is not None:
        known_staff(db, signature.checked_by, "second person (--checked-by)")
        if signature.checked_by == signature.by:
            raise Refused(f"--checked-by: {code} cannot check their own entry; ask another person.")
    if signature.happened_on > signature.today:
        raise InputError(f"--on: {signature.happened_on} lies after today ({signature.today}).")


def second_person(signature: Signature, act: str) -> None:
    """Refuse an act that two people have to do together when only one signs."""
    if signature.checked_by is None:
        raise Refused(f"{act} needs a second person: give --checked-by CODE.")


def clock_question(book: Book, today: str) -> str | None:
    """What to ask when the machine's day looks wrong beside the last entry; none when it fits."""
    number, _, happened_on, _ = last_entry(book.db)
    if not number:
        return None
    gap = days_between(happened_on, today)
    if gap < 0:
        return f"Today is {today}, but entry {number} happened on {happened_on}. Is today right?"
    if gap > SILENCE_DAYS:
        return f"The last entry ({number}) is {gap} days old. Is today really {today}?"
    return None


def request(key: str, asked: object) -> Request:
    """A request under its key, with the digest of what was asked."""
    return Request(key, digest_of(asked))


def fresh_request(db: sqlite3.Connection, command: str, asked: object) -> Request:
    """A request of something without a document: its key is never asked for again."""
    number, checksum, _, _ = last_entry(db)
    return request(f"{command}/{number + 1}/{checksum[:12]}", asked)
