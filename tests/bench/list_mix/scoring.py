"""How much stock a rule needs for the same service, and how sure that is.

A frontier is a rule at rising strengths over the same seeds. The stock that it needs for a
share of cases short is read off the means over the seeds, straight between the logarithms.
Consumables and lenses are read apart, each at its own service, and added.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from list_mix.demand import World
from list_mix.run import Outcome, simulated
from list_mix.site import Floats
from list_mix.view import Policy

SHORT_CONSUMABLES, SHORT_LENSES = 0.01, 0.02
RESAMPLES = 1000

PolicyFor = Callable[[World], Policy]
"""A fresh policy of one strength for one world; what it may know comes with each view."""


@dataclass(frozen=True)
class Frontier:
    """One rule: arrays by seed and strength."""

    value_consumables: Floats
    value_lenses: Floats
    short_consumables: Floats
    short_lenses: Floats
    lines_a_week: Floats
    expired_value_a_year: Floats

    def needed(self, seeds: Sequence[int] | Floats | None = None) -> "Needed":
        """The stock at the two services, from the seeds given (one may come twice) or all."""
        rows = np.arange(len(self.lines_a_week)) if seeds is None else np.asarray(seeds)
        consumables, at = needed_value(
            self.short_consumables[rows].mean(axis=0),
            self.value_consumables[rows].mean(axis=0), SHORT_CONSUMABLES,
        )  # fmt: skip
        lenses, _ = needed_value(
            self.short_lenses[rows].mean(axis=0),
            self.value_lenses[rows].mean(axis=0), SHORT_LENSES,
        )  # fmt: skip
        lines = self.lines_a_week[rows].mean(axis=0)
        return Needed(consumables, lenses, float(np.interp(at, np.arange(len(lines)), lines)))


@dataclass(frozen=True)
class Needed:
    """Stock value for the service wanted (infinite where no strength reaches it), and lines.

    Order lines a week are those at the strength that the consumables need.
    """

    consumables: float
    lenses: float
    lines_a_week: float

    @property
    def together(self) -> float:
        """Both values."""
        return self.consumables + self.lenses


def needed_value(short: Floats, value: Floats, wanted: float) -> tuple[float, float]:
    """The least value at which no more than `wanted` are short, and the strength it lies at.

    Between two strengths the logarithms go straight. A first strength that is good enough
    counts as it is; if none is, the value is infinite.
    """
    logs = np.log(np.maximum(short, 1e-6))
    good = np.flatnonzero(logs <= np.log(wanted))
    if not len(good):
        return float("inf"), float(len(short) - 1)
    after = int(good[0])
    if after == 0:
        return float(value[0]), 0.0
    part = (logs[after - 1] - np.log(wanted)) / (logs[after - 1] - logs[after])
    low, high = np.log(value[after - 1]), np.log(value[after])
    return float(np.exp(low + part * (high - low))), after - 1 + float(part)


def frontier(worlds: Sequence[World], strengths: Sequence[PolicyFor]) -> Frontier:
    """Every strength in every world."""
    return frontier_of([[simulated(world, make(world)) for make in strengths] for world in worlds])


def frontier_of(outcomes: Sequence[Sequence[Outcome]]) -> Frontier:
    """The outcomes as arrays by seed and strength."""
    names = Frontier.__dataclass_fields__
    return Frontier(
        *(np.array([[getattr(o, name) for o in row] for row in outcomes]) for name in names)
    )


@dataclass(frozen=True)
class Best:
    """The best of a family for consumables and the best for lenses, by name."""

    consumables: str
    lenses: str
    value: float


def best_of(family: Mapping[str, Frontier], seeds: Sequence[int] | Floats | None = None) -> Best:
    """The least stock that any rule of the family needs; another rule may be best for lenses."""
    needed = {name: found.needed(seeds) for name, found in family.items()}
    consumables = min(needed, key=lambda name: needed[name].consumables)
    lenses = min(needed, key=lambda name: needed[name].lenses)
    return Best(
        consumables, lenses, needed[consumables].consumables + needed[lenses].lenses
    )  # fmt: skip


@dataclass(frozen=True)
class Score:
    """A rule's stock as a share of the best of the family, with a 95 in 100 interval."""

    ratio: float
    low: float
    high: float


def score(ours: Frontier, family: Mapping[str, Frontier], seed: int = 0) -> Score:
    """Ours against the best of the family; seeds are drawn again, the same for both sides."""
    number = len(ours.lines_a_week)
    draw = np.random.default_rng(seed)
    picks = draw.integers(0, number, (RESAMPLES, number))
    ratios = [ours.needed(pick).together / best_of(family, pick).value for pick in picks]
    low, high = np.quantile(ratios, [0.025, 0.975])
    return Score(ours.needed().together / best_of(family).value, float(low), float(high))
