"""The rules of the supply handbooks: average monthly consumption, months of stock, max-min.

They are the cross-check beside a forecast, and what a site that knows them expects to see. Where
handbooks disagree (days a month, the safety stock, how long a review period lasts) the figure is
a named argument, never a hidden constant. Amounts are whole numbers of the item's finest step or
exact fractions of them; months are exact fractions of a month.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction

from stockbook.errors import InputError

Exact = int | Fraction
"""A figure without rounding."""

DAYS_A_MONTH = Fraction(304, 10)
"""WHO/CDS 2002 counts 30.4 days a month; others count 30.5 (`DAYS_A_MONTH_LONGER`)."""
DAYS_A_MONTH_LONGER = Fraction(305, 10)


def whole_up(quantity: Exact) -> int:
    """The smallest whole number that is not less.

    >>> whole_up(Fraction(721, 2)), whole_up(360)
    (361, 360)
    """
    return -(-quantity.numerator // quantity.denominator)


def months_counted(used: Mapping[str, int], excluded: Collection[str] = ()) -> list[str]:
    """The months that an average counts: all but those that were short or out of stock."""
    return [month for month in used if month not in excluded]


def average_monthly_use(
    used: Mapping[str, int], excluded: Collection[str] = ()
) -> Fraction | None:  # fmt: skip
    """The mean use of the months that count, in units a month; none where no month counts.

    `used` is units by month, months without use included as 0. Months short or out of stock are
    left out (Sri Lanka, Manual on Management of Drugs, 3rd ed., Table 2).

    >>> used = {"2006-08": 3000, "2006-11": 3100, "2006-12": 3000, "2006-10": 0}
    >>> average_monthly_use(used, excluded=["2006-10"])
    Fraction(9100, 3)
    """
    months = months_counted(used, excluded)
    return Fraction(sum(used[month] for month in months), len(months)) if months else None


def adjusted_monthly_use(
    used: Exact, months: Exact, days_out: Exact, *, days_a_month: Exact = DAYS_A_MONTH
) -> Fraction | None:
    """The use of a month with stock, in units: CA = CT / (RM - DOS / days a month).

    `used` in units over so many `months`, with `days_out` days out of stock among them; none
    where it was out of stock all the time. WHO/CDS, Operational Guide on FDC Drugs, 2002, Annex 5.

    >>> adjusted_monthly_use(1140, 6, 38)
    Fraction(240, 1)
    """
    in_stock = months - Fraction(days_out) * Fraction(1, days_a_month)
    return Fraction(used, in_stock) if in_stock > 0 else None


def months_of_stock(on_hand: Exact, monthly_use: Exact) -> Fraction | None:
    """How many months the stock lasts at this use; none without use.

    USAID | DELIVER PROJECT, The Logistics Handbook, 2nd ed. 2011, ch. 3-4.

    >>> months_of_stock(200, 240)
    Fraction(5, 6)
    """
    return Fraction(on_hand, monthly_use) if monthly_use > 0 else None


@dataclass(frozen=True, slots=True)
class MaxMin:
    """The settings of a max-min rule, in months: minimum and maximum follow from them.

    The Logistics Handbook (2011, ch. 4) takes half a review period as the least safety stock,
    the Family Planning Manager's Handbook (MSH, ch. 8) a whole one; both are here by name.

    >>> rule = MaxMin.with_half_a_review(review_months=1, lead_months=1)
    >>> rule.min_months, rule.max_months
    (Fraction(3, 2), Fraction(5, 2))
    """

    review_months: Exact
    lead_months: Exact
    safety_months: Exact

    def __post_init__(self) -> None:
        """No setting is less than nothing."""
        for name in ("review_months", "lead_months", "safety_months"):
            if getattr(self, name) < 0:
                raise InputError(f"{name}: found {getattr(self, name)}, wanted 0 or more months.")

    @classmethod
    def with_half_a_review(cls, *, review_months: Exact, lead_months: Exact) -> "MaxMin":
        """The rule whose safety stock is half a review period."""
        return cls(review_months, lead_months, Fraction(review_months, 2))

    @classmethod
    def with_a_whole_review(cls, *, review_months: Exact, lead_months: Exact) -> "MaxMin":
        """The rule whose safety stock is a whole review period."""
        return cls(review_months, lead_months, review_months)

    @property
    def min_months(self) -> Exact:
        """Months of stock that are to be there when an order is placed: lead time and safety."""
        return self.lead_months + self.safety_months

    @property
    def max_months(self) -> Exact:
        """Months of stock that an order fills up to: a review period more."""
        return self.min_months + self.review_months


def min_quantity(monthly_use: Exact, rule: MaxMin) -> int:
    """The minimum of the rule, in whole units.

    MSH, Family Planning Manager's Handbook, ch. 8.

    >>> min_quantity(240, MaxMin.with_a_whole_review(review_months=1, lead_months=1))
    480
    """
    return whole_up(monthly_use * rule.min_months)


def max_quantity(monthly_use: Exact, rule: MaxMin) -> int:
    """The maximum of the rule, in whole units.

    MSH, Family Planning Manager's Handbook, ch. 8.

    >>> max_quantity(240, MaxMin.with_a_whole_review(review_months=1, lead_months=1))
    720
    """
    return whole_up(monthly_use * rule.max_months)


def forced_order(monthly_use: Exact, rule: MaxMin, position: int) -> int:
    """What is ordered at every review, in whole units: up to the maximum, never less than 0.

    `position` is what is on hand and on order. The Logistics Handbook 2011, ch. 4.

    >>> rule = MaxMin.with_half_a_review(review_months=1, lead_months=1)
    >>> forced_order(240, rule, position=200)
    400
    """
    return max(0, max_quantity(monthly_use, rule) - position)


def order_at_minimum(monthly_use: Exact, rule: MaxMin, position: int) -> int:
    """What is ordered where an item is reviewed against its minimum: 0 above it, else to the top.

    The Logistics Handbook 2011, ch. 4 (continuous review and standard versions).

    >>> rule = MaxMin.with_half_a_review(review_months=1, lead_months=1)
    >>> [order_at_minimum(240, rule, position) for position in (361, 360, 359)]
    [0, 240, 241]
    """
    return 0 if position > min_quantity(monthly_use, rule) else forced_order(
        monthly_use, rule, position
    )  # fmt: skip


def basic_safety_stock(monthly_use: Exact, lead_months: Exact) -> int:
    """The least safety stock by the guide, in whole units: what a lead time uses.

    WHO/CDS, Operational Guide on FDC Drugs, 2002, Annex 5.

    >>> basic_safety_stock(240, 2)
    480
    """
    return whole_up(monthly_use * lead_months)


def reorder_quantity(
    monthly_use: Exact, *, lead_months: Exact, procurement_months: Exact, safety_stock: Exact,
    position: int,
) -> int:  # fmt: skip
    """What to order, in whole units: QO = CA x (LT + PP) + SS - (SI + SO), never less than 0.

    `procurement_months` is how long an order has to last, `position` what is in stock and on
    order. WHO/CDS, Operational Guide on FDC Drugs, 2002, Annex 5.

    >>> reorder_quantity(
    ...     240, lead_months=2, procurement_months=3, safety_stock=480, position=500)
    1180
    """
    wanted = monthly_use * (lead_months + procurement_months) + safety_stock
    return max(0, whole_up(wanted) - position)
