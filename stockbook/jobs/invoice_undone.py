"""What becomes of an invoice and its lots when an entry about it is reversed."""

import sqlite3
from dataclasses import replace

from stockbook.domain.entries import Entry
from stockbook.domain.facts import Fact, Lot
from stockbook.domain.finance_facts import Invoice
from stockbook.errors import Refused
from stockbook.ledger.facts import find, version_at
from stockbook.ledger.history import changes_of


def withdrawn_facts(db: sqlite3.Connection, entry: Entry) -> list[Fact]:
    """The invoice as it was before, or withdrawn where the entry recorded it; lots likewise."""
    code = str(entry.document)
    now, became = find(db, Invoice, code), version_at(db, Invoice, code, entry.number)
    if now is None or now != became:
        raise Refused(
            f"entry {entry.number} cannot be reversed: invoice {code} was matched or discounted "
            f"by a later entry. Reverse that first; look with 'stockbook entries'."
        )
    was = version_at(db, Invoice, code, entry.number - 1)
    facts: list[Fact] = [replace(now, withdrawn=True) if was is None else was]
    for lot in (code for kind, code, _ in changes_of(db, entry.number) if kind == "lot"):
        before = version_at(db, Lot, lot, entry.number - 1)
        there = find(db, Lot, int(lot))
        if before is not None and there is not None:
            facts.append(replace(there, price=before.price, provisional=before.provisional))
    return facts
