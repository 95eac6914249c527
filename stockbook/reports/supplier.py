"""How suppliers look, all or one."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stockbook.domain.amounts import half_even, text_from_whole
from stockbook.domain.answers import Site
from stockbook.domain.facts import Supplier
from stockbook.domain.order_answers import AboutSupplier, Offer, Withdrawn
from stockbook.domain.places import supplier_place
from stockbook.domain.supply_record import AtTheDoor
from stockbook.reports.amounts import amount
from stockbook.reports.tables import heading, lines, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

MOST = 20
"""The longest list of deliveries on the page."""


def suppliers_page(suppliers: Sequence[Supplier], site: Site) -> str:
    """Every supplier."""
    page = table(("Supplier", "Name"), [(s.code, s.name) for s in suppliers])
    return f"{heading('Suppliers', site)}\n{page}\n{plural(len(suppliers), 'supplier')}."


def supplier_page(about: AboutSupplier, site: Site) -> str:
    """One supplier: the place deliveries come from, how they sell, how their orders went."""
    supplier = about.supplier
    facts = [("Name", supplier.name), ("Place", supplier_place(supplier.code))]
    parts = [heading(f"Supplier {supplier.code}", site), lines(facts)]
    if about.offers:
        parts += ["", "What they sell", _offers(about.offers, site)]
    if about.record.lines:
        parts += ["", *_record(about), *_lead_times(about)]
    if about.record.door.rejected or about.record.door.set_aside:
        parts += ["", *_door(about.record.door)]
    return "\n".join(parts)


def offers_page(offers: Sequence[Offer], site: Site) -> str:
    """How suppliers sell what they sell."""
    return f"{heading('Supply terms', site)}\n{_offers(offers, site) if offers else 'None yet.'}"


def _offers(offers: Sequence[Offer], site: Site) -> str:
    rows = [
        (one.terms.supplier, one.item.code, amount(one.item, one.terms.pack_quantity),
         site.money.text(one.terms.price), one.terms.lead_days, *_limits(one, site))
        for one in offers
    ]  # fmt: skip
    names = ("Supplier", "Item", "Pack", "Price of a pack", "Days", "At least", "Breaks")
    return table(names, rows, "Pack,Price of a pack,Days,At least")


def _limits(offer: Offer, site: Site) -> tuple[str, str]:
    least, item = offer.terms.least_quantity, offer.item
    breaks = [
        f"from {amount(item, one.quantity)}: {site.money.text(one.price)}"
        for one in offer.terms.breaks
    ]
    return amount(item, least) if least else "", ", ".join(breaks)


def _record(about: AboutSupplier) -> list[str]:
    record = about.record
    full, in_time, short = record.full, record.full_in_time, record.short_dated
    said = [f"Orders: {plural(record.lines, 'line')} ordered, {full.whole} due by now or whole."]
    if full.whole:
        said += [
            f"Came in full: {full.part} of {full.whole}, by the day first agreed {in_time.part}.",
            f"Came of what was ordered, mean of these lines: {_percent(record.fill)}, by the day "
            f"first agreed {_percent(record.fill_in_time)}.",
        ]
    if short.whole:
        lots = f"{short.part} of {plural(short.whole, 'lot')}"
        said.append(f"Short-dated (fewer than {about.short_days} days) when received: {lots}.")
    return said


def _door(door: AtTheDoor) -> list[str]:
    """What was not taken in, or set aside, of all deliveries; by reason."""
    share = door.rejects
    said = [f"Rejected at the door: {share.part} of {plural(share.whole, 'line')}"]
    said[0] += _by_reason(door.rejected)
    if door.set_aside:
        count = sum(n for _, n in door.set_aside)
        said.append(f"Set aside at the door: {plural(count, 'lot')}{_by_reason(door.set_aside)}")
    return said


def _by_reason(counts: Sequence[tuple[str, int]]) -> str:
    words = ", ".join(f"{reason} {count}" for reason, count in counts)
    return f" ({words})." if words else "."


def _percent(share: int) -> str:
    return f"{text_from_whole(half_even(share, 10), 1)} %"


def _lead_times(about: AboutSupplier) -> list[str]:
    """The latest deliveries with the days each took; all of them are in the data."""
    times = about.record.lead_times
    rows = [
        (one.order, one.item, one.received_on, amount(about.items[one.item], one.quantity),
         one.days, one.quoted_days)
        for one in times[-MOST:]
    ]  # fmt: skip
    if not rows:
        return []
    head = f"Days from order to receipt, the last {len(rows)} of {len(times)}"
    names = ("Order", "Item", "Received", "Units", "Days", "Quoted")
    return ["", head, table(names, rows, "Units,Days,Quoted")]


def withdrawn_page(done: Withdrawn) -> str:
    """What is sold no longer, and who else sells it."""
    if done.entry is None:
        return "supplier: known so already, nothing changed."
    return "\n".join(_withdrawn_line(done, item) for item in done.items)


def _withdrawn_line(done: Withdrawn, item: str) -> str:
    others = [one for one in done.others if one.item == item]
    if not others:
        return f"{done.supplier} sells {item} no longer. Nobody else sells it."
    names = ", ".join(f"{o.supplier}{' (preferred)' if o.preferred else ''}" for o in others)
    none = "" if any(o.preferred for o in others) else "; none of them is preferred yet"
    return f"{done.supplier} sells {item} no longer. It is sold by {names}{none}."


def supplier_sheets(suppliers: Sequence[Supplier]) -> "list[DataSheet]":
    """The columns of a file of suppliers."""
    from stockbook.reports.data import DataSheet, columns

    rows = tuple((s.code, s.name) for s in suppliers)
    return [DataSheet("suppliers", (), columns("supplier", "name"), rows)]


def about_sheets(about: AboutSupplier) -> "list[DataSheet]":
    """One supplier as a file of suppliers; beside it the terms, the record, every lead time."""
    from dataclasses import replace

    (terms,) = offer_sheets(about.offers)
    return [
        *supplier_sheets([about.supplier]), replace(terms, beside=True),
        _record_sheet(about), _lead_time_sheet(about),
    ]  # fmt: skip


def offer_sheets(offers: Sequence[Offer]) -> "list[DataSheet]":
    """The columns of a file of supply terms: a row an item, or one for each of its breaks."""
    from stockbook.reports.data import DataSheet, columns

    names = columns(
        "supplier", "item", "pack:quantity", "price:money", "lead_days:count",
        "least_packs:count", "preferred", "break_packs:count", "break_price:money",
    )  # fmt: skip
    rows = tuple(row for one in offers for row in _offer_rows(one))
    return [DataSheet("supply_terms", (), names, rows)]


def _offer_rows(offer: Offer) -> list[tuple[Any, ...]]:
    from stockbook.reports.data import Quantity

    terms, pack = offer.terms, offer.terms.pack_quantity
    head = (
        terms.supplier, terms.item, Quantity(pack, offer.item.unit_places), terms.price,
        terms.lead_days, terms.least_quantity // pack, "yes" if terms.preferred else "no",
    )  # fmt: skip
    breaks = [(*head, one.quantity // pack, one.price) for one in terms.breaks]
    return breaks or [(*head, None, None)]


def _record_sheet(about: AboutSupplier) -> "DataSheet":
    from stockbook.reports.data import DataSheet, columns

    record = about.record
    row = (
        record.lines, record.full.whole, record.full.part, record.full_in_time.part, record.fill,
        record.fill_in_time, record.short_dated.whole, record.short_dated.part,
        record.door.rejects.whole, record.door.rejects.part,
        sum(count for _, count in record.door.set_aside),
    )  # fmt: skip
    names = (
        "lines", "lines_judged", "lines_full", "lines_full_in_time", "fill_per_10000",
        "fill_in_time_per_10000", "lots", "lots_short_dated", "lines_at_the_door",
        "lines_rejected", "lots_set_aside",
    )  # fmt: skip
    about_it = (("short_dated_days", str(about.short_days)),)
    kinds = columns(*(f"{name}:count" for name in names))
    return DataSheet("supplier_record", about_it, kinds, (row,), beside=True)


def _lead_time_sheet(about: AboutSupplier) -> "DataSheet":
    from stockbook.reports.data import DataSheet, Quantity, columns

    rows = tuple(
        (one.order, one.item, one.received_on, one.days, one.quoted_days,
         Quantity(one.quantity, about.items[one.item].unit_places))
        for one in about.record.lead_times
    )  # fmt: skip
    names = columns(
        "order", "item", "received_on:day", "days:count", "quoted_days:count", "units:quantity"
    )
    return DataSheet("lead_times", (), names, rows, beside=True)
