"""How suppliers' offers look beside what cases cost now."""

from fractions import Fraction
from typing import TYPE_CHECKING

from stockbook.domain.amounts import quantity_text
from stockbook.domain.answers import Site
from stockbook.domain.offers import RankedOffer
from stockbook.domain.what_if_answer import WhatIf, money
from stockbook.reports.tables import table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


def offers_part(found: WhatIf, site: Site) -> str:
    """The cheapest a case first of each item."""
    headers = ("Item", "Supplier", "Pack", "Least order", "A case", "With offer", "Saves a year")
    rows = [_row(one, site) for one in found.offers]
    said = (
        f"\nA case: over all {money(found.then.cases)} cases of the period. A year: "
        f"{money(found.cases_a_year)} cases at this mix. Delivery is not reckoned."
    )
    if any(one.cost_a_case is None for one in found.offers):
        said += "\nNone bought: no case takes any that is paid for."
    if any(one.lasts_long for one in found.offers):
        said += "\n*: the least order lasts longer than a year; some may expire."
    drawn = table(headers, rows, ",".join(headers[2:]), caption="Offers, item by item")
    return f"\n{drawn}{said}"


def _row(one: RankedOffer, site: Site) -> tuple[str, ...]:
    def text(value: Fraction | None) -> str:
        return "none bought" if value is None else site.money.text(money(value))

    offer, mark = one.offer, "*" if one.lasts_long else ""
    pack = f"{quantity_text(offer.pack, offer.unit_places)} at {site.money.text(offer.price)}"
    return (
        offer.item, offer.supplier, pack, site.money.text(offer.least_cost) + mark,
        text(one.now_a_case), text(one.cost_a_case), text(one.saved_a_year),
    )  # fmt: skip


def offers_sheet(found: WhatIf) -> "DataSheet":
    """A row for each offer, in the same order."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    def value(amount: Fraction | None) -> int | None:
        return None if amount is None else money(amount)

    rows = [
        (one.offer.item, one.offer.supplier, Quantity(one.offer.pack, one.offer.unit_places),
         one.offer.price, one.offer.least_packs, one.offer.least_cost, value(one.now_a_case),
         value(one.cost_a_case), value(one.saved_a_year))
        for one in found.offers
    ]  # fmt: skip
    names = columns(
        "item", "supplier", "pack:quantity", "price:money", "least_packs:count",
        "least_order:money", "case_now:money", "case_offered:money", "saved_a_year:money",
    )  # fmt: skip
    about = (("last_entry", str(found.last_entry)), ("checksum", found.checksum))
    return DataSheet("offers", about, names, tuple(rows))
