"""Deliveries: what came, on what terms, and what each line is worth when it lies on the shelf."""

from collections.abc import Sequence
from dataclasses import dataclass

from stockbook.domain.amounts import half_even, spread
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Item, Lot
from stockbook.domain.places import supplier_place

TERMS = ("bought", "donated", "in-kind", "consigned")
GIVEN = ("donated", "in-kind")


@dataclass(frozen=True, slots=True)
class DeliveryLine:
    """One line as it came; quantities in finest steps, money in minor units for the whole line."""

    item: Item
    paid_quantity: int
    bonus_quantity: int
    number: str
    serial: str | None
    expires_on: str
    expiry_precision: str
    price: int | None = None
    terms: str = "bought"
    shadow_value: int = 0
    agreed_value: int = 0
    reason: str | None = None
    categories: tuple[str, ...] = ()
    sponsors: tuple[str, ...] = ()
    order: str | None = None
    pack_quantity: int = 0
    """What the pack holds whose identifier was read; nothing where an item was named."""

    scan: str | None = None
    """The symbol as it was read, where the pack was scanned."""

    place: str | None = None
    """The quarantine area where it is set aside; `reason` says why."""

    @property
    def quantity(self) -> int:
        """All that came, bonus units included."""
        return self.paid_quantity + self.bonus_quantity


@dataclass(frozen=True, slots=True)
class Charges:
    """What is billed for the delivery as a whole, in minor units, and by whom."""

    freight: int = 0
    freight_by: str | None = None
    tax: int = 0


NO_CHARGES = Charges()


@dataclass(frozen=True, slots=True)
class PricedLine:
    """A line with the value it starts with and whether that value is provisional."""

    line: DeliveryLine
    value: int
    provisional: bool


def priced(line: DeliveryLine, last_price: tuple[int, int] | None) -> PricedLine:
    """A line's value: its price, else the last price (provisional), else nothing (provisional).

    What is given or consigned starts at nothing; `last_price` is minor units for so many steps.
    """
    if line.terms != "bought":
        return PricedLine(line, 0, provisional=False)
    if line.price is not None:
        return PricedLine(line, line.price, provisional=False)
    if last_price is None:
        return PricedLine(line, 0, provisional=True)
    return PricedLine(
        line, half_even(last_price[0] * line.paid_quantity, last_price[1]), provisional=True
    )


def charge_weights(lines: Sequence[PricedLine]) -> list[int]:
    """How charges are shared: by value, what is given by its worth, consigned lines nothing.

    Where no line has any worth, every line that is ours takes the same.
    """
    weights = [0 if p.line.terms == "consigned" else p.value or p.line.shadow_value for p in lines]
    return weights if any(weights) else [int(p.line.terms != "consigned") for p in lines]


def arrivals(
    lines: Sequence[PricedLine], lots: Sequence[Lot], origin: str, place: str
) -> list[Movement]:
    """Units with their price, seen, to where they lie or are set aside."""
    return [
        Movement(
            lot.code, lot.quantity, p.value, origin, p.line.place or place, reason=p.line.reason,
            seen=True,
        )
        for p, lot in zip(lines, lots, strict=True)
    ]  # fmt: skip


def delivery_movements(
    lines: Sequence[PricedLine], lots: Sequence[Lot], charges: Charges, supplier: str, place: str
) -> list[Movement]:
    """Units with their price from the supplier, then tax and freight as value-only movements."""
    origin = supplier_place(supplier)
    carrier = supplier_place(charges.freight_by or supplier)
    moves = arrivals(lines, lots, origin, place)
    weights = charge_weights(lines)
    for amount, source, reason in (
        (charges.tax, origin, "tax"),
        (charges.freight, carrier, "freight"),
    ):
        if amount:
            moves += [
                Movement(lot.code, 0, share, source, p.line.place or place, reason=reason)
                for share, lot, p in zip(spread(amount, weights), lots, lines, strict=True)
                if share
            ]
    return moves


def lot_of(
    priced_line: PricedLine, code: int, received_on: str, supplier: str | None,
    document: str | None,
) -> Lot:  # fmt: skip
    """The lot that a delivery line makes; opening stock has neither supplier nor document."""
    line = priced_line.line
    return Lot(
        code, line.item.code, line.number, line.serial, line.expires_on, line.expiry_precision,
        received_on, supplier, line.terms, line.quantity, document,
        price=None if line.terms != "bought" else priced_line.value,
        price_quantity=None if line.terms != "bought" else line.paid_quantity,
        provisional=priced_line.provisional,
        shadow_value=line.shadow_value, agreed_value=line.agreed_value,
        categories=line.categories, sponsors=line.sponsors, order_code=line.order, scan=line.scan,
    )  # fmt: skip
