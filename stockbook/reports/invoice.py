"""How invoices look beside what came, and what has no invoice or no delivery yet."""

from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.credits import SentLot, Unmatched
from stockbook.domain.finance_facts import InvoicePart
from stockbook.domain.invoices import InvoiceView, LineView, ToInvoice
from stockbook.reports.amounts import amount, lot_name
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

_NAMES = ("Item", "Lot", "Note", "Units", "Reckoned", "Invoiced", "Difference")
_RIGHT = "Units,Reckoned,Invoiced,Difference"


def invoice_page(view: InvoiceView, site: Site) -> str:
    """Line by line what came, what it was reckoned at and what is asked; then the sum."""
    one = view.invoice
    if one.is_credit:
        from stockbook.reports.credit import credit_page

        return credit_page(view, site)
    title = f"Invoice {one.number} of {one.supplier}, dated {one.invoiced_on} ({site.money.code})"
    rows = [row for line in view.lines for row in _rows(line, site)]
    sums = [("Goods", view.goods), ("Freight", one.freight), ("Tax", one.tax)]
    told = [f"{name} {site.money.text(value)}" for name, value in sums if value or name == "Goods"]
    if one.discount:
        told.append(f"discount -{site.money.text(one.discount)}")
    if view.credited:
        told.append(f"credited since {site.money.text(-view.credited)}")
    parts = [
        heading(title, site), table(_NAMES, rows, _RIGHT, caption="Line by line"),
        f"{', '.join(told)}. To pay: {site.money.text(view.payable)}.",
        f"Asked beyond what was reckoned: {site.money.text(view.difference)}; "
        "carried to wherever the units are now.",
    ]  # fmt: skip
    if one.withdrawn:
        parts.append("WITHDRAWN: its entry was reversed.")
    return "\n".join(parts)


def _rows(line: LineView, site: Site) -> list[tuple[str, ...]]:
    money = site.money
    parts = zip(line.lots, line.line.parts, strict=True)
    rows: list[tuple[str, ...]] = [
        (line.item.code, lot_name(lot), lot.document or "", amount(line.item, part.quantity),
         money.text(part.reckoned), money.text(part.amount), money.text(_more(part)))
        for lot, part in parts
    ]  # fmt: skip
    units, asked = line.not_received
    if units:
        note = line.line.note or ""
        rows.append((line.item.code, "NOT RECEIVED", note, amount(line.item, units), "",
                     money.text(asked), ""))  # fmt: skip
    return rows


def _more(part: InvoicePart) -> int:
    return part.amount - part.reckoned


def unmatched_page(found: Unmatched, site: Site, supplier: str | None) -> str:
    """Received and not invoiced, then invoiced and not received."""
    whose = f" of {supplier}" if supplier else ""
    parts = [heading(f"Deliveries and invoices{whose} ({site.money.code})", site)]
    parts.append(_received(found, site) if found.received else "Everything that came is invoiced.")
    parts.append("")
    if found.invoiced:
        names = ("Supplier", "Invoice", "Dated", "Item", "Units", "Amount")
        rows = [
            (invoice.supplier, invoice.number, invoice.invoiced_on, line.item.code,
             amount(line.item, line.not_received[0]), site.money.text(line.not_received[1]))
            for invoice, line in found.invoiced
        ]  # fmt: skip
        parts += ["Invoiced and not received", table(names, rows, "Units,Amount")]
    else:
        parts.append("Everything that was invoiced has come.")
    if found.sent_back:
        from stockbook.reports.credit import owed_lines

        parts += ["", *owed_lines(found, site)]
    return "\n".join(parts)


def _received(found: Unmatched, site: Site) -> str:
    names = ("Supplier", "Note", "Received", "Item", "Lot", "Units", "Reckoned", "Price")
    rows = [
        (one.lot.supplier, one.lot.document or "", one.lot.received_on, one.item.code,
         lot_name(one.lot), amount(one.item, one.quantity), site.money.text(one.value),
         "provisional" if one.lot.provisional else "")
        for one in found.received
    ]  # fmt: skip
    whole = site.money.text(found.value)
    return "\n".join([
        "Received and not invoiced", table(names, rows, "Units,Reckoned"),
        f"{plural(len(rows), 'lot')}, reckoned at {whole}.",
    ])  # fmt: skip


def invoice_sheets(view: InvoiceView) -> "list[DataSheet]":
    """One row for each part of a line, and one for what did not come."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    one = view.invoice
    about = (
        ("supplier", one.supplier), ("invoice", one.number), ("dated", one.invoiced_on),
        ("freight_minor", str(one.freight)), ("tax_minor", str(one.tax)),
        ("discount_minor", str(one.discount)), ("credited_minor", str(view.credited)),
        ("payable_minor", str(view.payable)),
    )  # fmt: skip
    rows: list[tuple[object, ...]] = []
    for line in view.lines:
        places = line.item.unit_places
        for lot, part in zip(line.lots, line.line.parts, strict=True):
            rows.append((line.item.code, lot.number, lot.document, Quantity(part.quantity, places),
                         part.reckoned, part.amount, _more(part)))  # fmt: skip
        units, asked = line.not_received
        if units:
            rows.append((line.item.code, None, line.line.note, Quantity(units, places), None,
                         asked, None))  # fmt: skip
    names = columns(
        "item", "lot", "note", "quantity:quantity", "reckoned:money", "invoiced:money",
        "difference:money",
    )  # fmt: skip
    return [DataSheet("invoice", about, names, tuple(rows))]


def unmatched_sheets(found: Unmatched) -> "list[DataSheet]":
    """All three lists."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    received = [(_supplier(one), *_to_invoice(one)) for one in found.received]
    invoiced = [
        (invoice.supplier, invoice.number, invoice.invoiced_on, line.item.code,
         Quantity(line.not_received[0], line.item.unit_places), line.not_received[1])
        for invoice, line in found.invoiced
    ]  # fmt: skip
    return [
        DataSheet("received_not_invoiced", (), columns(
            "supplier", "note", "received:day", "item", "lot", "quantity:quantity",
            "reckoned:money", "provisional",
        ), tuple(received)),
        DataSheet("invoiced_not_received", (), columns(
            "supplier", "invoice", "dated:day", "item", "quantity:quantity", "amount:money",
        ), tuple(invoiced)),
        DataSheet("sent_back_not_credited", (), columns(
            "supplier", "notes", "sent_back:day", "item", "lot", "quantity:quantity",
            "reckoned:money",
        ), tuple(_owed(one) for one in found.sent_back)),
    ]  # fmt: skip


def _owed(one: SentLot) -> tuple[object, ...]:
    from stockbook.reports.data import Quantity

    return (
        one.supplier, " ".join(one.notes), one.day, one.item.code, one.lot.number,
        Quantity(one.owed, one.item.unit_places), one.owed_value,
    )  # fmt: skip


def _supplier(one: ToInvoice) -> str | None:
    return one.lot.supplier


def _to_invoice(one: ToInvoice) -> tuple[object, ...]:
    from stockbook.reports.data import Quantity

    return (
        one.lot.document, one.lot.received_on, one.item.code, one.lot.number,
        Quantity(one.quantity, one.item.unit_places), one.value, one.lot.provisional,
    )  # fmt: skip
