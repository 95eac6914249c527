"""What is estimated from the book, with what was believed before and how much was seen."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NoBasis:
    """Nothing to reckon from: neither history nor a stated belief. It is never a zero."""

    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """One estimated number: what was believed before, what was seen, and what comes out."""

    what: str
    prior: float
    prior_source: str
    weight: float
    """How many cases (or weeks, receipts) the prior counts for."""
    observed: float
    """What was seen alone; the prior where nothing was seen."""
    seen: float
    """How many cases (or weeks, receipts) it was seen in."""
    result: float

    @property
    def is_prior_alone(self) -> bool:
        """Whether nothing was seen at all."""
        return self.seen == 0


@dataclass(frozen=True, slots=True)
class Shares:
    """Estimated shares of a whole, name by name: case types, powers, weeks of notice, lead days."""

    what: str
    names: tuple[str, ...]
    prior: tuple[float, ...]
    prior_source: str
    weight: float
    counts: tuple[float, ...]
    result: tuple[float, ...]

    @property
    def seen(self) -> float:
        """How many were counted."""
        return sum(self.counts)

    def share(self, name: str) -> float:
        """The share of one name."""
        return self.result[self.names.index(name)]


@dataclass(frozen=True, slots=True)
class Volume:
    """How many cases a period brings, and how they scatter: Var = m + variation * m^2."""

    mean: Estimate
    variation: Estimate


@dataclass(frozen=True, slots=True)
class PlainDemand:
    """Use of an item outside kits in one period: mean and variance of a negative binomial."""

    what: str
    mean: float
    variance: float
    periods: int
    basis: str


@dataclass(frozen=True, slots=True)
class Spike:
    """A period far above the others: kept out until a person says that it was real."""

    period: int
    quantity: float
    chance: float
    """Of so much or more, by the other periods."""


@dataclass(frozen=True, slots=True)
class Break:
    """From so many units on, a unit costs so much (minor units)."""

    units: int
    price: int


@dataclass(frozen=True, slots=True)
class OrderRule:
    """What the supplier asks: whole packs, a smallest order, prices by quantity."""

    pack: int = 1
    least: int = 0
    breaks: tuple[Break, ...] = ()


@dataclass(frozen=True, slots=True)
class Levelled:
    """A level with what made it: the forecast, the standby minimum or the expiry cap."""

    level: int
    forecast: int
    standby: int
    cap: int | None

    @property
    def ceiling(self) -> int | None:
        """What an order must not lift the position above; a standby minimum lifts the cap."""
        return None if self.cap is None else max(self.cap, self.level)

    @property
    def is_capped(self) -> bool:
        """Whether the expiry cap is what holds the level down."""
        return self.cap is not None and self.level < max(self.forecast, self.standby)


@dataclass(frozen=True, slots=True)
class Quantity:
    """What to order and why it is not simply level less position."""

    units: int
    needed: int
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Offer:
    """What a budget may be spent on: steps of one item in order, each with its gain and cost.

    Gains of later steps are never larger by cost than those of earlier ones.
    """

    item: str
    gains: tuple[float, ...]
    costs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Spending:
    """How a fixed sum was spent: steps taken of each item, gain, cost, and what was possible."""

    steps: dict[str, int]
    gain: float
    cost: int
    bound: float
    """No choice within the sum gains more than this."""

    @property
    def gap(self) -> float:
        """How far the gain lies below the bound at most."""
        return max(self.bound - self.gain, 0)
