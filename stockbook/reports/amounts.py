"""Amounts as words of a table cell."""

from stockbook.domain.amounts import quantity_text
from stockbook.domain.days import expiry_text
from stockbook.domain.facts import Item, Lot


def amount(item: Item, quantity: int) -> str:
    """A quantity with its unit, unless it is single pieces."""
    text = quantity_text(quantity, item.unit_places)
    return text if item.unit == "each" else f"{text} {item.unit}"


def lot_name(lot: Lot) -> str:
    """The printed lot number, with the serial where there is one."""
    if lot.serial is None or lot.serial == lot.number:
        return lot.number
    return f"{lot.number} / {lot.serial}"


def expiry(lot: Lot) -> str:
    """The expiry as printed on the pack."""
    return expiry_text(lot.expires_on, lot.expiry_precision)
