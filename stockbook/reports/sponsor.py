"""How sponsors look: what they pay, and until when."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.finance_facts import Sponsor
from stockbook.reports.claims import CAUTION, NOT_STATED
from stockbook.reports.tables import heading, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


def sponsors_page(sponsors: Sequence[Sponsor], site: Site) -> str:
    """What the book says of sponsors."""
    head = heading(f"Sponsors ({site.money.code})", site)
    if not sponsors:
        return f"{head}\nNo sponsor is described. Add them with 'sponsor new' or 'import sponsors'."
    rows = [
        (one.code, one.name, NOT_STATED if one.amount is None else site.money.text(one.amount),
         site.money.text(one.deduction), "none stated" if one.days is None else one.days)
        for one in sponsors
    ]  # fmt: skip
    names = ("Sponsor", "Name", "A case", "A lens in kind", "Days to claim")
    return f"{head}\n{table(names, rows, 'A case,A lens in kind,Days to claim')}\n{CAUTION}"


def sponsor_sheets(sponsors: Sequence[Sponsor]) -> "list[DataSheet]":
    """The columns of a file of sponsors."""
    from stockbook.reports.data import DataSheet, columns

    names = columns("sponsor", "name", "amount:money", "deduction:money", "days:count")
    rows = tuple((one.code, one.name, one.amount, one.deduction, one.days) for one in sponsors)
    return [DataSheet("sponsors", (), names, rows)]
