"""How expiring stock looks."""

from stockbook.domain.answers import Site
from stockbook.domain.expiring import Expiring, ExpiringRow
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import bars, heading, table

HEADERS = ("Item", "Place", "Lot", "Expiry", "Days", "Units", "Value", "Note")


def expiring_page(expiring: Expiring, site: Site) -> str:
    """Expired first, then each band, then a bar of value for each month."""
    title = f"Expiring within {expiring.within} days of {expiring.day}"
    parts = [heading(title, site), _expired(expiring, site)]
    for band in sorted({row.band for row in expiring.rows if row.band is not None}):
        rows = [row for row in expiring.rows if row.band == band]
        parts.append(f"Within {band} days: {_worth(rows, site)}\n{_table(rows, site)}")
    if not expiring.rows:
        parts.append("Nothing expires in this time.")
    parts.append(f"Value by month of expiry ({site.money.code})\n{_months(expiring, site)}")
    return "\n\n".join(parts)


def _expired(expiring: Expiring, site: Site) -> str:
    rows = expiring.expired
    if not rows:
        return "Expired and still on a shelf: nothing."
    return (
        f"EXPIRED and still on a shelf: {_worth(rows, site)}. Not to be used: discard, or move "
        f"to quarantine.\n{_table(rows, site)}"
    )


def _worth(rows: "tuple[ExpiringRow, ...] | list[ExpiringRow]", site: Site) -> str:
    lots = f"{len(rows)} lot{'s' if len(rows) != 1 else ''}"
    return f"{lots}, {site.money.code} {site.money.text(sum(r.row.value for r in rows))}"


def _table(rows: "tuple[ExpiringRow, ...] | list[ExpiringRow]", site: Site) -> str:
    cells = [
        (
            e.item.code, e.row.place, lot_name(e.row.lot), expiry(e.row.lot), e.days_left,
            amount(e.item, e.row.quantity), site.money.text(e.row.value),
            f"quarantine {e.quarantine}" if e.quarantine else "",
        )
        for e in rows
    ]  # fmt: skip
    return table(HEADERS, cells, "Days,Units,Value")


def _months(expiring: Expiring, site: Site) -> str:
    return bars([(month, value, site.money.text(value)) for month, value in expiring.months])
