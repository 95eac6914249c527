"""What is proposed to be ordered: line by line how much, why, and what it does to the chances."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stockbook.domain.entries import digest_of
from stockbook.domain.facts import Item
from stockbook.domain.forecasts import Levelled, NoBasis, Quantity, Spending
from stockbook.domain.handbook import MaxMin, forced_order
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.orders import price_of
from stockbook.domain.service_levels import ServiceLevel


@dataclass(frozen=True, slots=True)
class CrossCheck:
    """What the handbooks' max-min rule would order, and the figures it reckons with."""

    monthly_use: Fraction
    rule: MaxMin
    position: int

    @property
    def units(self) -> int:
        """Finest steps, not rounded to packs."""
        return forced_order(self.monthly_use, self.rule, self.position)


@dataclass(frozen=True, slots=True)
class Proposed:
    """One item: what there is, what it faces, the level to be reached and what to order."""

    item: Item
    terms: SupplyTerms | None
    usable: int
    on_order: int
    expected: float
    service: ServiceLevel
    levelled: Levelled
    quantity: Quantity
    chance_without: float
    """Of running short before the order after next can come, with what there is."""
    chance_with: float
    chance_expires: float | None
    """That the last unit is not used before it expires; none where no shelf life is known."""
    shelf_life: int | None
    lead_days: float
    check: CrossCheck | None = None

    @property
    def units(self) -> int:
        """Finest steps to be ordered."""
        return self.quantity.units

    @property
    def at(self) -> int:
        """What the coming demand can count on already."""
        return self.usable + self.on_order

    @property
    def supplier(self) -> str | None:
        """Who is to deliver it."""
        return self.terms.supplier if self.terms else None

    @property
    def cost(self) -> int | None:
        """What it costs by the supplier's terms; none where there are none."""
        return price_of(self.terms, self.units) if self.terms else None

    @property
    def packs(self) -> int | None:
        """How many packs that is."""
        return self.units // self.terms.pack_quantity if self.terms else None


@dataclass(frozen=True, slots=True)
class Budgeted:
    """How a fixed sum was spent, in uses expected to be served."""

    amount: int
    spending: Spending
    wanted: int
    """What all that is proposed would cost."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What to order on a day, and what it rests on."""

    day: str
    review_days: int
    lines: tuple[Proposed, ...]
    """Everything that was looked at; what needs nothing has no units."""
    none: tuple[NoBasis, ...]
    cases: int
    since: str
    budget: Budgeted | None = None
    by_cost: bool = False
    """Whether services go by cost, where an item has none of its own."""

    @property
    def wanted(self) -> tuple[Proposed, ...]:
        """The lines with something to order."""
        return tuple(line for line in self.lines if line.units)

    @property
    def by_supplier(self) -> Mapping[str | None, tuple[Proposed, ...]]:
        """Lines with something to order, by supplier; those without terms last."""
        found: dict[str | None, list[Proposed]] = {}
        for line in sorted(self.wanted, key=lambda one: (one.supplier is None, one.supplier or "")):
            found.setdefault(line.supplier, []).append(line)
        return {name: tuple(lines) for name, lines in found.items()}

    @property
    def cost(self) -> int:
        """What all lines with terms cost."""
        return sum(line.cost or 0 for line in self.wanted)

    @property
    def code(self) -> str:
        """A short name of exactly this proposal: the same lines have the same."""
        lines = [[line.item.code, line.supplier, line.units, line.cost] for line in self.wanted]
        return digest_of([self.day, sorted(lines, key=str)])[:8]

    def only(self, lines: Sequence[Proposed]) -> "Proposal":
        """The same with other lines."""
        return replace(self, lines=tuple(lines))


@dataclass(frozen=True, slots=True)
class TenderLine:
    """An item's need over a tender's time, beyond what there is; finest steps."""

    item: Item
    expected: float
    most: int
    """Enough with the chance of the item's service."""
    at: int
    quantity: int
    call_offs: tuple[int, ...]
    shelf_life: int | None


@dataclass(frozen=True, slots=True)
class Tender:
    """Quantities of a tender with call-offs at even times."""

    day: str
    months: int
    every: int
    """Months between call-offs."""
    lines: tuple[TenderLine, ...]
    none: tuple[NoBasis, ...]
