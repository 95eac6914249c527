"""The tables of `shared/` are whole: readable anywhere, and every row says where it is from."""

import csv
import json
from fractions import Fraction

import pytest

from published.tables import COLUMNS, SHARED, records

TABLES = sorted(COLUMNS)


def test_every_table_of_the_folder_is_run_and_nothing_else_lies_there() -> None:
    assert sorted(path.name for path in SHARED.iterdir()) == sorted(["README.md", *TABLES])


@pytest.mark.parametrize("name", ["README.md", *TABLES])
def test_a_file_is_utf_8_without_a_mark_and_ends_its_lines_plainly(name: str) -> None:
    text = (SHARED / name).read_bytes().decode("utf-8", "strict")
    assert not text.startswith("\ufeff")
    assert "\r" not in text
    assert text.endswith("\n")


@pytest.mark.parametrize("name", TABLES)
def test_a_table_has_exactly_its_columns_in_every_row(name: str) -> None:
    with (SHARED / name).open(encoding="utf-8", newline="") as file:
        header, *rows = csv.reader(file, strict=True)
    assert tuple(header) == COLUMNS[name]
    assert rows, f"{name} has no rows"
    assert {len(row) for row in rows} == {len(header)}


@pytest.mark.parametrize("name", TABLES)
def test_no_case_stands_twice_in_a_table(name: str) -> None:
    names = [record[COLUMNS[name][0]] for record in records(name)]
    assert sorted(names) == sorted(set(names))


@pytest.mark.parametrize("name", TABLES)
def test_every_row_names_its_source_and_its_standing(name: str) -> None:
    for record in records(name):
        assert record["source"].strip(), f"{name}: {record}"
        assert record["standing"].strip(), f"{name}: {record}"


@pytest.mark.parametrize("name", TABLES)
def test_every_row_expects_named_figures(name: str) -> None:
    for record in records(name):
        if name == "trade_facts.csv":
            assert Fraction(record["value"]) > 0, record
            continue
        cells = [record[column] for column in ("inputs", "expected") if column in record]
        parsed = [json.loads(cell) for cell in cells]
        assert all(isinstance(value, dict) and value for value in parsed), f"{name}: {record}"
