"""What speaks against a delivery's lines: a past or short expiry, a gift's, a serial twice."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain.days import days_between, expiry_text
from stockbook.domain.deliveries import DeliveryLine
from stockbook.domain.reasons import DOOR, SHORT_DATED, reason_from
from stockbook.errors import Refused
from stockbook.jobs.finding import shown
from stockbook.jobs.left_ahead import left_of_line
from stockbook.ledger.settings import setting
from stockbook.ledger.stock import serials_on_hand


def check_lines(
    db: sqlite3.Connection, lines: Sequence[DeliveryLine], day: str, place: str
) -> None:
    """Every line may be taken in, or is set aside for a reason of the door."""
    short_days = int(setting(db, "short_dated_days"))
    for number, line in enumerate(lines, start=1):
        if line.place is not None:
            reason_from(line.reason, DOOR, "reason to set aside")
            continue
        _check_expiry(line, day, short_days, number)
        _check_gift(db, line, day, place, number)
    check_serials(db, lines)


def _check_expiry(line: DeliveryLine, day: str, short_days: int, number: int) -> None:
    left = days_between(day, line.expires_on)
    expiry = expiry_text(line.expires_on, line.expiry_precision)
    if left < 0:
        raise Refused(
            f"Line {number}, {line.item.code} lot {line.number}: its expiry {expiry} lies before "
            f"the delivery ({day}). Read the pack again; if it is right, do not accept the pack."
        )
    if left < short_days and line.reason is None:
        raise Refused(
            f"Line {number}, {line.item.code} lot {line.number}: expiry {expiry} is {left} days "
            f"away, fewer than {short_days}. Give a reason: {', '.join(SHORT_DATED)}."
        )
    if line.reason is not None:
        reason_from(line.reason, SHORT_DATED, "short-dated reason")


def _check_gift(
    db: sqlite3.Connection, line: DeliveryLine, day: str, place: str, number: int
) -> None:
    """A gift of a short life is accepted in somebody's name, who was told what will be left."""
    least = int(setting(db, "gift_least_days"))
    left = days_between(day, line.expires_on)
    if line.terms != "donated" or left >= least or line.reason is not None:
        return
    raise Refused(
        f"Line {number}, {line.item.code} lot {line.number}: a gift with {left} days left, fewer "
        f"than {least}. {left_over_words(db, line, day, place)} Give a reason to accept it in your "
        f"name: {', '.join(SHORT_DATED)}; or reject it."
    )


def left_over_words(db: sqlite3.Connection, line: DeliveryLine, day: str, place: str) -> str:
    """What is expected to be left of a line at its expiry, if it is taken in."""
    left = left_of_line(db, day, line, place)
    if left is None:
        return "What would be left of it at its expiry no forecast can say."
    amounts = f"{shown(line.item, left)} of {shown(line.item, line.quantity)}"
    return f"Expected left over at its expiry: {amounts}."


def check_serials(db: sqlite3.Connection, lines: Sequence[DeliveryLine]) -> None:
    """No serial of an item would be on hand twice."""
    by_item: dict[str, list[str]] = {}
    for line in lines:
        if line.serial is not None:
            by_item.setdefault(line.item.code, []).append(line.serial)
    for item, serials in by_item.items():
        twice = {s for s in serials if serials.count(s) > 1} | serials_on_hand(db, item, serials)
        if twice:
            raise Refused(
                f"{item}: serial {', '.join(sorted(twice))} would be on hand twice. "
                "Read the label again; look with 'stockbook trace SERIAL'."
            )
