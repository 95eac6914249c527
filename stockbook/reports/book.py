"""How imports, audits, quarantines and bad rows look."""

from collections.abc import Sequence

from stockbook.domain.answers import Site
from stockbook.domain.auditing import Verdict
from stockbook.domain.facts import Quarantine
from stockbook.domain.records import QuarantineView
from stockbook.errors import BadRow
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import heading, plural, table

MOST_BAD_ROWS = 50


def bad_rows_table(rows: Sequence[BadRow]) -> str:
    """Every bad row with what was found and what is wanted, the first ones of very many."""
    shown = [(r.row, r.column, repr(r.found) if r.found else "nothing", r.wanted) for r in rows]
    page = table(("Row", "Column", "Found", "Wanted"), shown[:MOST_BAD_ROWS], "Row")
    more = len(rows) - MOST_BAD_ROWS
    return f"{page}\n… and {more} more." if more > 0 else page


def verdict_page(verdict: Verdict) -> str:
    """What was checked, and every fault by name."""
    checked = (
        f"Checked {plural(verdict.entries, 'entry')}, {plural(verdict.movements, 'movement')}, "
        f"{plural(verdict.changes, 'change')}. Last checksum {verdict.checksum}"
    )
    if not verdict.faults:
        return f"{checked}\nThe book is sound: chain, facts and balances agree."
    rows = [(fault.where, fault.what) for fault in verdict.faults]
    return f"{checked}\n{plural(len(rows), 'fault')}:\n{table(('Where', 'What is wrong'), rows)}"


def quarantine_page(view: QuarantineView, site: Site) -> str:
    """A quarantine's condition and what it covers now, staged kits first."""
    q = view.quarantine
    state = "released" if q.released else f"since {q.started_on}"
    title = f"Quarantine {q.code} ({q.reason}), {state}: {_condition(q)}"
    if not view.rows:
        return f"{heading(title, site)}\nNothing on hand meets it now."
    rows = [
        (
            f"ON TROLLEY, {case}" if case else row.place, item.code, lot_name(row.lot),
            expiry(row.lot), amount(item, row.quantity),
        )
        for row, item, case in view.rows
    ]  # fmt: skip
    page = table(("Where", "Item", "Lot", "Expiry", "Units"), rows, "Units")
    return f"{heading(title, site)}\n{page}"


def _condition(q: Quarantine) -> str:
    named = (
        ("item", q.item), ("lot", q.number), ("serial", q.serial), ("supplier", q.supplier),
        ("expiry from", q.expires_from), ("expiry through", q.expires_through), ("in", q.place),
    )  # fmt: skip
    return ", ".join(f"{name} {value}" for name, value in named if value)
