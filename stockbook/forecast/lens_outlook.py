"""The outlook of one lens power: its demand, until when it lasts, what is left over."""

from collections.abc import Sequence

from stockbook.domain.foresight import LotAhead
from stockbook.forecast.coming import Days
from stockbook.forecast.demand import Demand
from stockbook.forecast.distributions import Distribution, always
from stockbook.forecast.lens_powers import (
    LensCases,
    lens_extended,
    one_power,
    power_demands,
    power_means,
)
from stockbook.forecast.outlook import Ahead, runs_out_on
from stockbook.forecast.waste import expected_waste


def power_ahead(
    cases: LensCases, share: float, number: int, interval: Days, total: Distribution, usable: int
) -> Ahead:
    """A power's demand (`total`, reckoned with all powers at once) and the day it runs out on."""
    listed, not_yet = power_means(cases, share, number)
    by_listed = sum(
        chance * float(listed[:days].sum()) for days, chance in interval.items()
    )  # fmt: skip
    by_others = sum(chance * float(not_yet[:days].sum()) for days, chance in interval.items())
    means: list[float] = (listed + not_yet).tolist()
    return Ahead(Demand(total, by_listed, by_others), runs_out_on(means, usable), None)


def until_day(cases: LensCases, share: float, number: int, days: int) -> Distribution:
    """A power's demand of the next so many days."""
    longer = lens_extended(cases, days)
    return power_demands(one_power(longer, number), [share], {days: 1.0})[0]


def lens_left(
    cases: LensCases, share: float, number: int, lots: Sequence[LotAhead]
) -> float | None:
    """Lenses of a power expected to be left over of lots that expire in the time."""
    ending = sorted((one for one in lots if one.days_left < len(cases.known)), key=_days_left)
    if not ending:
        return None
    between, start = [], 0
    for lot in ending:
        end = lot.days_left + 1
        span = one_power(cases, number, start, end)
        days = end - start
        between.append(power_demands(span, [share], {days: 1.0})[0] if days else always(0))
        start = end
    return sum(expected_waste([lot.quantity for lot in ending], between))


def _days_left(lot: LotAhead) -> int:
    return lot.days_left
