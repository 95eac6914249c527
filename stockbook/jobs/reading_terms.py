"""Reading supply terms: how suppliers sell items, a row each and one more for each price break."""

from dataclasses import replace
from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import LIMIT, quantity_from_text, whole_from_text
from stockbook.domain.facts import Item, Supplier
from stockbook.domain.order_facts import PriceBreak, SupplyTerms
from stockbook.domain.rows import Row
from stockbook.errors import InputError
from stockbook.jobs.finding import money_of
from stockbook.jobs.preferring import one_preferred
from stockbook.jobs.reading import Reading

MOST_LEAD_DAYS = 366


def read_supply_terms(reading: Reading) -> None:
    """The terms of each supplier and item; further rows of the same two add price breaks."""
    money = money_of(reading.db)
    found: dict[str, tuple[Row, SupplyTerms]] = {}
    unsaid: set[str] = set()
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            supplier=_supplier(reading),
            item=reading.item,
            price=money.minor,
            lead_days=_lead_days,
            least_packs=lambda t: _packs(t, "least_packs"),
            preferred=lambda t: texts.yes_or_no(t, "preferred") if t else None,
            break_packs=lambda t: _packs(t, "break_packs"),
            break_price=lambda t: money.minor(t, "break_price") if t else None,
        )
        pack = _pack(reading, row, values["item"]) if values else None
        if values and pack:
            terms = _terms(reading, values, pack)
            if values["preferred"] is None:
                unsaid.add(terms.code)
            _keep(reading, row, terms, _break(reading, row, values, pack), found)
    complete = [(row, _complete(reading, terms)) for row, terms in found.values()]
    reading.facts += one_preferred(reading, complete, unsaid)


def _known(reading: Reading, code: str) -> SupplyTerms | None:
    """The terms as the book has them, unless they were withdrawn."""
    known = reading.known(SupplyTerms, code)
    return None if known is None or known.closed else known


def _supplier(reading: Reading) -> Any:
    def supplier(text: str) -> str:
        code = texts.code(text, "supplier")
        if reading.known(Supplier, code) is None:
            raise InputError(f"supplier: wanted a supplier of this book; {text!r} is not one")
        return code

    return supplier


def _lead_days(text: str) -> int:
    days = whole_from_text(text, 0, "lead_days")
    if not 0 <= days <= MOST_LEAD_DAYS:
        raise InputError(f"lead_days: found {text!r}, wanted 0 to {MOST_LEAD_DAYS}")
    return days


def _packs(text: str, what: str) -> int:
    packs = whole_from_text(text or "0", 0, what)
    if packs < 0:
        raise InputError(f"{what}: found {text!r}, wanted nothing or more")
    return packs


def _pack(reading: Reading, row: Row, item: Any) -> int | None:
    """How many finest steps of the item one pack holds."""
    if not isinstance(item, Item):
        return None
    return reading.faults.cell(
        row, "pack", lambda t: quantity_from_text(t, item.unit_places, "pack")
    )


def _terms(reading: Reading, values: dict[str, Any], pack: int) -> SupplyTerms:
    code = f"{values['supplier']}/{values['item'].code}"
    known = _known(reading, code)
    values["least"] = values["least_packs"] * pack
    if known is not None and values["preferred"] is None:
        values["preferred"] = known.preferred
    if known is not None and "least_packs" not in reading.sheet.columns:
        values["least"] = known.least_quantity
    return SupplyTerms(
        code, values["supplier"], values["item"].code, pack, values["price"], pack,
        values["lead_days"], values["least"], (), values["preferred"] is not False,
    )  # fmt: skip


def _break(reading: Reading, row: Row, values: dict[str, Any], pack: int) -> PriceBreak | None:
    packs, price = values["break_packs"], values["break_price"]
    if bool(packs) != (price is not None):
        reading.faults.add(row, "break_price", "break_price: wanted with break_packs, or neither")
    if (packs or 0) * pack >= LIMIT or values["least_packs"] * pack >= LIMIT:
        reading.faults.add(row, "pack", "pack: wanted an amount that can be real")
    return PriceBreak(packs * pack, price) if packs and price is not None else None


def _keep(
    reading: Reading, row: Row, terms: SupplyTerms, at: PriceBreak | None,
    found: dict[str, tuple[Row, SupplyTerms]],
) -> None:  # fmt: skip
    """The terms of a first row; of a further one its break, the rest being the same."""
    first, known = found.get(terms.code, (row, terms))
    breaks = known.breaks
    if first is not row and at is None:
        reading.faults.add(row, "item", f"item: wanted each once; it is in row {first.number}")
    if replace(known, breaks=()) != terms:
        wanted = f"the same terms as in row {first.number}, and another break"
        reading.faults.add(row, "item", f"item: wanted {wanted}")
    if at is not None and any(one.quantity == at.quantity for one in breaks):
        reading.faults.add(row, "break_packs", "break_packs: wanted each once for an item")
    more = (at,) if at is not None else ()
    in_order = tuple(sorted((*breaks, *more), key=lambda one: one.quantity))
    found[terms.code] = first, replace(known, breaks=in_order)


def _complete(reading: Reading, terms: SupplyTerms) -> SupplyTerms:
    """A file that has no column for breaks keeps those of the book."""
    known = _known(reading, terms.code)
    if known is not None and "break_packs" not in reading.sheet.columns:
        return replace(terms, breaks=known.breaks)
    return terms
