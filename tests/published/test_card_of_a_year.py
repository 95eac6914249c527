"""A published stock card of twelve months, month by month as the commands answer.

Consumption and stock are those of H01 and H03, one table of one source: Sri Lanka Ministry of
Healthcare & Nutrition, Manual on Management of Drugs, 3rd ed., 2nd revision 2008, Table 2. Prices,
lots and days are our own construction, and so is every figure of money below.
"""

import json
from fractions import Fraction

import pytest

from published.card import kept, published_card
from published.one_item import ITEM, OneItemBook
from published.tables import published
from published.valuing import METHODS
from stockbook.domain.days import last_day_of_month

CARD = published_card()
FIRST_DAY, LAST_DAY = f"{CARD.months[0]}-01", "2007-06-30"
CLOSING = dict(
    zip(CARD.months, (s - c for s, c in zip(CARD.stock, CARD.consumption, strict=True)),
        strict=True)
)  # fmt: skip
USED = dict(zip(CARD.months, CARD.consumption, strict=True))
PRICE = 2
"""What a unit costs all year, in whole currency, where the price stays."""

every_month = pytest.mark.parametrize("month", CARD.months)


def rising(month: str) -> int:
    """2 a unit until December, 3 from January on: what comes in February and May."""
    return 2 if month < "2007-01" else 3


@pytest.fixture(scope="module")
def steady(tmp_path_factory: pytest.TempPathFactory) -> OneItemBook:
    """The year at one price."""
    return kept(CARD, tmp_path_factory.mktemp("steady"), lambda _: PRICE)


@pytest.fixture(scope="module")
def dearer(tmp_path_factory: pytest.TempPathFactory) -> OneItemBook:
    """The year with a price that rises; in February the new lot is used though old units lie there.

    That makes what was used differ from what FIFO says.
    """
    folder = tmp_path_factory.mktemp("dearer")
    return kept(CARD, folder, rising, {"2007-02": "R2007-02"})


def end_of(month: str) -> str:
    return last_day_of_month(int(month[:4]), int(month[5:]))


def asked(book: OneItemBook, line: str) -> dict:
    """A question's data, asked when the year is over."""
    return json.loads(book.desk.ok(f"{line} --json", today=LAST_DAY))


def stock_at(book: OneItemBook, day: str) -> tuple[int, int]:
    """Units and value (in minor units) that `stock --as-of` says."""
    rows = asked(book, f"stock {ITEM} --as-of {day}")["stock"]["rows"]
    return sum(row["quantity"] for row in rows), sum(row["value_minor"] for row in rows)


def opening_of(book: OneItemBook, month: str) -> int:
    """What the month before left; the first month's is the opening stock itself."""
    before = CARD.months.index(month) - 1
    if before < 0:
        return stock_at(book, FIRST_DAY)[0]
    return stock_at(book, end_of(CARD.months[before]))[0]


@every_month
def test_opening_and_received_less_used_is_what_stock_says_at_the_month_s_end(
    steady: OneItemBook, month: str
) -> None:
    received, used = steady.received_by_month(), steady.used_by_month()
    units, value = stock_at(steady, end_of(month))
    assert opening_of(steady, month) + received.get(month, 0) - used.get(month, 0) == units
    assert units == CLOSING[month]
    assert value == 100 * PRICE * units


def test_the_months_that_do_not_count_are_those_that_ended_with_nothing(
    steady: OneItemBook,
) -> None:
    """The source names them (H01); the book knows them by its stock."""
    (row,) = [row for row in published("arithmetic.csv") if row.name == "H01"]
    short = [month for month in CARD.months if stock_at(steady, end_of(month))[0] == 0]
    assert short == row.inputs["exclude"] == ["2006-07", "2006-09", "2006-10"], row


@every_month
def test_the_cost_of_a_month_is_its_units_at_the_price(steady: OneItemBook, month: str) -> None:
    found = asked(steady, f"cost --month {month}")
    proof = {row["figure"]: row["value_minor"] for row in found["proof"]["rows"]}
    (paid,) = [row for row in found["cost"]["rows"] if row["category"] == "paid"]
    assert paid["used_minor"] == proof["used"] == 100 * PRICE * USED[month]
    assert proof["on_hand"] == proof["expected"] == 100 * PRICE * CLOSING[month]
    assert paid["cases"] == (1 if USED[month] else 0)


@every_month
def test_at_one_price_every_method_says_the_same(steady: OneItemBook, month: str) -> None:
    found = steady.by_method(f"{month}-01", end_of(month), *METHODS)
    assert tuple(found) == METHODS
    for sums in found.values():
        assert sums["used"] == PRICE * USED[month]
        assert sums["closing"] == PRICE * CLOSING[month]


AT_TWO = {
    "2006-07": 5600, "2006-08": 6000, "2006-09": 4000, "2006-10": 0, "2006-11": 6200,
    "2006-12": 6000, "2007-01": 6600,
}  # fmt: skip
"""Until the price rises all methods agree: units at 2."""
BY_HAND = {
    # lot: 3200 of the new at 3. FIFO: 600 at 2, then 2600 at 3. Average: 10300 are worth 30300.
    "2007-02": ("9600.00", "9000.00", "9413.59"),
    # lot: the 600 old ones at 2, then 2550 at 3. Average: 7100 are worth 20886.41.
    "2007-03": ("8850.00", "9450.00", "9266.51"),
    # From here on lot and FIFO have units at 3 alone. Average: 3950 are worth 11619.90.
    "2007-04": ("9300.00", "9300.00", "9119.42"),
    # Average: 850 worth 2500.48 and 7000 at 3 are 7850 worth 23500.48.
    "2007-05": ("10050.00", "10050.00", "10028.87"),
    # Average: 4500 are worth 13471.61.
    "2007-06": ("9750.00", "9750.00", "9729.50"),
}
LEFT = ("3750.00", "3750.00", "3742.11")
"""1250 units at the year's end: at 3, and at the mean."""


def by_methods(book: OneItemBook, month: str, figure: str) -> list[Fraction]:
    """A figure of a month by lot, FIFO and moving average."""
    found = book.by_method(f"{month}-01", end_of(month), *METHODS)
    return [found[method][figure] for method in METHODS]


@every_month
def test_when_the_price_rises_the_methods_differ_as_reckoned_by_hand(
    dearer: OneItemBook, month: str
) -> None:
    wanted = BY_HAND.get(month) or 3 * [AT_TWO[month]]
    assert by_methods(dearer, month, "used") == [Fraction(figure) for figure in wanted]


def test_what_is_left_of_a_dearer_year_is_what_came_less_what_was_used(
    dearer: OneItemBook,
) -> None:
    """2800, 5000 and 10000 at 2, 9700 and 7000 at 3: 85700 in all."""
    left = [Fraction(figure) for figure in LEFT]
    year = dearer.by_method(FIRST_DAY, LAST_DAY, *METHODS)
    assert by_methods(dearer, CARD.months[-1], "closing") == left
    assert [85700 - year[method]["used"] for method in METHODS] == left
    assert stock_at(dearer, LAST_DAY) == (CLOSING[CARD.months[-1]], 375_000)
    dearer.verify()
