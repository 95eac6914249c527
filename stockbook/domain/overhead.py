"""Overhead of the theatre: a rate a case or a minute, and what it makes of one case."""

from collections.abc import Iterable
from dataclasses import dataclass

from stockbook.domain.amounts import LIMIT, text_from_whole, whole_from_text
from stockbook.errors import InputError

NONE = "none"
PER_CASE, PER_MINUTE = "case", "minute"
LONGEST = 1440
"""The minutes of a day: no case has the theatre for longer."""

FINEST = 3
"""The most decimals that a currency has (ISO 4217)."""


@dataclass(frozen=True, slots=True)
class Rate:
    """So many minor units for each case, or for each minute in theatre."""

    per: str
    amount: int


def minutes_from_text(text: str) -> int:
    """How long a case had the theatre, in whole minutes.

    >>> minutes_from_text("18")
    18
    """
    minutes = whole_from_text(text, 0, "minutes")
    if not 1 <= minutes <= LONGEST:
        raise InputError(f"minutes: found {text!r}, wanted 1 to {LONGEST} whole minutes.")
    return minutes


def rate_from_text(text: str, decimals: int) -> Rate | None:
    """The rate of the setting `overhead` in a currency of so many decimals; none is no rate.

    >>> rate_from_text("minute 12.50", 2), rate_from_text("none", 2)
    (Rate(per='minute', amount=1250), None)
    """
    words = text.lower().split()
    if words == [NONE]:
        return None
    if len(words) != 2 or words[0] not in (PER_CASE, PER_MINUTE):
        raise InputError(
            f"overhead: found {text!r}, wanted none, or a rate such as 'case 450' or 'minute 12'."
        )
    amount = whole_from_text(words[1], decimals, "overhead")
    if amount <= 0:
        raise InputError(f"overhead: found {text!r}, wanted more than nothing, or none.")
    if amount * LONGEST >= LIMIT:
        raise InputError(f"overhead: found {text!r}, wanted less; this is too large to be real.")
    return Rate(words[0], amount)


def rate_text(rate: Rate | None, decimals: int) -> str:
    """A rate as the setting keeps it.

    >>> rate_text(Rate("case", 45000), 2)
    'case 450.00'
    """
    return f"{rate.per} {text_from_whole(rate.amount, decimals)}" if rate else NONE


@dataclass(frozen=True, slots=True)
class RateSince:
    """A rate, the first day it holds for and the entry that says so; none takes it away."""

    day: str
    entry: int
    rate: Rate | None


def rate_on(rates: Iterable[RateSince], day: str) -> RateSince | None:
    """What was said last about a day: rates come in the order of their entries.

    >>> old, new = RateSince("2027-01-01", 5, None), RateSince("2027-02-01", 9, Rate("case", 1))
    >>> rate_on([old, new], "2027-01-31").entry, rate_on([old, new], "2027-02-01").entry
    (5, 9)
    """
    found = None
    for one in rates:
        if one.day <= day:
            found = one
    return found


@dataclass(frozen=True, slots=True)
class CaseOverhead:
    """What a case bears of the theatre's overhead: its rate times its minutes, or once."""

    case: str
    minutes: int | None
    rate: Rate
    entry: int
    """The entry that said the rate."""

    @property
    def amount(self) -> int | None:
        """In minor units; not known where a rate a minute meets a case without minutes."""
        if self.rate.per == PER_CASE:
            return self.rate.amount
        return None if self.minutes is None else self.rate.amount * self.minutes
