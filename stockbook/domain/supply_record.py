"""A supplier's record: how long each delivered line took, and how much came in time."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stockbook.domain.amounts import half_even
from stockbook.domain.days import days_between


@dataclass(frozen=True, slots=True)
class Delivered:
    """What one day brought on a line: finest steps, lots, how many of them short-dated, and of how
    many something was sent back for a fault of the delivery.
    """

    day: str
    quantity: int
    lots: int = 1
    short_dated: int = 0
    sent_back: int = 0


@dataclass(frozen=True, slots=True)
class OrderedLine:
    """A line as it was ordered and what came of it; `due_on` is the day first agreed."""

    order: str
    item: str
    ordered_on: str
    due_on: str
    quantity: int
    quoted_days: int | None = None
    closed: bool = False
    deliveries: tuple[Delivered, ...] = ()

    @property
    def came(self) -> int:
        """What came of what was ordered; what came beyond is no merit."""
        return min(self.quantity, sum(one.quantity for one in self.deliveries))

    @property
    def in_time(self) -> int:
        """What of it came through the day it was due."""
        through = sum(one.quantity for one in self.deliveries if one.day <= self.due_on)
        return min(self.quantity, through)


@dataclass(frozen=True, slots=True)
class LeadTime:
    """How many days a delivered line took, and how many were quoted."""

    order: str
    item: str
    received_on: str
    days: int
    quoted_days: int | None
    quantity: int


@dataclass(frozen=True, slots=True)
class Share:
    """A part of a whole, as two whole numbers."""

    part: int
    whole: int


@dataclass(frozen=True, slots=True)
class AtTheDoor:
    """What became of all that a supplier ever delivered, by line: reason to how many."""

    lots: int = 0
    """Lots that were taken in, those set aside included."""
    rejected: tuple[tuple[str, int], ...] = ()
    """Lines that were not taken in."""
    set_aside: tuple[tuple[str, int], ...] = ()
    """Lots that went to the quarantine area at once."""

    @property
    def rejects(self) -> Share:
        """Lines not taken in, of all that came."""
        count = sum(n for _, n in self.rejected)
        return Share(count, self.lots + count)


NOTHING_CAME = AtTheDoor()


@dataclass(frozen=True, slots=True)
class SupplyRecord:
    """What a supplier's orders say about them.

    A line that came in parts has a lead time for each day something came. The fill counts lines
    and, of each, the share that came: units of different items cannot be added.
    """

    lines: int
    """All lines ordered."""
    judged: tuple[OrderedLine, ...]
    """Lines that are due, whole or given up; what is not due yet is no failure."""
    lead_times: tuple[LeadTime, ...]
    short_dated: Share
    """Lots that came short-dated, of all lots that came on orders."""
    sent_back: Share
    """Lots of which something was sent back for a fault of the delivery, of all likewise."""
    door: AtTheDoor = NOTHING_CAME

    @property
    def full(self) -> Share:
        """Lines of which everything came."""
        return Share(sum(one.came == one.quantity for one in self.judged), len(self.judged))

    @property
    def full_in_time(self) -> Share:
        """Lines of which everything came by the day first agreed."""
        return Share(sum(one.in_time == one.quantity for one in self.judged), len(self.judged))

    @property
    def fill(self) -> int:
        """The share of what was ordered that came at all, mean over lines; in 10,000."""
        return _mean([(one.came, one.quantity) for one in self.judged])

    @property
    def fill_in_time(self) -> int:
        """The share of what was ordered that came by the day first agreed; in 10,000."""
        return _mean([(one.in_time, one.quantity) for one in self.judged])


def _mean(shares: Sequence[tuple[int, int]]) -> int:
    if not shares:
        return 0
    return half_even(sum(half_even(10_000 * p, whole) for p, whole in shares), len(shares))


def supply_record(
    rows: Sequence[OrderedLine], day: str, door: AtTheDoor = NOTHING_CAME
) -> SupplyRecord:
    """The record that a supplier's order lines make, as it stands on a day.

    >>> row = OrderedLine("O-1", "GEL", "2027-01-01", "2027-01-10", 10, 7, False,
    ...                   (Delivered("2027-01-08", 6), Delivered("2027-01-12", 4)))
    >>> record = supply_record([row], "2027-02-01")
    >>> [one.days for one in record.lead_times], record.fill, record.fill_in_time
    ([7, 11], 10000, 6000)
    """
    lots = sum(one.lots for row in rows for one in row.deliveries)
    return SupplyRecord(
        len(rows),
        tuple(r for r in rows if r.closed or r.due_on < day or r.came == r.quantity),
        lead_times(rows),
        Share(sum(one.short_dated for row in rows for one in row.deliveries), lots),
        Share(sum(one.sent_back for row in rows for one in row.deliveries), lots),
        door,
    )


def lead_times(rows: Sequence[OrderedLine]) -> tuple[LeadTime, ...]:
    """The days from order to receipt of every delivered line, the latest receipt last."""
    found = [
        LeadTime(
            row.order, row.item, one.day, days_between(row.ordered_on, one.day), row.quoted_days,
            one.quantity,
        )
        for row in rows for one in row.deliveries
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda one: (one.received_on, one.order, one.item)))


def is_covered_by_any(rows: Sequence[OrderedLine], item: str) -> bool:
    """Whether the first of a supplier's later orders to come is likely to bring the item.

    Nearly every order (nine in ten, of at least four) had it, and of its own orders some came
    before an earlier one did. `rows` are all lines ordered of the supplier.

    >>> lines = [OrderedLine(f"O{n}", "GEL", f"2027-01-0{n}", "2027-02-01", 1, 1, False,
    ...                      (Delivered(f"2027-01-{day}", 1),))
    ...          for n, day in enumerate((20, 22, 21, 25), 1)]
    >>> is_covered_by_any(lines, "GEL"), is_covered_by_any(lines[:3], "GEL")
    (True, False)
    """
    orders = {row.order for row in rows}
    own = [row for row in rows if row.item == item]
    if len(orders) < 4 or 10 * len({row.order for row in own}) < 9 * len(orders):
        return False
    came = [
        row.deliveries[0].day for row in sorted(own, key=lambda row: row.ordered_on)
        if row.deliveries
    ]  # fmt: skip
    return any(later < earlier for earlier, later in pairwise(came))
