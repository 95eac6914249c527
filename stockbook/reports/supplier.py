"""How suppliers look, all or one."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.facts import Supplier
from stockbook.domain.places import supplier_place
from stockbook.reports.tables import heading, lines, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


def suppliers_page(suppliers: Sequence[Supplier], site: Site) -> str:
    """Every supplier."""
    page = table(("Supplier", "Name"), [(s.code, s.name) for s in suppliers])
    return f"{heading('Suppliers', site)}\n{page}\n{plural(len(suppliers), 'supplier')}."


def supplier_page(supplier: Supplier, site: Site) -> str:
    """One supplier, with the place that its deliveries come from."""
    facts = [("Name", supplier.name), ("Place", supplier_place(supplier.code))]
    return f"{heading(f'Supplier {supplier.code}', site)}\n{lines(facts)}"


def supplier_sheets(suppliers: Sequence[Supplier]) -> "list[DataSheet]":
    """The columns of a file of suppliers."""
    from stockbook.reports.data import DataSheet, columns

    rows = tuple((s.code, s.name) for s in suppliers)
    return [DataSheet("suppliers", (), columns("supplier", "name"), rows)]
