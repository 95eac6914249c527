"""A prospect: what an item faces until the order after next can come, from all its uses."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Item
from stockbook.domain.forecasts import Shares
from stockbook.domain.foresight import LotAhead
from stockbook.domain.service_levels import ServiceLevel
from stockbook.forecast import estimates
from stockbook.forecast.coming import Days, protection, protection_with_crossing
from stockbook.forecast.demand import Demand
from stockbook.forecast.distributions import Distribution
from stockbook.forecast.outlook import Ahead
from stockbook.jobs.forecast_ground import Ground


@dataclass(frozen=True, eq=False, slots=True)
class Prospect:
    """An item, what there is of it, and its demand over its interval; finest steps.

    `over` gives its demand over any random interval from today, `left` what is expected to be left
    of each of some lots, in the order of their expiry; `basis` says in words what it rests on.
    """

    item: Item
    lead: Shares
    interval: Days
    usable: int
    on_order: int
    standby: int
    service: ServiceLevel
    ahead: Ahead
    over: Callable[[Days], Distribution]
    basis: str
    left: Callable[[Sequence[LotAhead]], list[float]]
    review_days: int = 0
    per_use: float = 1
    """What one case, or other use, takes of it when it takes any."""
    notes: tuple[str, ...] = ()
    by_any: bool = False
    """Whether the first of all later orders to come ends its interval."""
    level_by_cost: int | None = None
    """The level to be held where it goes by what a use costs."""

    @property
    def demand(self) -> Demand:
        """The demand until the order after next can come."""
        return self.ahead.demand

    @property
    def before_own(self) -> Distribution:
        """The demand until what is ordered now comes."""
        return self.over(estimates.days_of(self.lead))

    def until(self, days: int) -> Distribution:
        """The demand of so many days from today."""
        return self.over({days: 1})


@dataclass(frozen=True, slots=True)
class Held:
    """What there is of an item and is to come, and how long that takes."""

    lead: Shares
    usable: int
    on_order: int
    lots: Sequence[LotAhead]
    by_any: bool = False
    """Whether whichever later order comes first is likely to bring it."""


def shared_interval(held: Held) -> tuple[int, bool]:
    """What two items of one interval have in common: estimates of lead times are shared."""
    return id(held.lead), held.by_any


def interval_of(ground: Ground, held: Held) -> Days:
    """Review period and lead time: until the order after next can come, or any later one."""
    covered = protection_with_crossing if held.by_any else protection
    return covered(ground.review_days, estimates.days_of(held.lead))
