"""The handbooks' rules as policies: months of stock of the average monthly use.

The arithmetic is that of `stockbook.domain.handbook`, on whole arrays; a test compares the two.
The use averaged is what was wanted, unmet units included: the best such a rule can know.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from list_mix.site import Ints
from list_mix.view import View
from stockbook.domain.handbook import DAYS_A_MONTH

AVERAGED_WEEKS = 26
"""Half a year, as the handbooks advise."""


def months_as_units(view: View, months: Fraction, averaged_weeks: int) -> Ints:
    """So many months of the average use of the last weeks, in whole units, rounded up."""
    weeks = view.wanted_by_week[-averaged_weeks:]
    factor = months * DAYS_A_MONTH / (7 * max(1, len(weeks)))
    return np.asarray(-(-weeks.sum(axis=0) * factor.numerator // factor.denominator))


@dataclass(frozen=True)
class OrderUpTo:
    """Forced ordering: at every review up to so many months."""

    months: Fraction
    averaged_weeks: int = AVERAGED_WEEKS

    def orders(self, view: View) -> Ints:
        """What is missing to the level."""
        level = months_as_units(view, self.months, self.averaged_weeks)
        return np.maximum(level - view.position, 0)


@dataclass(frozen=True)
class MinMax:
    """At or under the minimum, up to the maximum."""

    min_months: Fraction
    max_months: Fraction
    averaged_weeks: int = AVERAGED_WEEKS

    def orders(self, view: View) -> Ints:
        """What is missing to the maximum, where the minimum is reached."""
        top = months_as_units(view, self.max_months, self.averaged_weeks)
        low = months_as_units(view, self.min_months, self.averaged_weeks)
        missing = np.maximum(top - view.position, 0)
        return np.where(view.position <= low, missing, 0)


MONTHS = tuple(
    Fraction(m) for m in ("3/4", "7/8", "1", "9/8", "5/4", "3/2", "7/4", "2", "5/2", "3")
)  # fmt: skip
GAPS = tuple(Fraction(gap) for gap in ("0.25", "0.5", "1"))
"""How far a maximum lies above its minimum, in months."""

Rule = tuple[OrderUpTo | MinMax, ...]
"""One rule at rising strengths."""


def handbook_family() -> Mapping[str, Rule]:
    """Every rule compared: its name, and the policies from the least stock to the most."""
    family: dict[str, Rule] = {
        f"up to, {weeks} weeks averaged": tuple(OrderUpTo(m, weeks) for m in MONTHS)
        for weeks in (13, AVERAGED_WEEKS, 52)
    }
    for gap in GAPS:
        family[f"min-max, {float(gap)} months apart"] = tuple(MinMax(m, m + gap) for m in MONTHS)
    return family
