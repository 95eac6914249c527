"""What a policy may know on a Monday morning before the first case, and no more."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from list_mix.demand import CALENDAR_AHEAD, World
from list_mix.site import Floats, Ints, Site

UNKNOWN = -1


@dataclass(frozen=True)
class Past:
    """Every case that was ever scheduled for an earlier week, one place of each array a case.

    What a case wanted and did not get is counted, so `need` and `lenses` are whole, and the
    history is the same whoever orders. `seen_ahead` is in how many weeks' time the case was to
    be on the Monday that first saw it, -1 where none did.
    """

    week: Ints
    day: Ints
    category: Ints
    camp: Ints
    procedure: Ints
    model: Ints
    power: Ints
    happened: Ints
    seen_ahead: Ints
    events: Ints
    need: Ints
    lenses: Ints


@dataclass(frozen=True)
class Scheduled:
    """The cases on the lists today, this week's included; a power not yet known is -1."""

    week: Ints
    day: Ints
    category: Ints
    camp: Ints
    procedure: Ints
    model: Ints
    power: Ints


@dataclass(frozen=True)
class Receipts:
    """Every delivery so far: its supplier, the day it was ordered and the day it came."""

    supplier: Ints
    ordered_day: Ints
    received_day: Ints


@dataclass(frozen=True)
class Lots:
    """What is on hand by lot, an item's soonest last day first."""

    item: Ints
    last_day: Ints
    quantity: Ints


@dataclass(frozen=True)
class View:
    """A Monday. Arrays of stocked things are in the order of the site.

    `camp` (cases planned) and `open_share` (1, or a closure's share of the usual volume) run by
    week from the first to six weeks ahead. `open_orders` are those not yet received: the day each
    was placed, and its units.
    """

    week: int
    site: Site
    past: Past
    scheduled: Scheduled
    camp: Floats
    open_share: Floats
    wanted_by_week: Ints
    on_hand: Ints
    on_order: Ints
    open_orders: tuple[tuple[int, Ints], ...]
    receipts: Receipts
    lots: Callable[[], Lots]

    @property
    def today(self) -> int:
        """Days since the first Monday."""
        return 7 * self.week

    @property
    def position(self) -> Ints:
        """Units on hand and on order."""
        return self.on_hand + self.on_order


class Policy(Protocol):
    """What orders."""

    def orders(self, view: View) -> Ints:
        """Units to order today, one whole number for each stocked thing; none below 0."""


def past_cases(world: World, week: int) -> Past:
    """The cases of earlier weeks."""
    cases = world.cases
    end = int(np.searchsorted(cases.week, week))
    seen_ahead = cases.week[:end] - cases.seen_week[:end]
    names = ("week", "day", "category", "camp", "procedure", "model", "power")
    fields = (getattr(cases, name)[:end] for name in names)
    return Past(
        *fields, cases.happens[:end], seen_ahead, cases.events[:end], cases.need[:end],
        cases.lenses[:end],
    )  # fmt: skip


def scheduled_cases(world: World, week: int) -> Scheduled:
    """The cases of this week and later that stand on a list today."""
    cases = world.cases
    start = int(np.searchsorted(cases.week, week))
    rows = start + np.flatnonzero(cases.seen_week[start:] <= week)
    power = np.where(cases.power_day[rows] <= 7 * week, cases.power[rows], UNKNOWN)
    names = ("week", "day", "category", "camp", "procedure", "model")
    return Scheduled(*(getattr(cases, name)[rows] for name in names), power)


def calendar_until(world: World, week: int) -> tuple[Floats, Floats]:
    """Camps and closures from the first week to six weeks ahead."""
    end = week + CALENDAR_AHEAD + 1
    return world.calendar.camp[:end], world.calendar.open_share[:end]
