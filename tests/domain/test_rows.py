"""Rows of a file: every fault is named with row, column, what was found and what is wanted."""

import pytest

from stockbook.domain.amounts import quantity_from_text
from stockbook.domain.days import day_from_text
from stockbook.domain.rows import Faults, Row, Sheet, check_columns
from stockbook.errors import BadRow, BadRows, InputError


def a_sheet(*columns: str, rows: tuple[Row, ...] = ()) -> Sheet:
    return Sheet("lines.csv", columns, rows)


def test_a_cell_is_without_outer_blanks_and_a_missing_column_is_empty() -> None:
    row = Row(2, {"item": " VISC "})
    assert (row.get("item"), row.get("lot")) == ("VISC", "")


def test_all_faults_are_kept_and_the_whole_sheet_is_refused() -> None:
    faults = Faults(a_sheet("units", "expiry"))
    first, second = Row(2, {"units": "x"}), Row(3, {"units": "3", "expiry": "2027-02-30"})
    assert faults.cell(first, "units", lambda t: quantity_from_text(t, 0)) is None
    assert faults.cell(second, "units", lambda t: quantity_from_text(t, 0)) == 3
    assert faults.cell(second, "expiry", day_from_text) is None
    with pytest.raises(BadRows, match=r"^lines\.csv: 2 faults; nothing was taken") as error:
        faults.check()
    assert error.value.rows == (
        BadRow(2, "units", "x", "a plain number such as 12 or 12.5"),
        BadRow(3, "expiry", "2027-02-30", "a day that the calendar has"),
    )


def test_a_sheet_without_faults_passes() -> None:
    faults = Faults(a_sheet("units"))
    assert faults.cell(Row(2, {"units": "3"}), "units", int) == 3
    faults.check()


@pytest.mark.parametrize("columns", [("item",), ("item", "lot"), ("lot", "item")])
def test_required_columns_in_any_order_pass(columns: tuple[str, ...]) -> None:
    check_columns(a_sheet(*columns), ("item",), ("lot",))


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        (("lot",), "lacks column item"),
        (("item", "colour"), "has the unknown column colour"),
        (("item", "lot", "lot"), "has twice column lot"),
        ((), "lacks column item"),
    ],
)
def test_a_wrong_header_is_refused_with_what_is_wanted(
    columns: tuple[str, ...], words: str
) -> None:
    with pytest.raises(InputError, match=rf"^lines\.csv, row 1: the header {words}") as error:
        check_columns(a_sheet(*columns), ("item",), ("lot",))
    assert error.value.message.endswith("Wanted: item, lot.")
