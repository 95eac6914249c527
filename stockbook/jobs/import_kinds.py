"""The kinds of file that can be imported: their columns, who reads them, an invented row."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from stockbook.domain.facts import (
    Case,
    Category,
    Item,
    Kit,
    Level,
    Machine,
    PackSize,
    PastUse,
    Place,
    Shelf,
    StaffCode,
    Supplier,
)
from stockbook.domain.finance_facts import Sponsor
from stockbook.domain.order_facts import SupplyTerms
from stockbook.errors import InputError
from stockbook.jobs.reading import Reading
from stockbook.jobs.reading_facts import (
    read_categories,
    read_items,
    read_pack_sizes,
    read_places,
    read_staff,
    read_suppliers,
)
from stockbook.jobs.reading_kits import read_kits, read_machines
from stockbook.jobs.reading_levels import read_levels, read_past_use, read_shelves
from stockbook.jobs.reading_lists import read_lists
from stockbook.jobs.reading_sponsors import read_sponsors
from stockbook.jobs.reading_stock import read_opening
from stockbook.jobs.reading_terms import read_supply_terms


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of import: its columns, what reads them, the facts it makes, one invented row.

    `within` names the field by which a file says of what part of the book it tells everything
    (a list of its lists, a shelf file of its places); none where it tells of all.
    """

    required: tuple[str, ...]
    optional: tuple[str, ...]
    read: Callable[[Reading], None]
    fact: type[Any] | None
    example: tuple[str, ...]
    within: str | None = None


KINDS: Mapping[str, Kind] = {
    "categories": Kind(
        ("category",), ("name",), read_categories, Category, ("camp", "Free camp, paid by a gift")
    ),
    "suppliers": Kind(
        ("supplier", "name"), (), read_suppliers, Supplier, ("BRIGHT", "Bright Supplies")
    ),
    "places": Kind(
        ("place", "name", "kind"), ("storage_class", "closed"), read_places, Place,
        ("OT1", "Theatre 1", "theatre", "ambient", "no"),
    ),
    "staff": Kind(
        ("staff", "role"), ("name", "active"), read_staff, StaffCode,
        ("KP", "keeper", "Kim Shelfwell", "yes"),
    ),
    "items": Kind(
        ("item", "name", "class"),
        (
            "unit", "unit_places", "lens_model", "power", "serial", "least_days_left",
            "controlled", "storage_class", "standby", "service", "replaces",
        ),
        read_items, Item,
        ("GEL-1", "Eye gel 1 ml", "viscoelastic", "each", "0", "", "", "no", "7", "no", "ambient",
         "2", "cycle 98", ""),
    ),
    "pack-sizes": Kind(
        ("identifier", "item", "units"), ("level",), read_pack_sizes, PackSize,
        ("09521234543213", "GEL-1", "10", "outer"),
    ),
    "supply-terms": Kind(
        ("supplier", "item", "pack", "price", "lead_days"),
        ("least_packs", "preferred", "break_packs", "break_price"),
        read_supply_terms, SupplyTerms,
        ("BRIGHT", "GEL-1", "10", "480.00", "14", "2", "yes", "5", "450.00"), within="supplier",
    ),
    "sponsors": Kind(
        ("sponsor", "name"), ("amount", "deduction", "days"), read_sponsors, Sponsor,
        ("LANTERN", "Lantern fund", "12000.00", "4500.00", "30"),
    ),
    "kits": Kind(
        ("procedure", "category", "kind", "item", "quantity"),
        ("surgeon", "line", "requirement", "first_day"),
        read_kits, Kit, ("PHACO", "paid", "always", "GEL-1", "1", "", "1", "", ""),
    ),
    "machines": Kind(
        ("theatre", "model", "first_day"), ("last_day",), read_machines, Machine,
        ("OT1", "PUMP-7", "2027-01-01", ""), within="theatre",
    ),
    "lists": Kind(
        ("list", "day", "theatre", "case", "position", "patient", "eye", "procedure", "category"),
        ("part", "sponsor", "surgeon", "lens_model", "power", "needs", "minutes", "sponsor_number"),
        read_lists, Case,
        (
            "OT1-0301", "2027-03-01", "OT1", "C1001", "1", "P-12345", "right", "PHACO", "paid",
            "morning", "", "SA", "", "", "", "", "",
        ),
        within="list",
    ),
    "opening-stock": Kind(
        ("item", "place", "quantity", "lot", "expiry"),
        ("serial", "received", "total", "terms", "shadow"),
        read_opening, None,
        ("GEL-1", "OT1", "12", "L2201A", "2031-06", "", "2027-01-15", "480.00", "bought", ""),
    ),
    "shelves": Kind(
        ("place", "item", "label"), (), read_shelves, Shelf, ("OT1", "GEL-1", "B-03"),
        within="place",
    ),
    "levels": Kind(
        ("place", "item"), ("keep_at_least", "fill_to", "lists"), read_levels, Level,
        ("OT1", "GEL-1", "10", "30", ""), within="place",
    ),
    "past-use": Kind(
        ("item", "month", "quantity"), (), read_past_use, PastUse, ("GEL-1", "2027-01", "64"),
    ),
}  # fmt: skip


def kind_of(name: str) -> Kind:
    """The kind of a name."""
    if name not in KINDS:
        raise InputError(f"import: found {name!r}, wanted one of: {', '.join(KINDS)}.")
    return KINDS[name]
