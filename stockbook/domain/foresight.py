"""What the coming lists will use: an answer for each item, and what it rests on."""

from collections.abc import Mapping
from dataclasses import dataclass

from stockbook.domain.facts import Item
from stockbook.domain.forecasts import Estimate, NoBasis, Shares


@dataclass(frozen=True, slots=True)
class LotAhead:
    """Usable units of a lot and the days from today through its expiry."""

    quantity: int
    days_left: int


@dataclass(frozen=True, slots=True)
class Spiked:
    """A week in which far more was used than in all others; left out until a person judges it."""

    item: Item
    week: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Outlook:
    """One item until the order after next can come; quantities in finest steps.

    `lasts_until` is the day on which the expected use has taken what is usable; none beyond the
    days that were looked at. `left_over` is what is expected to be left of the lots that expire
    within a year; none where nothing expires in that time.
    """

    item: Item
    usable: int
    on_order: int
    expected: float
    listed: float
    """The part of it that cases on the lists will use."""
    chance_short: float
    one_in: int | None
    """One chance in so many of running short; none where it is hardly any."""
    lasts_until: str | None
    left_over: float | None
    standby: int
    lead: Shares
    basis: str
    levels: tuple[tuple[float, int], ...] = ()
    """Service levels with the units that reach them."""


@dataclass(frozen=True, slots=True)
class Basis:
    """What the forecast rests on, estimate by estimate."""

    since: str
    cases: int
    estimates: tuple[Estimate | Shares, ...]
    uses: Mapping[str, tuple[str, ...]]
    """By item, how often each kind of case took how much, in words."""


@dataclass(frozen=True, slots=True)
class Foresight:
    """The outlook of every item that has one, and the items that have no basis."""

    day: str
    review_days: int
    outlooks: tuple[Outlook, ...]
    no_basis: tuple[NoBasis, ...]
    basis: Basis
    notes: tuple[str, ...] = ()
    """Spans of the calendar that counted, and what is missing, in words."""
    spikes: tuple[Spiked, ...] = ()
