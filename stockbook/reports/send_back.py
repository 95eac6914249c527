"""How what was sent back looks."""

from stockbook.domain.answers import Site
from stockbook.domain.send_backs import SentBack, SentLine
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import heading, table

_NAMES = ("Item", "Lot", "Expiry", "From", "Units", "Value", "Note")


def sent_page(sent: SentBack, site: Site) -> str:
    """Lot by lot what left which shelf, and what it was worth there."""
    title = f"Sent back to {sent.supplier}, note {sent.note}: {sent.reason}"
    rows = [_row(line, site) for line in sent.lines]
    return "\n".join([
        heading(title, site), table(_NAMES, rows, "Units,Value"),
        f"Value in all: {site.money.code} {site.money.text(sent.value)}",
    ])  # fmt: skip


def _row(line: SentLine, site: Site) -> tuple[str, ...]:
    draw = line.draw
    return (
        line.item.code, lot_name(draw.lot), expiry(draw.lot), draw.place,
        amount(line.item, draw.quantity), site.money.text(draw.value),
        "" if draw.lot.terms == "bought" else draw.lot.terms,
    )  # fmt: skip
