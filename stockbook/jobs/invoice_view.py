"""A recorded invoice line by line; what has no invoice, no delivery or no credit note."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.credits import SentLot, Unmatched, credited_parts
from stockbook.domain.facts import Item, Lot
from stockbook.domain.finance_facts import Invoice, InvoiceLine
from stockbook.domain.invoices import (
    InvoiceView,
    LineView,
    ToInvoice,
    invoiced_of,
    not_received,
)
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_supplier, near
from stockbook.jobs.sent_lots import owed, sent_lots
from stockbook.ledger.facts import all_of, codes, find
from stockbook.ledger.invoices import bought_lots
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry
from stockbook.ledger.stock import items_by_code, lots_by_code


def invoice_code(db: sqlite3.Connection, supplier: str, number: str) -> str:
    """The code of a supplier's invoice."""
    return f"{known_supplier(db, supplier).code}/{texts.required_text(number, 'invoice', 60)}"


def known_invoice(db: sqlite3.Connection, code: str) -> Invoice:
    """The invoice of a code, as long as it stands."""
    found = find(db, Invoice, code)
    if found is None or found.withdrawn:
        supplier, _, number = code.partition("/")
        raise InputError(
            f"invoice {number} of {supplier} is not in this book."
            f"{near(code, codes(db, Invoice))} Give its lines to record it."
        )
    return found


def billed_invoice(db: sqlite3.Connection, supplier: str, number: str) -> Invoice:
    """An invoice that stands and can be matched or discounted; a credit note is none."""
    found = known_invoice(db, invoice_code(db, supplier, number))
    if found.is_credit:
        raise Refused(
            f"{found.number} of {found.supplier} is a credit note: it is matched as it is "
            "recorded, and takes no discount."
        )
    return found


def invoice_view(book: Book, supplier: str, number: str) -> InvoiceView:
    """A recorded invoice line by line."""
    with book.reading() as db:
        found = view_of(db, known_invoice(db, invoice_code(db, supplier, number)))
        entry, checksum, _, _ = last_entry(db)
        return replace(found, last_entry=entry, checksum=checksum)


def view_of(db: sqlite3.Connection, invoice: Invoice) -> InvoiceView:
    """The invoice with its items and lots."""
    items = items_by_code(db, {line.item for line in invoice.lines})
    lots = lots_by_code(db, {part.lot for line in invoice.lines for part in line.parts})
    lines = tuple(_line_view(line, items, lots) for line in invoice.lines)
    credited = 0 if invoice.is_credit else sum(credited_parts(invoice, sent_lots(db)))
    return InvoiceView(invoice, lines, credited)


def _line_view(line: InvoiceLine, items: dict[str, Item], lots: dict[int, Lot]) -> LineView:
    return LineView(line, items[line.item], tuple(lots[part.lot] for part in line.parts))


def unmatched(book: Book, supplier: str | None = None) -> Unmatched:
    """What was received and not invoiced, invoiced and not received, sent back, not credited."""
    with book.reading() as db:
        code = known_supplier(db, supplier).code if supplier else None
        invoices = [
            one for one in all_of(db, Invoice)
            if not one.withdrawn and code in (None, one.supplier)
        ]  # fmt: skip
        return Unmatched(
            tuple(not_invoiced(db, code)), tuple(_missing(db, invoices)),
            tuple(owed(db, code)), *last_entry(db)[:2],
        )  # fmt: skip


def not_invoiced(db: sqlite3.Connection, supplier: str | None = None) -> list[ToInvoice]:
    """Lots that were bought and came, and that no invoice names in full."""
    taken = invoiced_of(all_of(db, Invoice))
    lots, sent = bought_lots(db, supplier), sent_lots(db, supplier)
    items = items_by_code(db, {lot.item for lot in lots})
    found = [still_to_invoice(lot, items[lot.item], taken, sent) for lot in lots]
    return [one for one in found if one.quantity > 0]


def still_to_invoice(
    lot: Lot, item: Item, taken: Mapping[int, int], sent: Mapping[int, SentLot]
) -> ToInvoice:
    """The lot with what no invoice names; less what was sent back before one came."""
    invoiced = taken.get(lot.code, 0)
    back = sent[lot.code].open if lot.code in sent else 0
    return ToInvoice(lot, item, invoiced, min(back, (lot.price_quantity or 0) - invoiced))


def _missing(db: sqlite3.Connection, invoices: Sequence[Invoice]) -> list[tuple[Invoice, LineView]]:
    views = [view_of(db, one) for one in invoices]
    return [
        (view.invoice, line) for view in views for line in view.lines
        if not_received(line.line)[0]
    ]  # fmt: skip
