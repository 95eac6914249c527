"""Supplier's invoices: matched to what came, their differences carried to where the units are."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.amounts import half_even, spread, whole_from_text
from stockbook.domain.credits import DISCOUNT, SentLot, billed, credited_parts
from stockbook.domain.days import day_typed
from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import Lot
from stockbook.domain.finance_facts import Invoice, InvoiceLine, InvoicePart
from stockbook.domain.invoices import (
    InvoiceView,
    invoiced_of,
    matched,
)
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import item_or_pack, known_supplier, money_of, quantity_of
from stockbook.jobs.invoice_view import (
    billed_invoice,
    known_invoice,
    still_to_invoice,
    view_of,
)
from stockbook.jobs.sent_lots import sent_lots
from stockbook.jobs.signing import check_person
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.invoices import bought_lots, supplier_of_note, whereabouts
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, find_request, natural_key, posting
from stockbook.ledger.stock import items_by_code, lots_by_code

Typed = tuple[str, str, str, str]
"""Item or pack identifier, how many, the amount of all of them, the delivery note or nothing."""


@dataclass(frozen=True, slots=True)
class InvoiceAsked:
    """An invoice as it was typed or read; amounts as text in the book's currency."""

    supplier: str
    number: str
    lines: Sequence[Typed]
    dated: str | None = None
    freight: str | None = None
    tax: str | None = None


@dataclass(frozen=True, slots=True)
class Invoiced:
    """A recorded invoice line by line, and its entry."""

    view: InvoiceView
    entry: int
    already: bool = False


def record_invoice(
    book: Book, signature: Signature, asked: InvoiceAsked, *, keep: bool = True
) -> Invoiced:
    """The invoice is in the book, and every lot it names is worth what it asks."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "invoice")
        invoice = invoice_read(post.db, signature, asked)
        check_number(post.db, invoice, credit=False)
        key = natural_key(post.db, f"invoice/{invoice.code}")
        request = Request(key, digest_of(_asked(invoice)))
        known = find_request(post.db, request)
        if known is not None:
            return Invoiced(
                view_of(post.db, known_invoice(post.db, invoice.code)), known, already=True
            )
        made = replace(invoice, lines=_matched(post.db, invoice))
        return _record(post, signature, request, invoice, made, _charges(post.db, made))


def check_number(db: sqlite3.Connection, invoice: Invoice, *, credit: bool) -> None:
    """A number is an invoice's or a credit note's, never both."""
    there = find(db, Invoice, invoice.code)
    if there is not None and not there.withdrawn and there.is_credit != credit:
        kind = "a credit note" if there.is_credit else "an invoice"
        raise Refused(
            f"{invoice.number} of {invoice.supplier} is recorded as {kind}. Read its number again."
        )


def invoice_read(db: sqlite3.Connection, signature: Signature, asked: InvoiceAsked) -> Invoice:
    """An invoice as it was typed or read, its lines matched to nothing yet."""
    supplier = known_supplier(db, asked.supplier).code
    number = texts.required_text(asked.number, "invoice number", 60)
    if not asked.lines:
        raise InputError("invoice: no lines. Give --line ITEM QTY AMOUNT, or --lines FILE.")
    dated = day_typed(asked.dated or "today", signature.today, "--dated")
    if dated > signature.today:
        raise InputError(f"--dated: {dated} lies after today ({signature.today}).")
    money = money_of(db)
    return Invoice(
        f"{supplier}/{number}", supplier, number, dated,
        tuple(_line(db, supplier, typed) for typed in asked.lines),
        money.minor(asked.freight, "--freight") if asked.freight else 0,
        money.minor(asked.tax, "--tax") if asked.tax else 0,
    )  # fmt: skip


def _line(db: sqlite3.Connection, supplier: str, typed: Typed) -> InvoiceLine:
    thing, count, amount, note = (text.strip() for text in typed)
    item, pack = item_or_pack(db, thing)
    if pack is None:
        quantity = quantity_of(item, count)
    else:
        quantity = whole_from_text(count, 0, f"packs of {item.code}") * pack.units
    if quantity <= 0:
        raise InputError(f"{item.code}: found {count!r}, wanted a number above zero.")
    if note:
        _check_note(db, supplier, note)
    worth = money_of(db).minor(amount, f"amount of {item.code}")
    return InvoiceLine(item.code, quantity, worth, note=note or None)


def _check_note(db: sqlite3.Connection, supplier: str, note: str) -> None:
    """A delivery note is this supplier's, or has not come yet."""
    others = supplier_of_note(db, note)
    if others and supplier not in others:
        raise Refused(
            f"note {note}: this is a delivery of {', '.join(others)}, not of {supplier}. Read the "
            "invoice again; name another note, or leave it out."
        )


def _asked(invoice: Invoice) -> list[object]:
    lines = [[line.item, line.quantity, line.amount, line.note] for line in invoice.lines]
    return [invoice.code, invoice.invoiced_on, lines, invoice.freight, invoice.tax]


def _matched(db: sqlite3.Connection, invoice: Invoice) -> tuple[InvoiceLine, ...]:
    """Every line with the lots it is for; what one line takes the next one does not.

    What was sent back before it was invoiced comes last: the supplier may not bill it.
    """
    taken = dict(invoiced_of(all_of(db, Invoice)))
    for part in (part for line in invoice.lines for part in line.parts):
        taken.setdefault(part.lot, 0)
    lots, sent = bought_lots(db, invoice.supplier), sent_lots(db, invoice.supplier)
    items = items_by_code(db, {line.item for line in invoice.lines})
    made = []
    for found in invoice.lines:
        for with_sent in (False, True):
            line = found
            there = [
                still_to_invoice(lot, items[line.item], taken, {} if with_sent else sent)
                for lot in lots
                if lot.item == line.item and line.note in (None, lot.document)
            ]
            found = matched(line, there)
            for part in found.parts[len(line.parts) :]:
                taken[part.lot] = taken.get(part.lot, 0) + part.quantity
        made.append(found)
    return tuple(made)


def _record(
    post: Posting, signature: Signature, request: Request, was: Invoice, made: Invoice,
    charges: Sequence[Movement] = (),
) -> Invoiced:  # fmt: skip
    """Differences of what is matched now, with the lots' final prices, in one entry."""
    new = [
        part for before, line in zip(was.lines, made.lines, strict=True)
        for part in line.parts[len(before.parts) :]
    ]  # fmt: skip
    sent = sent_lots(post.db, made.supplier, made=made)
    moves = [*_differences(post.db, made.supplier, new, sent), *charges]
    lots = _priced(post.db, made, {part.lot for part in new}, sent)
    draft = Draft("invoice", signature, request, moves, (made, *lots), made.code)
    entry = post.post(draft).number
    return Invoiced(view_of(post.db, made), entry)


def _charges(db: sqlite3.Connection, made: Invoice) -> list[Movement]:
    """Tax and freight that the deliveries did not have, on what of the invoice has come."""
    return [
        move for amount, reason in ((made.tax, "tax"), (made.freight, "freight")) if amount
        for move in _spread(db, made, amount, reason)
    ]  # fmt: skip


def _differences(
    db: sqlite3.Connection, supplier: str, parts: Sequence[InvoicePart],
    sent: Mapping[int, SentLot],
) -> list[Movement]:  # fmt: skip
    return [
        move for part in parts if part.amount != part.reckoned
        for move in billed(
            part.lot, part.amount - part.reckoned, supplier, whereabouts(db, part.lot),
            sent.get(part.lot), "invoice",
        )
    ]  # fmt: skip


def _spread(db: sqlite3.Connection, invoice: Invoice, amount: int, reason: str) -> list[Movement]:
    """An amount for the invoice as a whole, over its lots by what they are invoiced at.

    A discount has no part in what was credited.
    """
    parts = [part for line in invoice.lines for part in line.parts]
    if not parts:
        raise Refused(
            f"{reason} has no line to rest on: nothing of invoice {invoice.number} has come yet. "
            "Record the delivery first."
        )
    sent = sent_lots(db, invoice.supplier, made=invoice)
    credited = credited_parts(invoice, sent) if reason == DISCOUNT else [0] * len(parts)
    weights = [max(0, part.amount - less) for part, less in zip(parts, credited, strict=True)]
    shares = spread(abs(amount), weights if any(weights) else [1] * len(parts))
    sign = 1 if amount > 0 else -1
    return [
        move for part, share in zip(parts, shares, strict=True) if share
        for move in billed(
            part.lot, sign * share, invoice.supplier, whereabouts(db, part.lot),
            sent.get(part.lot), reason,
        )
    ]  # fmt: skip


def _priced(
    db: sqlite3.Connection, invoice: Invoice, touched: set[int], sent: Mapping[int, SentLot]
) -> list[Lot]:
    """Lots that are invoiced in full now: their price is what was asked, and final.

    What was sent back and is not billed has the price of what is.
    """
    others = [
        one for one in all_of(db, Invoice)
        if one.code != invoice.code and not one.withdrawn and not one.is_credit
    ]  # fmt: skip
    asked: dict[int, list[int]] = {}
    for part in (p for one in (*others, invoice) for line in one.lines for p in line.parts):
        sums = asked.setdefault(part.lot, [0, 0])
        sums[0] += part.quantity
        sums[1] += part.amount
    before = lots_by_code(db, touched)
    made = []
    for code, lot in sorted(before.items()):
        units, amount, paid = *asked[code], lot.price_quantity or 0
        unbilled = sent[code].unbilled if code in sent else 0
        if units + unbilled == paid:
            price = half_even(amount * paid, units)
            made.append(replace(lot, price=price, provisional=False))
    return [lot for lot in made if lot != before[lot.code]]


def match_again(
    book: Book, signature: Signature, supplier: str, number: str, *, keep: bool = True
) -> Invoiced:
    """What was invoiced and has come since is matched too; nothing is recorded where none has."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "invoice")
        was = billed_invoice(post.db, supplier, number)
        made = replace(was, lines=_matched(post.db, was))
        if made == was:
            raise Refused(
                f"invoice {was.number} of {was.supplier}: nothing of what is missing has come "
                "since. Record the delivery first."
            )
        step = sum(len(line.parts) for line in was.lines)
        key = natural_key(post.db, f"invoice/{was.code}/match/{step}")
        return _record(post, signature, Request(key, digest_of([was.code, step])), was, made)


def discount_invoice(
    book: Book, signature: Signature, supplier: str, number: str, text: str, *, keep: bool = True
) -> Invoiced:
    """A discount for early payment lowers what the invoice's units cost, wherever they are.

    `text` is an amount, or a rate such as `2%` of the invoice's lines.
    """
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "invoice")
        was = billed_invoice(post.db, supplier, number)
        amount = _discount(post.db, was, text)
        key = natural_key(post.db, f"invoice/{was.code}/discount")
        request = Request(key, digest_of([was.code, amount]))
        known = find_request(post.db, request)
        if known is not None:
            return Invoiced(view_of(post.db, was), known, already=True)
        made = replace(was, discount=was.discount + amount)
        moves = _spread(post.db, made, -amount, DISCOUNT)
        draft = Draft("invoice", signature, request, moves, [made], made.code)
        return Invoiced(view_of(post.db, made), post.post(draft).number)


def _discount(db: sqlite3.Connection, invoice: Invoice, text: str) -> int:
    credited = credited_parts(invoice, sent_lots(db, invoice.supplier))
    goods = sum(line.amount for line in invoice.lines) - sum(credited)
    if text.strip().endswith("%"):
        hundredths = whole_from_text(text.strip()[:-1], 2, "--discount")
        amount = half_even(goods * hundredths, 10_000)
    else:
        amount = money_of(db).minor(text, "--discount")
    if not 0 < amount <= goods:
        raise InputError(
            f"--discount: found {text!r}, wanted more than nothing and at most the invoice's "
            f"lines less what was credited ({money_of(db).text(goods)})."
        )
    return amount
