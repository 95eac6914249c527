"""Facts of finance: periods, invoices, stated values, sponsors and what was claimed of them."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Period:
    """A span of days for finance; nothing is booked on or before the last day of a closed one.

    `number` counts the statements of the book, this one's included; `statement` is the digest of
    its figures, so that whoever prints it again sees that it is the same.
    """

    code: str
    first_day: str
    last_day: str
    closed: bool = False
    number: int = 0
    statement: str | None = None


@dataclass(frozen=True, slots=True)
class InvoicePart:
    """So many finest steps of a lot: what the invoice asks for them, and what was reckoned."""

    lot: int
    quantity: int
    amount: int
    reckoned: int


@dataclass(frozen=True, slots=True)
class InvoiceLine:
    """A line of a supplier's invoice: finest steps and their amount, and the lots it is for.

    What no lot is for yet was invoiced and has not come; `note` is the delivery it names.
    """

    item: str
    quantity: int
    amount: int
    parts: tuple[InvoicePart, ...] = ()
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Invoice:
    """A supplier's invoice; `code` is SUPPLIER/NUMBER, amounts are minor units.

    `freight` and `tax` are what it bills beyond what the deliveries had; `discount` is what it
    gave for early payment. A withdrawn one was reversed and invoices nothing.
    """

    code: str
    supplier: str
    number: str
    invoiced_on: str
    lines: tuple[InvoiceLine, ...]
    freight: int = 0
    tax: int = 0
    discount: int = 0
    withdrawn: bool = False


@dataclass(frozen=True, slots=True)
class WrittenDown:
    """So many finest steps of a lot bear so much less than they cost, in minor units."""

    lot: int
    quantity: int
    amount: int


@dataclass(frozen=True, slots=True)
class StatedValue:
    """What finance says one unit of an item is worth (minor units), by which test.

    `lots` are those whose value lies below their cost by this or an earlier statement, with
    their units as they were then.
    """

    code: str
    value: int
    basis: str
    lots: tuple[WrittenDown, ...] = ()


@dataclass(frozen=True, slots=True)
class Sponsor:
    """Who pays for cases: so much a case, less so much for each lens given in kind (minor units).

    `days` is how long after the list's day a case can be claimed. None: nothing is stated.
    """

    code: str
    name: str
    amount: int | None = None
    deduction: int = 0
    days: int | None = None


@dataclass(frozen=True, slots=True)
class ClaimedCase:
    """A case in a claim as it was sent; `code` is DOCUMENT/CASE, amounts are minor units.

    `deduction` is what the sponsor keeps for lenses it gave, `lenses` are those the case had used
    when it was sent. `state` is sent, reimbursed, declined or withdrawn; `paid` is what came.
    """

    code: str
    sponsor: str
    document: str
    case_code: str
    sent_on: str
    amount: int
    deduction: int
    category: str | None
    lenses: tuple[str, ...] = ()
    state: str = "sent"
    paid: int = 0
    settled_on: str | None = None
    reason: str | None = None
