"""Suppliers' offers beside what cases cost: what one case would cost, what a year would save."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

MONTHS_A_YEAR = 12


@dataclass(frozen=True, slots=True)
class Offer:
    """What a supplier asks for a pack; `item` is an item, or a lens model at whatever power.

    `pack` is finest steps, `price` minor units of one pack, `least_packs` the least that is sold.
    """

    item: str
    supplier: str
    pack: int
    price: int
    least_packs: int
    unit_places: int
    row: int

    @property
    def least_cost(self) -> int:
        """What the least order costs, in minor units."""
        return self.least_packs * self.price


@dataclass(frozen=True, slots=True)
class Wanted:
    """What cases take of an item that has to be bought, and what it costs now (minor units)."""

    a_case: Fraction
    """Finest steps."""
    cost: Fraction
    """Of one case."""
    cases_a_year: Fraction


@dataclass(frozen=True, slots=True)
class RankedOffer:
    """An offer beside what is paid now; none where no case takes the item.

    `months` is how long the least order lasts.
    """

    offer: Offer
    now_a_case: Fraction | None
    cost_a_case: Fraction | None
    saved_a_year: Fraction | None
    months: Fraction | None

    @property
    def lasts_long(self) -> bool:
        """Whether the least order lasts longer than a year."""
        return self.months is not None and self.months > MONTHS_A_YEAR


def ranked(offers: Sequence[Offer], wanted: Callable[[str], Wanted]) -> tuple[RankedOffer, ...]:
    """Item by item, the one that makes a case cheapest first; what no case takes comes last."""
    found = [_beside(offer, wanted(offer.item)) for offer in offers]
    return tuple(sorted(found, key=lambda one: (
        one.cost_a_case is None, one.offer.item, one.cost_a_case or 0, one.offer.supplier,
    )))  # fmt: skip


def _beside(offer: Offer, wanted: Wanted) -> RankedOffer:
    if wanted.a_case <= 0:
        return RankedOffer(offer, None, None, None, None)
    cost = wanted.a_case * Fraction(offer.price, offer.pack)
    a_year = wanted.a_case * wanted.cases_a_year
    least = offer.least_packs * offer.pack
    months = Fraction(least * MONTHS_A_YEAR, a_year) if a_year else None
    return RankedOffer(offer, wanted.cost, cost, (wanted.cost - cost) * wanted.cases_a_year, months)
