"""Volumes at which what comes in bears what goes out, for a mix of kinds of case; exact."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from stockbook.errors import InputError


@dataclass(frozen=True, slots=True)
class Earner:
    """A kind of case: its weight in the mix, what one brings and what one costs (minor units)."""

    name: str
    weight: int
    price: int | Fraction
    variable_cost: int | Fraction

    @property
    def contribution(self) -> Fraction:
        """What one case leaves over for what is fixed; below nothing where it costs more."""
        return Fraction(self.price) - Fraction(self.variable_cost)


@dataclass(frozen=True, slots=True)
class BreakEven:
    """The volume that bears the fixed cost: composite units, whole ones, and cases of each kind."""

    contribution: Fraction
    composite_units: Fraction
    cases: tuple[Fraction, ...]

    @property
    def whole_units(self) -> int:
        """The least whole number of composite units that bears it."""
        return ceil(self.composite_units)


def composite_contribution(mix: Sequence[Earner]) -> Fraction:
    """What one composite unit (each kind by its weight) leaves over.

    One paid and two free cases:

    >>> composite_contribution([Earner("paid", 1, 200, 60), Earner("free", 2, 0, 40)])
    Fraction(60, 1)
    """
    return sum((one.weight * one.contribution for one in mix), Fraction(0))


def break_even(fixed_cost: int, mix: Sequence[Earner]) -> BreakEven | None:
    """The volume at which the mix bears the fixed cost; none where it never does.

    OpenStax, Principles of Accounting, volume 2, section 3.4 (in cents):

    >>> mix = [Earner("A", 5, 625, 325), Earner("B", 3, 775, 450), Earner("C", 2, 925, 625)]
    >>> found = break_even(14_500_000, mix)
    >>> round(float(found.composite_units), 2), found.whole_units
    (4715.45, 4716)
    """
    if fixed_cost < 0 or any(one.weight < 0 for one in mix) or not sum(e.weight for e in mix):
        raise InputError("break-even: wanted a fixed cost and weights of the mix, none below zero.")
    contribution = composite_contribution(mix)
    if contribution <= 0:
        return None
    units = Fraction(fixed_cost, contribution)
    return BreakEven(contribution, units, tuple(one.weight * units for one in mix))


def carried_by_one(payer: Earner, carried: Earner) -> Fraction | None:
    """How many cases of the carried kind one paying case bears, fixed cost left out.

    None where the carried kind bears itself; nothing where the payer leaves nothing over.

    >>> carried_by_one(Earner("paid", 1, 200, 60), Earner("free", 2, 0, 40))
    Fraction(7, 2)
    """
    if carried.contribution >= 0:
        return None
    return Fraction(max(payer.contribution, Fraction(0)), -carried.contribution)


def payers_for_one(payer: Earner, carried: Earner) -> Fraction | None:
    """How many paying cases bear one of the carried kind; none where no number of them does.

    >>> payers_for_one(Earner("paid", 1, 200, 60), Earner("free", 2, 0, 40))
    Fraction(2, 7)
    """
    if carried.contribution >= 0:
        return Fraction(0)
    return Fraction(-carried.contribution, payer.contribution) if payer.contribution > 0 else None
