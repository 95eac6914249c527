"""Lots of which units were sent back, with what was credited and invoiced of each."""

import sqlite3

from stockbook.domain.credits import SentLot, credited_of
from stockbook.domain.finance_facts import Invoice
from stockbook.domain.invoices import invoiced_of
from stockbook.domain.send_backs import SentRow
from stockbook.ledger.facts import all_of
from stockbook.ledger.send_backs import left_in_sent_back, sent_back
from stockbook.ledger.stock import items_by_code, lots_by_code


def sent_lots(
    db: sqlite3.Connection, supplier: str | None = None, *, made: Invoice | None = None
) -> dict[int, SentLot]:
    """By lot, in the order in which they were first sent back.

    With `made`, an invoice counts as it is about to be recorded.
    """
    rows: dict[int, list[SentRow]] = {}
    for row in sent_back(db, supplier):
        rows.setdefault(row.lot, []).append(row)
    if not rows:
        return {}
    invoices = [one for one in all_of(db, Invoice) if made is None or one.code != made.code]
    known = [*invoices, made] if made else invoices
    credited, invoiced = credited_of(known), invoiced_of(known)
    lots, left = lots_by_code(db, rows), left_in_sent_back(db, rows)
    items = items_by_code(db, {lot.item for lot in lots.values()})
    return {
        code: SentLot(
            lots[code], items[lots[code].item], of_lot[0].supplier,
            tuple(dict.fromkeys(row.note for row in of_lot)), of_lot[0].day, *left[code],
            *credited.get(code, (0, 0)), invoiced.get(code, 0),
        )
        for code, of_lot in rows.items()
    }  # fmt: skip


def owed(db: sqlite3.Connection, supplier: str | None = None) -> list[SentLot]:
    """The lots for which a supplier owes a credit."""
    return [one for one in sent_lots(db, supplier).values() if one.owed]
