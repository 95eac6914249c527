"""How long suppliers take: every item's lead time, from its supplier's terms and receipts."""

import sqlite3
from collections.abc import Sequence
from functools import cache

from stockbook.domain.facts import Item
from stockbook.domain.forecasts import NoBasis, Shares
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.supply_record import lead_times
from stockbook.forecast import estimates
from stockbook.jobs.supply_lines import ordered_lines
from stockbook.ledger.facts import all_of
from stockbook.ledger.settings import setting

LONGEST_DAYS = 120


def leads_of(db: sqlite3.Connection, items: Sequence[Item]) -> dict[str, Shares]:
    """By item, the lead time of its preferred supplier; where none quotes, the site's setting."""
    default = int(setting(db, "lead_days"))
    terms = {one.item: one for one in all_of(db, SupplyTerms) if one.preferred}

    @cache
    def receipts(supplier: str) -> tuple[int, ...]:
        found = lead_times(ordered_lines(db, supplier))
        return tuple(one.days for one in found if 0 <= one.days <= LONGEST_DAYS)

    @cache
    def lead(supplier: str | None, quoted: int) -> Shares | NoBasis:
        name = supplier or "any supplier"
        return estimates.lead_times(name, receipts(supplier) if supplier else (), quoted)

    found = {}
    for item in items:
        one = terms.get(item.code)
        made = lead(one.supplier, one.lead_days) if one else lead(None, default)
        if isinstance(made, Shares):
            found[item.code] = made
    return found
