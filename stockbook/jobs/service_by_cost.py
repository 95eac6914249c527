"""The service of each item by what it costs, where the site asks for it: on average the site's."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.service_levels import LEAST_PERMILLE, MOST_PERMILLE, ServiceLevel
from stockbook.domain.texts import yes_or_no
from stockbook.forecast.estimates import mean_days, share_of
from stockbook.forecast.service_costs import ITEMS_POWER, LENSES_POWER, chances_by_cost, in_permille
from stockbook.jobs.prospects import Prospect
from stockbook.ledger.settings import setting

RULE = "service_by_cost"


def asked_for(db: sqlite3.Connection) -> bool:
    """Whether the site has said so."""
    return yes_or_no(setting(db, RULE), RULE)


def with_service_by_cost(
    db: sqlite3.Connection, found: Sequence[Prospect], terms: Mapping[str, SupplyTerms]
) -> list[Prospect]:
    """The same prospects; those with the site's service and a price have theirs by cost.

    Items and lenses each have the site's on average over all their uses. An item's own level of
    service stays, and so does the site's where no price is known.
    """
    if not asked_for(db):
        return list(found)
    made = {
        one.item.code: one
        for lenses in (False, True)
        for one in _by_cost([p for p in found if _counts(p, terms, lenses=lenses)], terms)
    }
    return [made.get(one.item.code, one) for one in found]


def _counts(one: Prospect, terms: Mapping[str, SupplyTerms], *, lenses: bool) -> bool:
    """Whether it is of this kind, has no service of its own, and has a price and some use."""
    plain = not one.item.service and one.item.code in terms and one.demand.total.mean > 0
    return plain and (one.item.lens_model is not None) == lenses


def _by_cost(found: Sequence[Prospect], terms: Mapping[str, SupplyTerms]) -> list[Prospect]:
    if not found:
        return []
    power = LENSES_POWER if found[0].item.lens_model is not None else ITEMS_POWER
    costs = [_cost_of_a_use(one, terms[one.item.code]) for one in found]
    uses = [share_of(one.demand.total.mean, one.per_use * mean_days(one.interval)) for one in found]
    site = found[0].service
    chances = chances_by_cost(costs, uses, 1 - share_of(site.permille, 1000), power)
    return [
        replace(one, service=_service(site, chance))
        for one, chance in zip(found, chances, strict=True)
    ]


def _cost_of_a_use(one: Prospect, terms: SupplyTerms) -> float:
    """What a case, or other use, costs in minor units."""
    return share_of(terms.price, terms.price_quantity) * one.per_use


def _service(site: ServiceLevel, chance: float) -> ServiceLevel:
    """The site's kind of service at this chance of too little, as far as one can be stated."""
    permille = in_permille(1 - chance)
    return replace(site, permille=max(LEAST_PERMILLE, min(MOST_PERMILLE, permille)))
