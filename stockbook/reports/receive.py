"""How a recorded delivery looks."""

from collections.abc import Mapping, Sequence

from stockbook.domain.answers import Site
from stockbook.domain.facts import Item
from stockbook.domain.order_facts import Rejection
from stockbook.domain.places import OPENING
from stockbook.domain.records import LeftLine, Received, ReceivedLine
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.order import expected_words, received_order
from stockbook.reports.tables import heading, plural, table

HEADERS = ("Item", "Units", "of them bonus", "Lot", "Expiry", "Value", "Note")


def received_page(received: Received, site: Site) -> str:
    """Each line with its lot and what it is worth on the shelf."""
    rows = [_row(line, site) for line in received.lines]
    charges = received.charges
    parts = [heading(_title(received), site)]
    parts += [table(HEADERS, rows, "Units,of them bonus,Value")] if rows else []
    parts += [_rejected(one, received.items) for one in received.rejected]
    if charges.freight or charges.tax:
        money = site.money
        by = f" billed by {charges.freight_by}" if charges.freight_by else ""
        parts.append(
            f"With freight {money.text(charges.freight)}{by} and tax {money.text(charges.tax)}."
        )
    parts.append(f"Value in all: {site.money.code} {site.money.text(received.value)}")
    parts += [f"\n{received_order(one)}" for one in received.orders]
    if received.expected:
        items = {one.line.item.code for one in received.lines if one.line.order is None}
        parts.append(expected_words(received.expected, items, received.entry))
    return "\n".join(parts)


def _title(received: Received) -> str:
    if received.supplier == OPENING:
        return f"Opening stock, sheet {received.note}, to {received.place}"
    note = f", note {received.note}" if received.note else ", no note"
    return f"Delivery of {received.supplier}{note}, to {received.place}"


def left_page(lines: Sequence[LeftLine]) -> str:
    """What is expected to be left of lots that are short-dated or given."""
    return "\n".join(
        f"{one.item.code} lot {lot_name(one.lot)}: expected left over at its expiry "
        f"{amount(one.item, one.left)} of {amount(one.item, one.lot.quantity)}."
        for one in lines if one.left is not None
    )  # fmt: skip


def _row(received: ReceivedLine, site: Site) -> tuple[str, ...]:
    line, lot = received.line, received.lot
    notes = [line.terms] if line.terms != "bought" else []
    notes += ["price provisional"] if received.provisional else []
    if line.place:
        notes.append(f"set aside in {line.place}: {line.reason}")
    elif line.reason:
        notes.append(f"short-dated: {line.reason}")
    bonus = amount(line.item, line.bonus_quantity) if line.bonus_quantity else ""
    return (
        line.item.code, amount(line.item, line.quantity), bonus, lot_name(lot), expiry(lot),
        site.money.text(received.value), ", ".join(notes),
    )  # fmt: skip


def _rejected(one: Rejection, items: Mapping[str, Item]) -> str:
    """What came and was not taken in, in one line."""
    item = items.get(one.item or "")
    what = amount(item, one.quantity) if item else plural(one.quantity, "pack")
    lot = f" lot {one.serial or one.number}" if one.serial or one.number else ""
    return f"Rejected, {one.reason}: {one.item or one.identifier}{lot}, {what}. Not taken in."
