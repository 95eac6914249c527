"""One policy orders for three years; what it leads to is counted over the last two."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from list_mix.demand import OPERATING_DAYS, WARM_UP_WEEKS, WEEKS, World
from list_mix.site import SUPPLIERS, Floats, Ints
from list_mix.view import (
    Lots,
    Policy,
    Receipts,
    View,
    calendar_until,
    past_cases,
    scheduled_cases,
)

OPENING_WEEKS = 4
"""Weeks of the first year's mean use that are there on the first day."""


@dataclass(frozen=True)
class Outcome:
    """Two years: mean stock value, shares of operated cases that were short, order lines a week.

    The arrays are units over all three years, by stocked thing: received (with the opening
    stock) - used - expired = on hand, and used + unmet = wanted.
    """

    value_consumables: float
    value_lenses: float
    short_consumables: float
    short_lenses: float
    lines_a_week: float
    expired_value_a_year: float
    received: Ints
    used: Ints
    expired: Ints
    unmet: Ints
    on_hand: Ints


class Theatre:
    """The stock of one run. First expired is first received, so running sums are enough."""

    def __init__(self, world: World) -> None:
        self.world = world
        days, things = world.wanted.shape
        self.arrivals = np.zeros((days, things), np.int64)
        self.arrivals[0] = self._in_packs(world.wanted_by_week[:52].mean(axis=0) * OPENING_WEEKS)
        self.received = np.zeros((days, things), np.int64)
        self.received_until = -1
        self.used = np.zeros(things, np.int64)
        self.expired = np.zeros(things, np.int64)
        self.on_order = np.zeros(things, np.int64)
        self.orders: list[tuple[int, Ints]] = []
        self.short_of_consumable = np.zeros(len(world.cases.day), bool)
        self.short_of_lens = np.zeros(len(world.cases.day), bool)
        self.counted_values: list[Floats] = []
        self.lines = 0
        self.expired_value = 0.0
        cases_before = np.arange(days + 1)
        self.case_starts = np.searchsorted(world.cases.day, cases_before)
        self.things = np.arange(things)

    def _in_packs(self, quantity: Floats | Ints) -> Ints:
        packs = self.world.site.packs
        return np.asarray(-(-np.ceil(quantity).astype(np.int64) // packs) * packs)

    @property
    def on_hand(self) -> Ints:
        """Units on the shelves."""
        return np.asarray(self.received[self.received_until] - self.used - self.expired)

    def open_morning(self, day: int) -> None:
        """What came since the last operating day is on the shelves, what expired is off them."""
        for each in range(self.received_until + 1, day + 1):
            self.received[each] = self.received[each - 1] + self.arrivals[each]
            if each:
                self.on_order -= self.arrivals[each]
        self.received_until = day
        came = day - self.world.site.shelf_days - 1
        old = np.where(came >= 0, self.received[np.maximum(came, 0), self.things], 0)
        gone = np.maximum(old - self.used - self.expired, 0)
        if gone.any():
            self.expired += gone
            if day >= 7 * WARM_UP_WEEKS:
                self.expired_value += float(gone @ self.world.site.costs)

    def place_order(self, week: int, policy: Policy) -> None:
        """The policy's order is on its way, by supplier."""
        quantity = policy.orders(self._view(week))
        assert quantity.shape == self.things.shape
        assert (quantity >= 0).all()
        units = self._in_packs(quantity)
        if week >= WARM_UP_WEEKS:
            self.lines += int((units > 0).sum())
        self.on_order += units
        self.orders.append((week, units))
        due = 7 * week + self.world.lead_days[week][self.world.site.supplier]
        inside = due < len(self.arrivals)
        np.add.at(self.arrivals, (due[inside], self.things[inside]), units[inside])

    def operate(self, day: int) -> None:
        """The day's cases use what is there; what is not there is unmet and lost."""
        wanted, have = self.world.wanted[day], self.on_hand
        for thing in np.flatnonzero(wanted > have):
            self._mark_short(day, int(thing), int(have[thing]))
        self.used += np.minimum(wanted, have)
        if day >= 7 * WARM_UP_WEEKS:
            self.counted_values.append(self.on_hand * self.world.site.costs)

    def _mark_short(self, day: int, thing: int, have: int) -> None:
        """The cases after the last unit are short, in the order of the day."""
        rows = slice(self.case_starts[day], self.case_starts[day + 1])
        cases, consumables = self.world.cases, self.world.site.consumables
        if thing < consumables:
            need = cases.need[rows, thing]
            self.short_of_consumable[rows] |= (need.cumsum() > have) & (need > 0)
            return
        need = cases.lenses[rows] * (self.world.stocked[rows] == thing)
        self.short_of_lens[rows] |= (need.cumsum() > have) & (need > 0)

    def _view(self, week: int) -> View:
        camp, open_share = calendar_until(self.world, week)
        return View(
            week, self.world.site, past_cases(self.world, week), scheduled_cases(self.world, week),
            camp, open_share, self.world.wanted_by_week[:week], self.on_hand, self.on_order.copy(),
            self._open_orders(week), self._receipts(week),
            partial(self._lots, 7 * week, self.used + self.expired),
        )  # fmt: skip

    def _open_orders(self, week: int) -> tuple[tuple[int, Ints], ...]:
        """Orders with units that have not come by today."""
        supplier, found = self.world.site.supplier, []
        for placed, units in self.orders[-6:]:
            outstanding = 7 * placed + self.world.lead_days[placed][supplier] > 7 * week
            if (units * outstanding).any():
                found.append((7 * placed, units * outstanding))
        return tuple(found)

    def _receipts(self, week: int) -> Receipts:
        placed = np.repeat(np.arange(week), SUPPLIERS)
        supplier = np.tile(np.arange(SUPPLIERS), week)
        received = 7 * placed + self.world.lead_days[placed, supplier]
        here = received <= 7 * week
        return Receipts(supplier[here], 7 * placed[here], received[here])

    def _lots(self, day: int, gone: Ints) -> Lots:
        """The sums of receipts until a day less what had gone, by day of receipt."""
        left = np.maximum(self.received[: day + 1] - gone, 0)
        quantity = np.diff(left, axis=0, prepend=0)
        item, received_on = np.nonzero(quantity.T)
        last_day = received_on + self.world.site.shelf_days[item]
        return Lots(item, last_day, quantity[received_on, item])


def simulated(world: World, policy: Policy) -> Outcome:
    """The outcome of a policy in a world."""
    theatre = Theatre(world)
    for week in range(WEEKS):
        for weekday in range(OPERATING_DAYS):
            day = 7 * week + weekday
            theatre.open_morning(day)
            if weekday == 0:
                theatre.place_order(week, policy)
            theatre.operate(day)
    return _outcome(theatre)


def _outcome(theatre: Theatre) -> Outcome:
    world, weeks = theatre.world, WEEKS - WARM_UP_WEEKS
    counted = (world.cases.week >= WARM_UP_WEEKS) & (world.cases.happens == 1)
    values = np.mean(theatre.counted_values, axis=0)
    split = world.site.consumables
    return Outcome(
        float(values[:split].sum()), float(values[split:].sum()),
        float(theatre.short_of_consumable[counted].mean()),
        float(theatre.short_of_lens[counted].mean()),
        theatre.lines / weeks, theatre.expired_value * 52 / weeks,
        theatre.received[theatre.received_until], theatre.used, theatre.expired,
        world.wanted.sum(axis=0) - theatre.used, theatre.on_hand,
    )  # fmt: skip
