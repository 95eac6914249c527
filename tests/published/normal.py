"""A normal curve as a law of demand: what the textbooks' rows assume, and no forecast of ours.

Levels are whole numbers of the finest step, so a row is reckoned in millionths of its unit.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from statistics import NormalDist
from typing import Any

STEPS = 10**6


@dataclass(frozen=True)
class Normal:
    """Demand in finest steps; `published` in units of the source."""

    mean: float
    sd: float

    @classmethod
    def published(cls, mean: Any, sd: Any) -> "Normal":
        return cls(STEPS * float(mean), STEPS * float(sd))

    def at_most(self, units: int) -> float:
        return NormalDist(self.mean, self.sd).cdf(units)

    def smallest_reaching(self, level: float) -> int:
        return ceil(NormalDist(self.mean, self.sd).inv_cdf(level))

    def expected_beyond(self, stock: int) -> float:
        standard, z = NormalDist(), (stock - self.mean) / self.sd
        return self.sd * (standard.pdf(z) - z * (1 - standard.cdf(z)))

    def expected_left(self, stock: int) -> float:
        return stock - self.mean + self.expected_beyond(stock)


def units(steps: float) -> Fraction:
    """Finest steps in units of the source."""
    return Fraction(steps) / STEPS
