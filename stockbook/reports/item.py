"""How items look, all or one, and the ways they are sold."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stockbook.domain.about import AboutItem, KeptAt, Pack
from stockbook.domain.amounts import text_from_whole
from stockbook.domain.answers import Site
from stockbook.domain.facts import Item
from stockbook.domain.lenses import power_text
from stockbook.domain.service_levels import service_from_text
from stockbook.reports.amounts import amount
from stockbook.reports.tables import heading, lines, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


def items_page(items: Sequence[Item], site: Site) -> str:
    """Every item with how it is counted and kept, and the rules it has."""
    rows = [
        (i.code, i.name, i.item_class, _unit(i), i.storage_class, ", ".join(_rules(i)))
        for i in items
    ]
    page = table(("Item", "Name", "Class", "Unit", "Storage", "Rules"), rows)
    return f"{heading('Items', site)}\n{page}\n{plural(len(items), 'item')}."


def _unit(item: Item) -> str:
    """The unit, with its finest step where that is not one."""
    if not item.unit_places:
        return item.unit
    return f"{item.unit}, by {text_from_whole(1, item.unit_places)}"


def _rules(item: Item) -> list[str]:
    """What has to be seen to when the item is received, used or discarded."""
    rules = ["a serial each"] if item.by_serial else []
    if item.least_days_left:
        rules.append(f"{plural(item.least_days_left, 'day')} left when used")
    if item.standby:
        rules.append(f"{amount(item, item.standby)} on standby")
    if item.service:
        rules.append(service_from_text(item.service).words)
    if item.replaces:
        rules.append(f"replaces {item.replaces}")
    return [*rules, "two people discard it"] if item.controlled else rules


def item_page(about: AboutItem, site: Site) -> str:
    """One item: what it is, how it is sold, where it is to be found."""
    item = about.item
    facts = [
        ("Name", item.name), ("Class", item.item_class), ("Unit", _unit(item)),
        ("Lens model", item.lens_model),
        ("Power", None if item.power is None else power_text(item.power)),
        ("Storage class", item.storage_class), ("Rules", ", ".join(_rules(item))),
    ]  # fmt: skip
    parts = [heading(f"Item {item.code}", site), lines(facts), "", _packs(about.packs), ""]
    return "\n".join([*parts, _kept(about), "", f"On hand: stockbook stock {item.code}"])


def _packs(packs: Sequence[Pack]) -> str:
    if not packs:
        return "Pack sizes: none"
    rows = [(p.size.code, p.size.level, amount(p.item, p.size.units)) for p in packs]
    return table(("Identifier", "Level", "Units"), rows, "Units")


def _kept(about: AboutItem) -> str:
    if not about.kept:
        return "Shelves and levels: none"
    rows = [
        (kept.place, kept.shelf.label if kept.shelf else "", *_level(about.item, kept))
        for kept in about.kept
    ]
    return table(("Place", "Shelf", "Keep", "Fill to"), rows, "Keep,Fill to")


def _level(item: Item, kept: KeptAt) -> tuple[str, str]:
    level = kept.level
    if level is None:
        return "", ""
    if level.lists:
        need = "needs" if level.lists == 1 else "need"
        return "", f"what {plural(level.lists, 'list')} {need}"
    return amount(item, level.keep_at_least), amount(item, level.fill_to)


def packs_page(packs: Sequence[Pack], site: Site) -> str:
    """The ways items are sold."""
    rows = [
        (p.size.code, p.item.code, p.item.name, p.size.level, amount(p.item, p.size.units))
        for p in packs
    ]
    page = table(("Identifier", "Item", "Name", "Level", "Units"), rows, "Units")
    return f"{heading('Pack sizes', site)}\n{page}\n{plural(len(packs), 'pack size')}."


def item_sheets(items: Sequence[Item]) -> "list[DataSheet]":
    """The columns of a file of items."""
    from stockbook.reports.data import DataSheet, columns

    names = columns(
        "item", "name", "class", "unit", "unit_places:count", "lens_model", "power:power",
        "serial", "least_days_left:count", "controlled", "storage_class",
        "standby:quantity", "service", "replaces",
    )  # fmt: skip
    return [DataSheet("items", (), names, tuple(_item_row(item) for item in items))]


def _item_row(item: Item) -> tuple[Any, ...]:
    from stockbook.reports.data import Quantity

    return (
        item.code, item.name, item.item_class, item.unit, item.unit_places, item.lens_model,
        item.power, "yes" if item.by_serial else "no", item.least_days_left,
        "yes" if item.controlled else "no", item.storage_class,
        Quantity(item.standby, item.unit_places), item.service, item.replaces,
    )  # fmt: skip


def about_sheets(about: AboutItem) -> "list[DataSheet]":
    """One item as a file of items; beside it its pack sizes, its shelves and its levels."""
    from dataclasses import replace

    (packs,) = pack_sheets(about.packs)
    return [*item_sheets([about.item]), replace(packs, beside=True), _kept_sheet(about)]


def _kept_sheet(about: AboutItem) -> "DataSheet":
    from stockbook.reports.data import DataSheet, columns

    rows = [
        (kept.place, kept.shelf.label if kept.shelf else None, *_level_cells(about.item, kept))
        for kept in about.kept
    ]
    names = ("place", "label", "keep_at_least:quantity", "fill_to:quantity", "lists:count")
    return DataSheet("item_places", (), columns(*names), tuple(rows), beside=True)


def _level_cells(item: Item, kept: KeptAt) -> tuple[Any, ...]:
    from stockbook.reports.data import Quantity

    level, places = kept.level, item.unit_places
    if level is None:
        return None, None, None
    return Quantity(level.keep_at_least, places), Quantity(level.fill_to, places), level.lists


def pack_sheets(packs: Sequence[Pack]) -> "list[DataSheet]":
    """The columns of a file of pack sizes."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    rows = [
        (p.size.code, p.size.item, Quantity(p.size.units, p.item.unit_places), p.size.level)
        for p in packs
    ]
    names = columns("identifier", "item", "units:quantity", "level")
    return [DataSheet("pack_sizes", (), names, tuple(rows))]
