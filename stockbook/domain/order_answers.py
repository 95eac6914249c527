"""Answers about orders, ready to be shown."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from stockbook.domain.entries import Entry
from stockbook.domain.facts import Item, Lot, Supplier
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.orders import OrderState
from stockbook.domain.supply_record import SupplyRecord


@dataclass(frozen=True, slots=True)
class OrderDelivery:
    """A lot that came on an order, by which entry and when."""

    entry: int
    day: str
    note: str | None
    item: Item
    lot: Lot


@dataclass(frozen=True, slots=True)
class OrderView:
    """One order in full; `identifiers` are those of the packs, by item, as far as known."""

    state: OrderState
    supplier: Supplier
    deliveries: tuple[OrderDelivery, ...] = ()
    entries: tuple[Entry, ...] = ()
    identifiers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Offer:
    """How a supplier sells an item."""

    terms: SupplyTerms
    item: Item


@dataclass(frozen=True, slots=True)
class AboutSupplier:
    """A supplier with what they sell and how their orders went; short-dated below so many days."""

    supplier: Supplier
    offers: tuple[Offer, ...]
    record: SupplyRecord
    items: Mapping[str, Item]
    short_days: int


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """Items that a supplier sells no longer, and the terms of others that still do."""

    supplier: str
    items: tuple[str, ...]
    others: tuple[SupplyTerms, ...]
    entry: int | None
    """None where all was known so already."""
