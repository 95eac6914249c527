"""How long suppliers take: every item's lead time, from its supplier's terms and receipts."""

import sqlite3
from collections.abc import Callable, Sequence
from functools import cache

from stockbook.domain.facts import Item
from stockbook.domain.forecasts import NoBasis, Shares
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.supply_record import OrderedLine, is_covered_by_any, lead_times
from stockbook.forecast import estimates
from stockbook.jobs.supply_lines import ordered_lines
from stockbook.ledger.facts import all_of
from stockbook.ledger.settings import setting

LONGEST_DAYS = 120


LinesOf = Callable[[str], Sequence[OrderedLine]]
"""By supplier, every line that was ordered of it."""


def lines_of(db: sqlite3.Connection) -> LinesOf:
    """Each supplier's lines, read when they are asked for and then kept."""
    return cache(lambda supplier: ordered_lines(db, supplier))


def leads_of(db: sqlite3.Connection, items: Sequence[Item], lines: LinesOf) -> dict[str, Shares]:
    """By item, the lead time of its preferred supplier; where none quotes, the site's setting."""
    default = int(setting(db, "lead_days"))
    terms = {one.item: one for one in all_of(db, SupplyTerms) if one.preferred}

    @cache
    def receipts(supplier: str) -> tuple[int, ...]:
        found = lead_times(lines(supplier))
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


def brought_by_any(db: sqlite3.Connection, items: Sequence[Item], lines: LinesOf) -> set[str]:
    """Items, lenses apart, that the first of their supplier's later orders is likely to bring.

    A lens at one power is in an order now and then.
    """
    terms = {one.item: one.supplier for one in all_of(db, SupplyTerms) if one.preferred}
    return {
        item.code for item in items
        if item.lens_model is None and item.code in terms
        and is_covered_by_any(lines(terms[item.code]), item.code)
    }  # fmt: skip
