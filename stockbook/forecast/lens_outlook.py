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
from stockbook.forecast.outlook import Ahead, left_in_turn, runs_out_on


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


def demand_of_power(cases: LensCases, share: float, number: int, interval: Days) -> Distribution:
    """A power's demand over a random interval from today, however long."""
    longer = lens_extended(cases, max(interval))
    return power_demands([(one_power(longer, number), [share])], interval)[0][0]


def lens_left(
    cases: LensCases, share: float, number: int, lots: Sequence[LotAhead]
) -> float | None:
    """Lenses of a power expected to be left over of lots that expire in the time."""
    ending = [one for one in lots if one.days_left < len(cases.known)]
    return sum(lens_left_by_lot(cases, share, number, ending)) if ending else None


def lens_left_by_lot(
    cases: LensCases, share: float, number: int, lots: Sequence[LotAhead]
) -> list[float]:
    """Lenses expected to be left of each of these lots, in the order of their expiry."""

    def demand(first: int, last: int) -> Distribution:
        if last <= first:
            return always(0)
        span = one_power(cases, number, first, last)
        return power_demands([(span, [share])], {last - first: 1.0})[0][0]

    return left_in_turn(sorted(lots, key=_days_left), demand)


def _days_left(lot: LotAhead) -> int:
    return lot.days_left
