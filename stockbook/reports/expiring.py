"""How expiring stock looks."""

from stockbook.domain.amounts import quantity_text
from stockbook.domain.answers import Site
from stockbook.domain.expiring import Expiring, ExpiringRow
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import bars, below_nothing, has_room, heading, past, plural, table

HEADERS = (
    "Item", "Place", "Lot", "Expiry", "Days", "Units", "Value", "Use a month", "Left over",
    "At stake", "Note",
)  # fmt: skip
ROOM = 111
"""On a narrower screen a table leaves out what its heading and the expiry tell too."""
NARROW = ("Days", "Use a month")


def expiring_page(expiring: Expiring, site: Site) -> str:
    """Expired first, then each band, then a bar of value for each month."""
    title = f"Expiring within {expiring.within} days of {expiring.day}{past(expiring.as_of)}"
    parts = [heading(title, site), _expired(expiring, site)]
    for band in sorted({row.band for row in expiring.rows if row.band is not None}):
        rows = [row for row in expiring.rows if row.band == band]
        parts.append(f"Within {band} days: {_worth(rows, site)}\n{_table(rows, site)}")
    parts.append(_acts(expiring, site) if expiring.rows else "Nothing expires in this time.")
    parts.append(f"Value by month of expiry ({site.money.code})\n{_months(expiring, site)}")
    late = [f"{r.row.place} {r.item.code} {lot_name(r.row.lot)}" for r in expiring.below_nothing]
    return "\n\n".join(parts) + below_nothing(late)


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
    notes = [f"quarantine {e.quarantine}" if e.quarantine else "" for e in rows]
    left_out = {*(() if any(notes) else ("Note",)), *(() if has_room(ROOM) else NARROW)}
    kept = [n for n, header in enumerate(HEADERS) if header not in left_out]
    cells = [
        (
            e.item.code, e.row.place, lot_name(e.row.lot), expiry(e.row.lot), e.days_left,
            amount(e.item, e.row.quantity), site.money.text(e.row.value),
            "" if e.use_a_month is None else amount(e.item, e.use_a_month),
            *_leftover(e, site), note,
        )
        for e, note in zip(rows, notes, strict=True)
    ]  # fmt: skip
    return table(
        [HEADERS[n] for n in kept], [[row[n] for n in kept] for row in cells],
        "Days,Units,Value,Use a month,Left over,At stake",
    )  # fmt: skip


def _leftover(e: ExpiringRow, site: Site) -> tuple[str, str]:
    """What is expected to be left at its expiry, and its value; or that none of it was used."""
    if e.left is None or e.at_stake is None:
        return ("unused", "")
    return (amount(e.item, e.left), site.money.text(e.at_stake))


def _acts(expiring: Expiring, site: Site) -> str:
    """What the leftover columns rest on, and what can be done."""
    stake = sum(e.at_stake or 0 for e in expiring.rows if e.days_left >= 0)
    unused = sum(e.row.value for e in expiring.rows if e.left is None)
    money, ahead = site.money, sum(e.by_forecast for e in expiring.rows)
    said = "" if not ahead else (
        f"Left over by the forecast of the coming cases for {ahead} of "
        f"{plural(len(expiring.rows), 'lot')}, by recent use for the others.\n"
    )  # fmt: skip
    return said + (
        f"Left over: expected at the expiry if use goes on as in the last {expiring.use_days} "
        "days (or since the book began),\nsoonest expiry first. Use a month: that use a day times "
        f"{quantity_text(expiring.month, 2)} days (days_per_month). Unused: no use was seen.\n"
        f"At stake besides what is expired: {money.code} {money.text(stake)}; no use was seen of "
        f"lots worth {money.text(unused)}.\n"
        "Acts open: use it first at another place (stockbook move), or order less next time."
    )


def _months(expiring: Expiring, site: Site) -> str:
    return bars([(month, value, site.money.text(value)) for month, value in expiring.months])
