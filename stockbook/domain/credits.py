"""Credit notes: what a supplier gives back for units that were sent back, and what is owed still.

A credit note is an invoice whose quantities and amounts lie below nothing.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.amounts import value_of_part
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Item, Lot
from stockbook.domain.finance_facts import Invoice, InvoiceLine, InvoicePart
from stockbook.domain.invoices import LineView, ToInvoice, Whereabouts, carried
from stockbook.domain.places import DIFFERENCE, SENT_BACK

DISCOUNT = "discount"


@dataclass(frozen=True, slots=True)
class SentLot:
    """A lot of which units were sent back; finest steps and minor units.

    `value` is what its units in *sent back* bear, credited ones exactly what was credited.
    """

    lot: Lot
    item: Item
    supplier: str
    notes: tuple[str, ...]
    day: str
    quantity: int
    value: int
    credited: int = 0
    credited_value: int = 0
    invoiced: int = 0

    @property
    def paid(self) -> int:
        """What can be credited at all: what was bought; bonus units come free and go free."""
        if self.lot.terms != "bought":
            return 0
        return min(self.quantity, self.lot.price_quantity or self.quantity)

    @property
    def open(self) -> int:
        """What no credit note names."""
        return self.paid - self.credited

    @property
    def open_value(self) -> int:
        """What that bears."""
        return self.value - self.credited_value

    @property
    def unbilled(self) -> int:
        """What of it no invoice asks for, so that no credit is owed either.

        Opening stock was billed before the book began.
        """
        if self.lot.supplier is None:
            return 0
        return min(self.open, (self.lot.price_quantity or 0) - self.invoiced)

    @property
    def owed(self) -> int:
        """What a credit is owed for."""
        return self.open - self.unbilled

    @property
    def owed_value(self) -> int:
        """What is owed, reckoned at what the units bear."""
        return value_of_part(self.open_value, self.open, self.owed) if self.owed else 0


@dataclass(frozen=True, slots=True)
class Unmatched:
    """What was received and not invoiced, invoiced and not received, sent back and not credited."""

    received: tuple[ToInvoice, ...]
    invoiced: tuple[tuple[Invoice, LineView], ...]
    sent_back: tuple[SentLot, ...] = ()
    last_entry: int = 0
    checksum: str = ""

    @property
    def value(self) -> int:
        """What the units without an invoice were reckoned at."""
        return sum(one.value for one in self.received)

    @property
    def owed(self) -> int:
        """What suppliers owe for what was sent back, reckoned at what it bears."""
        return sum(one.owed_value for one in self.sent_back)


def credited_of(invoices: Iterable[Invoice]) -> dict[int, tuple[int, int]]:
    """By lot, finest steps and minor units that credit notes which stand give back."""
    found: dict[int, tuple[int, int]] = {}
    for part in (
        part for one in invoices if one.is_credit and not one.withdrawn
        for line in one.lines for part in line.parts
    ):  # fmt: skip
        quantity, amount = found.get(part.lot, (0, 0))
        found[part.lot] = (quantity - part.quantity, amount - part.amount)
    return found


def credit_line(line: InvoiceLine, lots: Sequence[tuple[SentLot, int]]) -> InvoiceLine:
    """A credit note's line (below nothing) with the lots it is for, first sent back first.

    `lots` come with how much of each the line may take; what they bear leaves by rule 4.
    """
    left, amount = line.quantity, line.amount
    parts = []
    for one, most in lots:
        taken = min(left, most)
        if taken:
            worth = value_of_part(amount, left, taken)
            bears = value_of_part(one.open_value, one.open, taken)
            parts.append(InvoicePart(one.lot.code, -taken, -worth, -bears))
            left, amount = left - taken, amount - worth
    return replace(line, quantity=-line.quantity, amount=-line.amount, parts=tuple(parts))


def settled(parts: Iterable[InvoicePart]) -> list[Movement]:
    """What was credited less (or more) than the units bore is a loss (or a gain) of ours.

    It goes from *sent back* to *difference*, so that credited units bear what was credited.

    >>> [(m.value, m.to_place) for m in settled([InvoicePart(7, -3, -2500, -3000)])]
    [(500, 'difference')]
    """
    return [
        Movement(part.lot, 0, more, DIFFERENCE, SENT_BACK, reason="credit") if more > 0
        else Movement(part.lot, 0, -more, SENT_BACK, DIFFERENCE, reason="credit")
        for part in parts
        if (more := part.reckoned - part.amount)
    ]  # fmt: skip


def billed(
    lot: int, amount: int, supplier: str, where: Sequence[Whereabouts], sent: SentLot | None,
    reason: str,
) -> list[Movement]:  # fmt: skip
    """A bill for a lot brought to wherever its units are; units nobody bills take nothing.

    Of units sent back, those that were credited are settled already: a discount passes them by,
    any other bill for them is a loss (or a gain) as it comes.
    """
    if sent is None:
        return carried(lot, amount, supplier, where, reason)
    owed = sent.quantity - sent.paid + sent.owed
    credited = sent.credited if reason != DISCOUNT else 0
    bears = value_of_part(sent.open_value, sent.quantity - sent.credited, owed) if owed else 0
    found = [one for one in where if one.place != SENT_BACK]
    if owed + credited:
        most = bears + (abs(amount) if credited else 0)
        found.append(Whereabouts(SENT_BACK, None, owed + credited, most))
    moves = []
    for move in carried(lot, amount, supplier, found, reason):
        open_part = value_of_part(move.value, owed + credited, owed) if credited else move.value
        if move.to_place == SENT_BACK:
            moves += [move, *_settling(lot, move.value - open_part, SENT_BACK, DIFFERENCE)]
        elif move.from_place == SENT_BACK:
            rest = move.value - min(open_part, bears)
            moves += [*_settling(lot, rest, DIFFERENCE, SENT_BACK), move]
        else:
            moves.append(move)
    return moves


def _settling(lot: int, amount: int, source: str, target: str) -> list[Movement]:
    """The part of a bill to (or from) *sent back* that is for credited units, as a difference.

    It follows what comes there and goes before what leaves, so that a reversal finds it.
    """
    return [Movement(lot, 0, amount, source, target, reason="credit")] if amount else []


def credited_parts(invoice: Invoice, sent: Mapping[int, SentLot]) -> list[int]:
    """For each part of an invoice, what was credited of it; in proportion where others share it."""
    found = []
    for part in (part for line in invoice.lines for part in line.parts):
        one = sent.get(part.lot)
        if one is None or not one.invoiced:
            found.append(0)
        else:
            found.append(value_of_part(one.credited_value, one.invoiced, part.quantity))
    return found
