"""What cases bear of the theatre's overhead, by the rate in force on the day they are counted."""

import sqlite3
from collections.abc import Mapping

from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case
from stockbook.domain.overhead import (
    CaseOverhead,
    RateSince,
    rate_from_text,
    rate_on,
    rate_text,
)
from stockbook.errors import Refused
from stockbook.jobs.finding import money_of
from stockbook.ledger.facts import version_at
from stockbook.ledger.money import EVER, first_used
from stockbook.ledger.overhead import (
    changed_after,
    closed_days,
    minutes_of,
    rates_said,
)


def overheads(db: sqlite3.Connection, days: Mapping[str, str]) -> dict[str, CaseOverhead]:
    """Of each case (with the day its first use was booked) its overhead, where a rate holds.

    A day of a closed period is reckoned as the book stood after the entry that closed it, so
    that minutes given later never alter what was said.
    """
    rates = rates_of(db)
    if not any(one.rate for one in rates):
        return {}
    said = {day: rate_on(rates, day) for day in set(days.values())}
    bearing = [code for code, day in days.items() if (one := said[day]) and one.rate]
    if not bearing:
        return {}
    minutes = _minutes(db, {code: days[code] for code in bearing})
    found = {}
    for code in bearing:
        one = said[days[code]]
        if one is not None and one.rate is not None:
            found[code] = CaseOverhead(code, minutes.get(code), one.rate, one.entry)
    return found


def overhead_of_case(db: sqlite3.Connection, case: Case) -> CaseOverhead | None:
    """What a patient's case bears, once it used anything; by the day that was booked."""
    if case.kind != "patient":
        return None
    return overheads(db, first_used(db, {case.code}, *EVER)).get(case.code)


def rates_of(db: sqlite3.Connection) -> list[RateSince]:
    """Every rate that was said, in the order of the entries."""
    said = rates_said(db)
    decimals = money_of(db).decimals if said else 0
    return [RateSince(day, entry, rate_from_text(text, decimals)) for day, entry, text in said]


def _minutes(db: sqlite3.Connection, days: Mapping[str, str]) -> dict[str, int | None]:
    found: dict[str, int | None] = {**minutes_of(db, days)}
    for first, last, entry in closed_days(db):
        inside = [code for code, day in days.items() if first <= day <= last]
        for code in changed_after(db, entry, inside) if inside else ():
            then = version_at(db, Case, code, entry)
            found[code] = then.minutes if then else None
    return found


def rate_typed(db: sqlite3.Connection, text: str) -> str:
    """A rate as it is kept, in the book's currency."""
    decimals = money_of(db).decimals
    return rate_text(rate_from_text(text, decimals), decimals)


def holds_already(db: sqlite3.Connection, signature: Signature, value: str) -> bool:
    """Whether this very rate holds on the signature's day and on every day after it."""
    rates, day = rates_of(db), signature.happened_on
    wanted = rate_from_text(value, money_of(db).decimals)
    days = {day, *(one.day for one in rates if one.day > day)}
    found = (rate_on(rates, one) for one in days)
    return all((one.rate if one else None) == wanted for one in found)


def check_no_rate(db: sqlite3.Connection, before: str) -> None:
    """Refuse another currency where a rate was ever said in this one."""
    if any(one.rate for one in rates_of(db)):
        raise Refused(
            f"currency stays {before}: overhead was said in it. Another currency needs a book of "
            "its own."
        )
