"""Kinds of place and the movements allowed between them, as one table."""

from collections.abc import Iterable

from stockbook.domain.facts import Place

STOCK_KINDS = frozenset({"store", "theatre", "trolley", "in use", "quarantine"})
"""Where stock can lie; these alone have rows on hand."""

SITE_KINDS = ("store", "theatre", "quarantine")
"""The kinds a site makes itself; all others come with the book, a theatre, a supplier."""

OPENING, REPROCESSING = "opening", "reprocessing"
SENT_BACK, DIFFERENCE = "sent-back", "difference"
COMMON = "common"

_SHELVES = {"store", "theatre", "quarantine"}

ALLOWED: dict[str, frozenset[str]] = {
    "supplier": frozenset({"store", "theatre", "quarantine"}),
    "opening": frozenset({"store", "theatre", "quarantine"}),
    "store": frozenset(
        _SHELVES | {"trolley", "in use", "used", "waste", "sent back", "difference", "reprocessing"}
    ),
    "theatre": frozenset(
        _SHELVES | {"trolley", "in use", "used", "waste", "sent back", "difference", "reprocessing"}
    ),
    "quarantine": frozenset(
        _SHELVES | {"waste", "sent back", "difference", "reprocessing"}
    ),
    "trolley": frozenset(_SHELVES | {"trolley", "used", "waste", "difference"}),
    "in use": frozenset({"trolley", "used", "waste", "difference", "store", "theatre"}),
    "reprocessing": frozenset({"store", "theatre", "in use"}),
    "difference": frozenset(_SHELVES | {"trolley"}),
    "used": frozenset({"used", "waste", "trolley"}),
    "waste": frozenset({"waste", "used", "trolley"}),
    "sent back": frozenset(),
}  # fmt: skip
"""From a kind of place to the kinds that units may move to; a reversal mirrors what was allowed."""

VALUE_ONLY_TO = STOCK_KINDS | {"used", "waste", "difference", "sent back", "reprocessing"}
"""Where a supplier's bill may follow the units.

The charge for a consigned unit that was not used after all goes back to the supplier; so does
what an invoice asks less than was reckoned, or a discount, from wherever the units are now.
"""

SETTLED = STOCK_KINDS | {"sent back"}
"""What value alone may leave for *difference*, or come to from there: what is written down or up,
and what a supplier credits less or more than the units sent back bear.
"""

KINDS = tuple(ALLOWED)

NEEDS_CASE = frozenset({"trolley"})
"""Whatever touches one of these names its case."""


def is_allowed(from_kind: str, to_kind: str, quantity: int) -> bool:
    """Whether a movement may be recorded between two kinds of place.

    >>> is_allowed("store", "trolley", 1), is_allowed("waste", "store", 1)
    (True, False)
    """
    if quantity:
        return to_kind in ALLOWED[from_kind]
    billed = from_kind == "supplier" and to_kind in VALUE_ONLY_TO
    credited = from_kind in VALUE_ONLY_TO and to_kind == "supplier"
    written_down = from_kind in SETTLED and to_kind == "difference"
    written_up = from_kind == "difference" and to_kind in SETTLED
    return billed or credited or written_down or written_up


def supplier_place(supplier: str) -> str:
    """The code of a supplier's place."""
    return f"supplier/{supplier}"


def trolley_place(theatre: str) -> str:
    """The code of a theatre's trolley."""
    return f"trolley/{theatre}"


def used_place(category: str | None) -> str:
    """The code of the place where what a category used ends."""
    return f"used/{category or COMMON}"


def waste_place(category: str | None) -> str:
    """The code of the place where what was wasted on a category ends."""
    return f"waste/{category or COMMON}"


def places_of_book() -> list[Place]:
    """The places every book has, whatever the site."""
    return [
        Place(OPENING, "opening stock", "opening"),
        Place(REPROCESSING, "reprocessing", "reprocessing"),
        Place(SENT_BACK, "sent back", "sent back"),
        Place(DIFFERENCE, "differences", "difference"),
        *places_of_category(COMMON),
    ]


def places_of_category(category: str) -> list[Place]:
    """Where what a category used and wasted ends."""
    return [
        Place(used_place(category), f"used, {category}", "used"),
        Place(waste_place(category), f"waste, {category}", "waste"),
    ]


def place_of_supplier(supplier: str, name: str) -> Place:
    """Where what a supplier delivers comes from."""
    return Place(supplier_place(supplier), name, "supplier")


def places_of_site(code: str, name: str, kind: str) -> list[Place]:
    """A place the site makes; a theatre comes with its trolley."""
    made = [Place(code, name, kind)]
    if kind == "theatre":
        made.append(Place(trolley_place(code), f"trolley of {name}", "trolley", code))
    return made


def made_by_the_site(places: Iterable[Place]) -> list[Place]:
    """Those that a site makes, and a file of places holds; the others follow from other facts."""
    return [place for place in places if place.kind in SITE_KINDS]
