"""Matching a supplier's invoice to what came, and carrying the difference to where units are."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from stockbook.domain.amounts import spread, value_of_part
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Item, Lot
from stockbook.domain.finance_facts import Invoice, InvoiceLine, InvoicePart
from stockbook.domain.places import supplier_place
from stockbook.errors import Refused


@dataclass(frozen=True, slots=True)
class ToInvoice:
    """A lot that was bought and came: finest steps that are to be paid, and those invoiced."""

    lot: Lot
    item: Item
    invoiced: int
    withheld: int = 0
    """What was sent back before it was invoiced: the supplier may never bill it."""

    @property
    def paid_quantity(self) -> int:
        """What was bought of it; bonus units are not invoiced."""
        return self.lot.price_quantity or 0

    @property
    def quantity(self) -> int:
        """What no invoice names yet."""
        return self.paid_quantity - self.invoiced - self.withheld

    @property
    def value(self) -> int:
        """What of its price no invoice names yet, as it was reckoned when it came."""
        return self.reckoned(self.quantity)

    def reckoned(self, part: int) -> int:
        """What so many more steps were reckoned at: the last take what is left of the price."""
        whole, price = self.paid_quantity, self.lot.price or 0
        before = value_of_part(price, whole, self.invoiced) if self.invoiced else 0
        if part == 0:
            return 0
        return value_of_part(price - before, whole - self.invoiced, part)


def matched(line: InvoiceLine, open_lots: Sequence[ToInvoice]) -> InvoiceLine:
    """The line with the lots it is for: those that came first are invoiced first.

    `open_lots` are of its item and supplier (and of the delivery it names). What they cannot
    take stays without a lot: invoiced and not received.
    """
    left = line.quantity - sum(part.quantity for part in line.parts)
    amount = line.amount - sum(part.amount for part in line.parts)
    parts = list(line.parts)
    for one in open_lots:
        taken = min(left, one.quantity)
        if taken:
            worth = value_of_part(amount, left, taken)
            parts.append(InvoicePart(one.lot.code, taken, worth, one.reckoned(taken)))
            left, amount = left - taken, amount - worth
    return replace(line, parts=tuple(parts))


def not_received(line: InvoiceLine) -> tuple[int, int]:
    """Finest steps and amount of a line that no lot is for."""
    return (
        line.quantity - sum(part.quantity for part in line.parts),
        line.amount - sum(part.amount for part in line.parts),
    )


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Units of a lot where they are now, or ended: place, case, finest steps, minor units."""

    place: str
    case: str | None
    quantity: int
    value: int


def carried(
    lot: int, amount: int, supplier: str, where: Sequence[Whereabouts], reason: str
) -> list[Movement]:
    """A difference in value brought to wherever a lot's units are, in proportion (rule 4).

    More comes from the supplier; less goes back there, from no place more than it bears.

    >>> where = [Whereabouts("STORE", None, 2, 200), Whereabouts("used/paid", "C1", 1, 100)]
    >>> [(m.value, m.to_place) for m in carried(7, 10, "ACME", where, "invoice")]
    [(7, 'STORE'), (3, 'used/paid')]
    >>> [(m.value, m.from_place) for m in carried(7, -10, "ACME", where, "invoice")]
    [(7, 'STORE'), (3, 'used/paid')]
    """
    origin = supplier_place(supplier)
    if amount >= 0:
        shares = spread(amount, [one.quantity for one in where])
        return [
            Movement(lot, 0, share, origin, one.place, one.case, reason)
            for one, share in zip(where, shares, strict=True)
            if share
        ]
    return [
        Movement(lot, 0, share, one.place, origin, one.case, reason)
        for one, share in zip(where, _borne(lot, -amount, where), strict=True)
        if share
    ]


def _borne(lot: int, amount: int, where: Sequence[Whereabouts]) -> list[int]:
    """What each place gives: its part by units, and no more than it bears."""
    if amount > sum(one.value for one in where):
        raise Refused(
            f"lot {lot}: {amount} less is asked than was reckoned, but its units bear only "
            f"{sum(one.value for one in where)} (minor units). Look with 'stockbook trace'."
        )
    wanted = spread(amount, [one.quantity for one in where])
    given = [min(share, one.value) for share, one in zip(wanted, where, strict=True)]
    left = amount - sum(given)
    for n, one in enumerate(where):
        more = min(left, one.value - given[n])
        given[n] += more
        left -= more
    return given


@dataclass(frozen=True, slots=True)
class LineView:
    """An invoice line with the lots it is for; what did not come is the rest of it."""

    line: InvoiceLine
    item: Item
    lots: tuple[Lot, ...]

    @property
    def not_received(self) -> tuple[int, int]:
        """Finest steps and amount that no delivery is for."""
        return not_received(self.line)

    @property
    def difference(self) -> int:
        """What all its parts ask more than was reckoned."""
        return sum(part.amount - part.reckoned for part in self.line.parts)


@dataclass(frozen=True, slots=True)
class InvoiceView:
    """An invoice line by line, and what it comes to."""

    invoice: Invoice
    lines: tuple[LineView, ...]
    credited: int = 0
    """What credit notes gave back since of what it asks."""
    last_entry: int = field(default=0, compare=False)
    checksum: str = field(default="", compare=False)

    @property
    def goods(self) -> int:
        """What its lines come to."""
        return sum(line.line.amount for line in self.lines)

    @property
    def payable(self) -> int:
        """What is to be paid: lines, freight and tax less the discount and what was credited."""
        one = self.invoice
        return self.goods + one.freight + one.tax - one.discount - self.credited

    @property
    def difference(self) -> int:
        """What it asks more than was reckoned when the goods came."""
        return sum(line.difference for line in self.lines)


def invoiced_of(invoices: Sequence[Invoice]) -> Mapping[int, int]:
    """By lot, the finest steps that invoices which stand name; credit notes are none."""
    found: dict[int, int] = {}
    for invoice in invoices:
        for part in (part for line in invoice.lines for part in line.parts):
            if not invoice.withdrawn and not invoice.is_credit:
                found[part.lot] = found.get(part.lot, 0) + part.quantity
    return found
