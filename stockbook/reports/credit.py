"""How a supplier's credit note looks, and what is still owed for what was sent back."""

from stockbook.domain.answers import Site
from stockbook.domain.credits import Unmatched
from stockbook.domain.invoices import InvoiceView
from stockbook.reports.amounts import amount, lot_name
from stockbook.reports.tables import heading, plural, table

_NAMES = ("Item", "Lot", "Units", "Left at", "Credited", "Difference")


def credit_page(view: InvoiceView, site: Site) -> str:
    """Lot by lot what went back, at what it left and what is given for it; then the sum."""
    one, money = view.invoice, site.money
    title = f"Credit note {one.number} of {one.supplier}, dated {one.invoiced_on} ({money.code})"
    rows = [
        (line.item.code, lot_name(lot), amount(line.item, -part.quantity),
         money.text(-part.reckoned), money.text(-part.amount),
         money.text(part.reckoned - part.amount))
        for line in view.lines for lot, part in zip(line.lots, line.line.parts, strict=True)
    ]  # fmt: skip
    bore = sum(-part.reckoned for line in view.lines for part in line.line.parts)
    parts = [
        heading(title, site), table(_NAMES, rows, "Units,Left at,Credited,Difference"),
        f"Credited: {money.text(-view.goods)}, {_beside(-view.goods - bore, site)}",
    ]  # fmt: skip
    if one.withdrawn:
        parts.append("WITHDRAWN: its entry was reversed.")
    return "\n".join(parts)


def _beside(more: int, site: Site) -> str:
    """What is given beside what the units left at, in words."""
    if not more:
        return "exactly what the units left at."
    words = "more than the units left at: a gain" if more > 0 else (
        "less than the units left at: a loss"
    )  # fmt: skip
    return f"{site.money.text(abs(more))} {words}, among the differences."


def owed_lines(found: Unmatched, site: Site) -> list[str]:
    """What was sent back, was invoiced, and no credit note names."""
    rows = [
        (one.supplier, ", ".join(one.notes), one.day, one.item.code, lot_name(one.lot),
         amount(one.item, one.owed), site.money.text(one.owed_value))
        for one in found.sent_back
    ]  # fmt: skip
    names = ("Supplier", "Note", "Sent back", "Item", "Lot", "Units", "Left at")
    return [
        "Sent back and not credited",
        table(names, rows, "Units,Left at"),
        f"{plural(len(rows), 'lot')}, {site.money.text(found.owed)} owed back.",
    ]
