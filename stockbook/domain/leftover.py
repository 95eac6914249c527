"""What will be left over of each lot at its expiry, if use goes on as of late."""

from collections.abc import Sequence
from dataclasses import dataclass

from stockbook.domain.amounts import half_even, value_of_part
from stockbook.domain.days import NO_EXPIRY, days_between
from stockbook.domain.picking import ShelfRow


@dataclass(frozen=True, slots=True)
class RecentUse:
    """So many finest steps used in so many days: a rate as two whole numbers."""

    quantity: int
    days: int

    @property
    def is_seen(self) -> bool:
        """Whether there is any use to reckon from."""
        return self.quantity > 0 and self.days > 0

    def a_month(self, hundredths: int) -> int | None:
        """Finest steps a month of so many hundredths of a day, rounded half-even once; none unseen.

        >>> RecentUse(90, 90).a_month(3040), RecentUse(90, 90).a_month(3050)
        (30, 30)
        >>> RecentUse(900, 90).a_month(3040), RecentUse(900, 90).a_month(3050)
        (304, 305)
        """
        return half_even(self.quantity * hundredths, 100 * self.days) if self.is_seen else None


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What is expected to be left of one lot at one place when it expires, and its value.

    Both are none where no use was seen: nothing is known, which is not the same as nothing left.
    """

    row: ShelfRow
    quantity: int | None
    value: int | None


def expected_left(lots: Sequence[tuple[int, int]], use: RecentUse) -> list[int]:
    """Finest steps left of each lot at its expiry when use goes on as it did.

    `lots` are (days left, steps) in the order in which they are used, soonest expiry first; days
    left count after today, and today is a day of use too. A lot past its day is left whole.
    Exact in fractions of a day's use; each answer is rounded half-even once.

    >>> expected_left([(9, 30), (19, 30)], RecentUse(quantity=20, days=10))
    [10, 10]
    """
    left = []
    used_before = 0  # in steps times days, so that nothing is rounded on the way
    for days_left, steps in lots:
        demand = use.quantity * max(0, days_left + 1)
        taken = max(0, min(steps * use.days, demand - used_before))
        used_before += taken
        left.append(half_even(steps * use.days - taken, use.days))
    return left


def left_over(
    rows: Sequence[ShelfRow], use: RecentUse, day: str, least_days_left: int = 0
) -> list[LeftOver]:
    """For each row that expires, in the order of use: units left at its expiry, value at stake.

    `rows` are what may be used of one item, anywhere. A lot serves until its expiry less the days
    that must be left at use, then the next one serves. Value is that of the rounded units (rule
    4). What is past its expiry is left over whole, whether or not any use was seen.

    90 used in 90 days is one a day: of 40 that serve today and 30 days more 9 are left.

    >>> from stockbook.domain.facts import Lot
    >>> lot = Lot(1, "VISC", "V1", None, "2027-03-31", "day", "2027-01-01", None, "bought", 40)
    >>> [found] = left_over([ShelfRow("STORE", lot, 40, 4000)], RecentUse(90, 90), "2027-03-01")
    >>> found.quantity, found.value
    (9, 900)
    """
    ordered = sorted(
        (row for row in rows if row.lot.expires_on != NO_EXPIRY),
        key=lambda r: (r.lot.expires_on, r.lot.received_on, r.lot.code, r.place),
    )
    days_left = [days_between(day, row.lot.expires_on) for row in ordered]
    serving = [
        (days - least_days_left, r.quantity) for days, r in zip(days_left, ordered, strict=True)
    ]
    left = expected_left(serving, use) if use.is_seen else [0] * len(ordered)
    return [
        LeftOver(row, None, None) if days >= 0 and not use.is_seen
        else _of(row, units if days >= 0 else row.quantity)
        for row, days, units in zip(ordered, days_left, left, strict=True)
    ]  # fmt: skip


def _of(row: ShelfRow, units: int) -> LeftOver:
    return LeftOver(row, units, value_of_part(row.value, row.quantity, units))
