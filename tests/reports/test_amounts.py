"""Amounts, lots and expiries as the words of a cell."""

import pytest

from stockbook.domain.facts import Item, Lot
from stockbook.errors import BadRow
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.book import MOST_BAD_ROWS, bad_rows_table


@pytest.mark.parametrize(
    ("unit", "places", "steps", "said"),
    [
        ("each", 0, 3, "3"),
        ("ml", 1, 25, "2.5 ml"),
        ("ml", 1, 30, "3 ml"),
        ("use", 3, 1, "0.001 use"),
    ],
)
def test_a_quantity_has_its_unit_unless_it_is_single_pieces(
    unit: str, places: int, steps: int, said: str
) -> None:
    assert amount(Item("A", "A", "other", unit, places), steps) == said


def lot(serial: str | None, expires_on: str = "2028-02-29", precision: str = "month") -> Lot:
    return Lot(1, "A", "L1", serial, expires_on, precision, "2027-01-01", None, "bought", 1)


@pytest.mark.parametrize(("serial", "said"), [(None, "L1"), ("L1", "L1"), ("S1", "L1 / S1")])
def test_a_lot_is_named_as_printed_with_its_serial(serial: str | None, said: str) -> None:
    assert lot_name(lot(serial)) == said


@pytest.mark.parametrize(
    ("day", "precision", "said"),
    [
        ("2028-02-29", "month", "2028-02"),
        ("2028-02-29", "day", "2028-02-29"),
        ("9999-12-31", "none", "none"),
    ],
)
def test_an_expiry_is_shown_as_precisely_as_it_was_printed(
    day: str, precision: str, said: str
) -> None:
    assert expiry(lot(None, day, precision)) == said


@pytest.mark.parametrize(("more", "said"), [(-1, False), (0, False), (1, True)])
def test_of_very_many_bad_rows_the_first_are_shown_and_the_rest_counted(
    more: int, *, said: bool
) -> None:
    rows = [BadRow(n, "item", "x", "y") for n in range(MOST_BAD_ROWS + more)]
    assert (f"and {more} more" in bad_rows_table(rows)) is said
