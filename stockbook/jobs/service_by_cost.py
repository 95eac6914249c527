"""The service of each item by what it costs, where the site asks for it: on average the site's."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.service_levels import FILL, ServiceLevel
from stockbook.domain.texts import yes_or_no
from stockbook.forecast.estimates import mean_days, share_of
from stockbook.forecast.levels import fill_rate
from stockbook.forecast.service_costs import (
    ITEMS_POWER,
    LENSES_POWER,
    Candidate,
    Ranking,
    in_permille,
)
from stockbook.jobs.prospects import Prospect
from stockbook.ledger.settings import setting

RULE = "service_by_cost"


def asked_for(db: sqlite3.Connection) -> bool:
    """Whether the site has said so."""
    return yes_or_no(setting(db, RULE), RULE)


def with_service_by_cost(
    db: sqlite3.Connection, found: Sequence[Prospect], terms: Mapping[str, SupplyTerms]
) -> list[Prospect]:
    """The same prospects; those with the site's service and a price have a level by cost.

    Items and lenses each have the site's service on average over all their uses. An item's own
    level of service stays, and so does the site's where no price is known.
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
    site = found[0].service
    candidates = [_candidate(one, terms[one.item.code]) for one in found]
    ranking = Ranking(candidates, power, fill=site.kind == FILL)
    levels = ranking.levels(1 - share_of(site.permille, 1000))
    return [
        replace(one, level_by_cost=level, service=_service(site, candidate, level))
        for one, candidate, level in zip(found, candidates, levels, strict=True)
    ]


def _candidate(one: Prospect, terms: SupplyTerms) -> Candidate:
    """What a case, or other use, costs in minor units, and how many a day there are."""
    cost = share_of(terms.price, terms.price_quantity) * one.per_use
    uses = share_of(one.demand.total.mean, one.per_use * mean_days(one.interval))
    return Candidate(cost, uses, one.demand.total, one.before_own)


def _service(site: ServiceLevel, found: Candidate, level: int) -> ServiceLevel:
    """What the level comes to, as the site states its service."""
    if site.kind == FILL:
        share = fill_rate(found.until_next, level, found.until_own)
    else:
        share = found.until_next.at_most(level)
    return replace(site, permille=in_permille(share))
