"""Allowances for what is opened and not used, as the immunization handbooks reckon them.

Rates are exact fractions of one: 0.3 is Fraction(3, 10). Quantities are whole units.
"""

from fractions import Fraction

from stockbook.domain.handbook import Exact, whole_up
from stockbook.errors import InputError


def wastage_factor(rate: Exact) -> Fraction:
    """How many units have to come for one that is used: 1 / (1 - rate).

    A rate below 0 or from 1 on is refused. Open University HEAT, Immunization, section 5.2.5.

    >>> wastage_factor(Fraction(25, 100))
    Fraction(4, 3)
    """
    if not 0 <= rate < 1:
        raise InputError(f"wastage rate: found {rate}, wanted 0 or more and less than 1.")
    return Fraction(1, 1 - rate)


def with_wastage(needed: int, rate: Exact) -> int:
    """The whole units that have to come so that `needed` are used.

    Open University HEAT, Immunization, section 5.2.5.

    >>> with_wastage(6043, Fraction(25, 100))
    8058
    """
    return whole_up(needed * wastage_factor(rate))


def wastage_rate(used: int, issued: int) -> Fraction | None:
    """The share of what was issued that was not used; none where nothing was issued.

    BMC Public Health 2020, doi:10.1186/s12889-020-08637-1, Table 1.

    >>> wastage_rate(6043, 8595)
    Fraction(2552, 8595)
    """
    if not 0 <= used <= issued:
        raise InputError(f"used: found {used} of {issued} issued, wanted 0 to {issued}.")
    return Fraction(issued - used, issued) if issued else None


def compound_wastage(*, rate_per_store: Exact, stores: int, rate_in_use: Exact) -> Fraction:
    """The share lost on the way through the stores and at use: 1 - (1 - wc)^n (1 - wo).

    WHO concept note "Revising global indicative wastage rates", 8 April 2019.

    >>> compound_wastage(rate_per_store=Fraction(1, 100), stores=3, rate_in_use=Fraction(5, 100))
    Fraction(1564319, 20000000)
    """
    return Fraction(1 - (1 - rate_per_store) ** stores * (1 - rate_in_use))
