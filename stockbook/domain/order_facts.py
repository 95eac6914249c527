"""Facts of buying: how a supplier sells an item, and what was ordered."""

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class SupplyTerms:
    """How a supplier sells an item: `code` is SUPPLIER/ITEM; the price is of `price_quantity`.

    `pack_quantity` and `least_quantity` are finest steps: what one pack holds, the least that is
    delivered; `breaks` are prices from a quantity on. `lead_days` is the quoted time. Terms that
    were withdrawn have packs of nothing.
    """

    code: str
    supplier: str
    item: str
    pack_quantity: int
    price: int
    price_quantity: int
    lead_days: int
    least_quantity: int = 0
    breaks: tuple["PriceBreak", ...] = ()
    preferred: bool = True

    @property
    def closed(self) -> bool:
        """Whether the supplier sells the item no longer."""
        return self.pack_quantity == 0

    def withdrawn(self) -> "SupplyTerms":
        """The terms of what is sold no longer; what they were stays in the book's history."""
        return replace(self, pack_quantity=0, preferred=False)


@dataclass(frozen=True, slots=True)
class PriceBreak:
    """From so many finest steps on, the price of one `price_quantity` of the terms."""

    quantity: int
    price: int


@dataclass(frozen=True, slots=True)
class OrderLine:
    """So many finest steps of an item at a price for all of them; none: not agreed.

    What the supplier's terms said when it was ordered stays with it: what a pack holds
    (nothing: no terms) and the quoted days; `pack` is the identifier that was ordered by.
    """

    item: str
    quantity: int
    price: int | None = None
    pack: str | None = None
    pack_quantity: int = 0
    lead_days: int | None = None


@dataclass(frozen=True, slots=True)
class Rejection:
    """What a delivery brought and nobody took in; `code` is its request and a count.

    The quantity is in finest steps; packs where no item of the book is known.
    """

    code: str
    supplier: str
    reason: str
    quantity: int
    item: str | None = None
    identifier: str | None = None
    number: str | None = None
    serial: str | None = None
    expires_on: str | None = None
    order_code: str | None = None
    scan: str | None = None


@dataclass(frozen=True, slots=True)
class PurchaseOrder:
    """What was ordered of a supplier, and when it is due; `state` is open or closed."""

    code: str
    supplier: str
    ordered_on: str
    due_on: str
    lines: tuple[OrderLine, ...]
    state: str = "open"
