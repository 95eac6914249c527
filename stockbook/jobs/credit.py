"""A supplier's credit note for what was sent back, settled with what the units bear."""

import sqlite3
from dataclasses import replace

from stockbook.domain.amounts import value_of_part
from stockbook.domain.credits import SentLot, credit_line, settled
from stockbook.domain.entries import Draft, Entry, Request, Signature, digest_of
from stockbook.domain.finance_facts import Invoice, InvoiceLine
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_item, near, shown
from stockbook.jobs.invoice import InvoiceAsked, Invoiced, check_number, invoice_read
from stockbook.jobs.invoice_view import known_invoice, view_of
from stockbook.jobs.sent_lots import sent_lots
from stockbook.jobs.signing import check_person
from stockbook.ledger.facts import all_of
from stockbook.ledger.history import movements_of
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import find_request, natural_key, posting
from stockbook.ledger.send_backs import sent_back


def record_credit(
    book: Book, signature: Signature, asked: InvoiceAsked, note: str | None = None, *,
    keep: bool = True,
) -> Invoiced:  # fmt: skip
    """The credit note is in the book; what was sent back bears exactly what it gives.

    With a note, it is for what went back under that one; else for what went back first.
    """
    with posting(book, keep=keep) as post:
        db = post.db
        check_person(db, signature, "invoice")
        read = invoice_read(db, signature, asked)
        check_number(db, read, credit=True)
        lines = [[line.item, line.quantity, line.amount] for line in read.lines]
        digest = digest_of([read.code, read.invoiced_on, lines, note])
        request = Request(natural_key(db, f"credit/{read.code}"), digest)
        known = find_request(db, request)
        if known is not None:
            return Invoiced(view_of(db, known_invoice(db, read.code)), known, already=True)
        made = replace(read, lines=_matched(db, read, note))
        moves = settled(part for line in made.lines for part in line.parts)
        entry = post.post(Draft("invoice", signature, request, moves, [made], made.code)).number
        return Invoiced(view_of(db, made), entry)


def _matched(db: sqlite3.Connection, credit: Invoice, note: str | None) -> tuple[InvoiceLine, ...]:
    """Every line with the lots it gives back for; what one line takes the next one does not."""
    sent = sent_lots(db, credit.supplier)
    most = _under_note(db, credit.supplier, note) if note else None
    made = []
    for line in credit.lines:
        lots = [
            (one, one.open if most is None else min(one.open, most.get(one.lot.code, 0)))
            for one in sent.values() if one.item.code == line.item
        ]  # fmt: skip
        _check_open(db, credit.supplier, line, sum(n for _, n in lots), note)
        made.append(replace(credit_line(line, lots), note=note))
        for part in made[-1].parts:
            sent[part.lot] = _taken(sent[part.lot], -part.quantity, -part.amount)
            if most is not None:
                most[part.lot] += part.quantity
    return tuple(made)


def _under_note(db: sqlite3.Connection, supplier: str, note: str) -> dict[int, int]:
    """By lot, what went back to a supplier under a note."""
    found: dict[int, int] = {}
    for row in sent_back(db, supplier, note):
        found[row.lot] = found.get(row.lot, 0) + row.quantity
    if not found:
        known = {row.note for row in sent_back(db, supplier)}
        raise InputError(
            f"--note: nothing was sent back to {supplier} under {note}.{near(note, known)}"
        )
    return found


def _check_open(
    db: sqlite3.Connection, supplier: str, line: InvoiceLine, there: int, note: str | None
) -> None:
    if there >= line.quantity:
        return
    item = known_item(db, line.item)
    under = f" under note {note}" if note else ""
    raise Refused(
        f"{line.item}: {shown(item, line.quantity)} credited, but {shown(item, there)} of what was "
        f"bought of {supplier} was sent back{under} and is not credited yet. Record what went back "
        f"first; look with 'stockbook invoice {supplier}'."
    )


def _taken(one: SentLot, quantity: int, amount: int) -> SentLot:
    """The lot after so much of it was credited: what is left bears what it bore."""
    bore = value_of_part(one.open_value, one.open, quantity)
    return replace(
        one, credited=one.credited + quantity, credited_value=one.credited_value + amount,
        value=one.value + amount - bore,
    )  # fmt: skip


def check_not_credited(db: sqlite3.Connection, entry: Entry) -> None:
    """What a credit note gave back for cannot come back to its shelf."""
    if entry.kind != "send-back":
        return
    sent = sent_lots(db)
    for move in movements_of(db, entry.number):
        one = sent.get(move.lot)
        if one and one.quantity - move.quantity < one.credited:
            names = [
                credit.number for credit in all_of(db, Invoice)
                if credit.is_credit and not credit.withdrawn
                and any(p.lot == move.lot for line in credit.lines for p in line.parts)
            ]  # fmt: skip
            raise Refused(
                f"entry {entry.number} cannot be reversed: of {one.item.code} lot "
                f"{one.lot.number} it sent back what credit note {', '.join(names)} of "
                f"{one.supplier} gives back for. Reverse that first."
            )
