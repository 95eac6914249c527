"""What is expected to be left of a lot at its expiry, from how much of its item is used a day."""

from collections.abc import Sequence
from dataclasses import dataclass

from stockbook.domain.amounts import half_even


@dataclass(frozen=True, slots=True)
class RecentUse:
    """So many finest steps of an item used within so many days."""

    quantity: int
    days: int


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
        taken = min(steps * use.days, max(0, demand - used_before))
        used_before += taken
        left.append(half_even(steps * use.days - taken, use.days))
    return left
