"""How the movements behind a cost page look."""

from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.cost_movements import CostMovements, Traced
from stockbook.domain.overhead import CaseOverhead
from stockbook.reports.amounts import amount, lot_name
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

MOST = 1000
"""A page lists no more movements than these; data has them all."""


def movements_page(found: CostMovements, site: Site) -> str:
    """Each movement with its figure, then their sums, which are the figures of the cost page."""
    title = f"Movements behind the cost, {found.title} ({site.money.code})"
    tables = [_moves(found, site), _sums(found, site)]
    if found.overheads:
        tables.append(_overhead_table(found, site))
    if found.parts:
        tables.append(_parts(found, site))
    return f"{heading(title, site)}\n" + "\n\n".join(filter(None, tables))


def _moves(found: CostMovements, site: Site) -> str:
    if len(found.rows) > MOST:
        return f"{plural(len(found.rows), 'movement')}: --csv, --json or -o FILE has them."
    headers = ("Figure", found.by.capitalize(), "Entry", "Booked", "Kind", "Case", "Item",
               "Lot", "Units", "Value", "From", "To")  # fmt: skip
    rows = [_row(one, found, site) for one in found.rows]
    return table(headers, rows, "Entry,Units,Value") if rows else ""


def _sums(found: CostMovements, site: Site) -> str:
    headers = ("Figure", found.by.capitalize(), "Movements", "Value")
    rows = [
        (figure, name, str(count), site.money.text(value))
        for figure, name, count, value in found.sums()
    ]
    return table(headers, rows, "Movements,Value") if rows else "Nothing ended here."


def _parts(found: CostMovements, site: Site) -> str:
    headers = ("List", "Case", "Category", "Part of its common use")
    rows = [(p.list, p.case, p.category, site.money.text(p.value)) for p in found.parts]
    return table(headers, rows, headers[-1])


def _row(one: Traced, found: CostMovements, site: Site) -> tuple[str, ...]:
    move, lot = one.move, found.lots[one.move.lot]
    units = amount(found.items[lot.item], one.quantity) if one.quantity else ""
    return (
        one.figure, one.name, str(move.entry), move.booked_on, move.kind, move.case or "",
        lot.item, lot_name(lot), units, site.money.text(one.value), move.from_place,
        move.to_place,
    )  # fmt: skip


def _overhead_table(found: CostMovements, site: Site) -> str:
    headers = ("Overhead", "Minutes", "Rate", "Per", "Said by entry", "Amount")
    rows = [_overhead_row(one, site) for one in found.overheads]
    return table(headers, rows, "Minutes,Rate,Said by entry,Amount")


def _overhead_row(one: CaseOverhead, site: Site) -> tuple[str, ...]:
    text = site.money.text
    return (
        one.case, str(one.minutes or ""), text(one.rate.amount), one.rate.per, str(one.entry),
        "not known" if one.amount is None else text(one.amount),
    )  # fmt: skip


def movements_sheets(found: CostMovements) -> "list[DataSheet]":
    """Every movement, the sums, the overhead of each case, the parts of lists' common use."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    rows = []
    for one in found.rows:
        move, lot = one.move, found.lots[one.move.lot]
        places = found.items[lot.item].unit_places
        rows.append(
            (one.figure, one.name, move.entry, move.booked_on, move.kind, move.case, lot.item,
             lot.number, lot.serial, Quantity(one.quantity, places), one.value, lot.terms,
             "yes" if lot.provisional else "no", move.from_place, move.to_place,
             "seen" if move.seen else "presumed", move.reason)
        )  # fmt: skip
    overheads = tuple(
        (o.case, o.minutes, o.rate.amount, o.rate.per, o.entry, o.amount) for o in found.overheads
    )
    return [
        DataSheet("cost_movements", (("about", found.title), ("by", found.by)), columns(
            "figure", "group", "entry:count", "booked_on:day", "kind", "case", "item", "lot",
            "serial", "quantity:quantity", "value:money", "terms", "provisional", "from", "to",
            "how_known", "reason",
        ), tuple(rows)),
        DataSheet("sums", (), columns("figure", "group", "movements:count", "value:money"),
                  tuple(found.sums())),
        DataSheet("overheads", (), columns(
            "case", "minutes:count", "rate:money", "per", "rate_entry:count", "overhead:money",
        ), overheads),
        DataSheet("list_parts", (), columns("list", "case", "category", "part:money"),
                  tuple(found.parts)),
    ]  # fmt: skip
