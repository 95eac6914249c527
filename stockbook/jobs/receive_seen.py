"""What the desk shows of a pack: how many there are, its days, its order, its storage class."""

from collections.abc import Iterator
from dataclasses import replace

from stockbook.domain.days import NO_EXPIRY, days_between
from stockbook.domain.facts import Item
from stockbook.domain.receiving import SeenPack, TakenPack
from stockbook.jobs.ordering import known_order, open_orders, states_of
from stockbook.jobs.receive_desk import Desk
from stockbook.jobs.receive_prices import price_notes
from stockbook.ledger.facts import find


def seen(desk: Desk, pack: TakenPack) -> SeenPack:
    """The pack beside all that was read before it, and beside its order."""
    item = find(desk.db, Item, pack.item) if pack.item else None
    left = None
    if pack.expires_on and pack.expires_on != NO_EXPIRY:
        left = days_between(desk.day, pack.expires_on)
    units = desk.unpacking.units_of(item.code) if item else 0
    shown = SeenPack(pack, item, left, desk.unpacking.packs_of(pack), units)
    if item is None or pack.is_rejected:
        return shown
    if desk.unpacking.is_opening:
        return replace(shown, notes=(*_notes(desk, pack, item), *price_notes(desk, pack, item)))
    return replace(_beside_orders(desk, shown, item), notes=tuple(_notes(desk, pack, item)))


def _beside_orders(desk: Desk, shown: SeenPack, item: Item) -> SeenPack:
    """The line of the order that the delivery names; else the open orders that wait for it."""
    unpacking = desk.unpacking
    if unpacking.order:
        (state,) = states_of(desk.db, [known_order(desk.db, unpacking.order)])
        return replace(shown, order=state.order.code, ordered=state.line_of(item.code))
    waits = [
        state.order.code for state in open_orders(desk.db, unpacking.supplier)
        if any(line.item.code == item.code and line.to_come for line in state.lines)
    ]  # fmt: skip
    return replace(shown, waits=tuple(waits))


def _notes(desk: Desk, pack: TakenPack, item: Item) -> Iterator[str]:
    if item.storage_class:
        yield f"keep {item.storage_class}"
    if pack.reason:
        other = desk.unpacking.accepted_by
        yield f"taken as {pack.reason}" + (f", accepted by {other}" if other else "")
    if pack.learned:
        yield f"identifier {pack.identifier} is remembered as {pack.learned[0].item}"
