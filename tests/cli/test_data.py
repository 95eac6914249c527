"""Answers as JSON, CSV and spreadsheets: the same figures, safe text, nothing written by halves."""

import csv
import io
import json
import os
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from desk import Desk
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from stockbook.domain.cell_texts import TRIGGERS, quoted, unquoted

QUESTIONS = {
    "stock": "stock", "stock --per item": "stock_per_item", "stock --per class": "stock_per_class",
    "stock --lenses": "lenses", "expiring": "expiring", "entries": "entries",
    "trace C1": "case_trace", "trace V2": "lot_trace", "quarantine show": "quarantine",
}  # fmt: skip


@pytest.fixture
def worked(desk: Desk) -> Desk:
    """A case finished, a lot stopped."""
    desk.ok("issue C1 --by NU")
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("quarantine start --item VISC --lot V2 --reason recall-notice --by MA")
    return desk


def rows_of_json(desk: Desk, line: str) -> list[dict[str, object]]:
    return json.loads(desk.ok(f"{line} --json"))[QUESTIONS[line]]["rows"]


def rows_of_csv(desk: Desk, line: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(desk.ok(f"{line} --csv"))))


@pytest.mark.parametrize("line", QUESTIONS)
def test_json_holds_whole_numbers_text_and_null_alone(worked: Desk, line: str) -> None:
    rows = rows_of_json(worked, line)
    assert rows
    assert {type(value) for row in rows for value in row.values()} <= {int, str, type(None)}


@pytest.mark.parametrize("line", QUESTIONS)
def test_every_form_has_the_same_rows(worked: Desk, line: str) -> None:
    count = len(rows_of_json(worked, line))
    assert len(rows_of_csv(worked, line)) == count
    worked.ok([*line.split(), "-o", str(worked.folder / "a.xlsx")])
    page = load_workbook(worked.folder / "a.xlsx")[QUESTIONS[line]]
    assert page.max_row == count + 1
    assert page.freeze_panes == "A2"


def test_money_and_quantities_are_whole_in_json_and_real_in_csv(worked: Desk) -> None:
    line = "stock"
    iodine = next(r for r in rows_of_json(worked, line) if r["item"] == "IODINE")
    assert (iodine["quantity"], iodine["quantity_places"], iodine["value_minor"]) == (180, 1, 3600)
    row = next(r for r in rows_of_csv(worked, line) if r["item"] == "IODINE")
    assert (row["quantity"], row["value"], row["expiry"]) == ("18.0", "36.00", "2027-09-30")


def test_a_spreadsheet_has_real_numbers_and_days(worked: Desk) -> None:
    worked.ok(["stock", "IODINE", "-o", str(worked.folder / "a.xlsx")])
    page = load_workbook(worked.folder / "a.xlsx")["stock"]
    cells = dict(zip([c.value for c in page[1]], page[2], strict=True))
    assert Decimal(str(cells["value"].value)) == 36
    assert cells["value"].number_format == "0.00"
    assert cells["expiry"].value.date() == date(2027, 9, 30)


def test_a_power_keeps_its_sign_in_csv_and_is_hundredths_in_json(worked: Desk) -> None:
    assert {r["power"] for r in rows_of_csv(worked, "stock --lenses")} == {"+21.00", "+21.50"}
    assert {r["power_hundredths"] for r in rows_of_json(worked, "stock --lenses")} == {2100, 2150}


@given(st.text(st.sampled_from(TRIGGERS + "'a1 "), max_size=8))
def test_text_is_read_back_as_it_was_and_never_starts_a_formula(text: str) -> None:
    """Triggers: OWASP, CSV Injection (equals, plus, minus, at, tab, return, full-width forms)."""
    assert unquoted(quoted(text)) == text
    assert not quoted(text) or quoted(text)[0] not in TRIGGERS


@pytest.mark.parametrize("name", ["=2+3", "+cmd", "-1+1", "@SUM(A1)", "＝2+3"])  # noqa: RUF001
def test_a_name_that_looks_like_a_formula_stays_text(desk: Desk, name: str) -> None:
    text = f"item,name,class\nODD,{name},drugs\n"
    desk.ok(f"import items {desk.file('odd.csv', text)} --by MA")
    desk.ok("receive ACME --note N --line ODD 1 L1 2029-01 1 --by KE")
    (row,) = csv.DictReader(io.StringIO(desk.ok("stock ODD --csv")))
    assert row["name"] == f"'{name}"
    desk.ok(["stock", "ODD", "-o", str(desk.folder / "a.xlsx")])
    cell = load_workbook(desk.folder / "a.xlsx")["stock"]["B2"]
    assert (cell.value, cell.data_type) == (name, "s")


def test_one_form_at_a_time(desk: Desk) -> None:
    assert "one of" in desk.refused("stock --json --csv", 2)


@pytest.mark.parametrize("name", ["a.pdf", "a", "nowhere/a.csv"])
def test_a_name_that_cannot_be_written_is_refused(desk: Desk, name: str) -> None:
    before = sorted(desk.folder.iterdir())
    desk.refused(["stock", "-o", str(desk.folder / name)], 2)
    assert sorted(desk.folder.iterdir()) == before


def test_a_folder_a_pipe_and_the_book_itself_are_refused(desk: Desk) -> None:
    (desk.folder / "dir.csv").mkdir()
    os.mkfifo(desk.folder / "pipe.csv")
    (desk.folder / "link.csv").symlink_to(desk.path)
    for name in ("dir.csv", "pipe.csv", "link.csv"):
        assert "-o" in desk.refused(["stock", "-o", str(desk.folder / name)], 2)


def test_a_file_is_replaced_whole(desk: Desk) -> None:
    target = desk.folder / "a.csv"
    target.write_text("old\n" * 10_000)
    desk.ok(["stock", "VIT", "-o", str(target)])
    assert target.read_text().splitlines()[0].startswith("item,name,class,place,lot")
    assert len(target.read_text().splitlines()) == 2


def test_a_failed_write_leaves_the_old_file(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    target = desk.folder / "a.csv"
    target.write_text("old\n")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    assert "No space left" in desk.refused(["stock", "-o", str(target)], 2)
    assert target.read_text() == "old\n"
    assert [p.name for p in desk.folder.iterdir() if p.name.startswith(".stockbook")] == []
