"""Spreadsheets read into the text a person sees; what is hidden or not reckoned is refused."""

import io
import os
import zipfile
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from stockbook.domain.rows import Sheet
from stockbook.errors import BadRows, InputError
from stockbook.files.tables import read_table

HEADER = ["item", "name"]


def saved(folder: Path, rows: list[list[Any]], change: Callable[[Any], None] | None = None) -> Path:
    """A spreadsheet under a name that tells nothing."""
    book = Workbook()
    page = book.worksheets[0]
    for row in rows:
        page.append(row)
    if change:
        change(page)
    path = folder / "f.csv"
    book.save(path)
    return path


def one_cell(folder: Path, value: Any, shape: str = "General") -> Sheet:
    def change(page: Any) -> None:
        page["B2"].number_format = shape

    return read_table(saved(folder, [HEADER, ["A", value]], change))


@pytest.mark.parametrize(
    ("value", "shape", "text"),
    [
        (12, "General", "12"),
        (12.0, "General", "12"),
        (12.5, "General", "12.5"),
        (0.1 + 0.2, "General", "0.3"),
        (1e-7, "General", "0.0000001"),
        (9521101530001, "General", "9521101530001"),
        (9521101530001, "00000000000000", "09521101530001"),
        (1234567890123456, "General", "1.23457E+15"),
        (21.5, "+0.00;-0.00", "+21.50"),
        (-0.5, "+0.00;-0.00", "-0.50"),
        (0.5, "0%", "0.5*100%"),
        (True, "General", "yes"),
        (False, "General", "no"),
        (date(2027, 6, 1), "yyyy-mm-dd", "2027-06-01"),
        (datetime(2027, 6, 1), "dd/mm/yyyy", "2027-06-01"),
        (date(2027, 6, 1), "mmm-yy", "2027-06"),
        (date(2027, 4, 3), "d-mmm", "03-Apr"),
        (datetime(2027, 6, 1, 14, 5), "yyyy-mm-dd h:mm", "2027-06-01 14:05"),
        ("007", "@", "007"),
        ("=not run", "@", "=not run"),
    ],
)
def test_a_cell_is_the_text_a_person_sees(
    tmp_path: Path, value: Any, shape: str, text: str
) -> None:
    if isinstance(value, str):
        path = saved(tmp_path, [HEADER, ["A", "x"]], lambda page: plain_text(page, value))
        assert read_table(path).rows[0].get("name") == text
    else:
        assert one_cell(tmp_path, value, shape).rows[0].get("name") == text


def plain_text(page: Any, value: str) -> None:
    page["B2"].value = value
    page["B2"].data_type = "s"


def test_days_are_remembered_as_days(tmp_path: Path) -> None:
    assert one_cell(tmp_path, date(2027, 6, 1), "d-mmm").days == {(2, "name")}


def test_blank_rows_are_left_out_and_short_rows_are_filled(tmp_path: Path) -> None:
    sheet = read_table(saved(tmp_path, [[*HEADER, None], ["A", "x"], [None, None], ["B"]]))
    assert sheet.columns == ("item", "name")
    assert [(r.number, r.get("item"), r.get("name")) for r in sheet.rows] == [
        (2, "A", "x"),
        (4, "B", ""),
    ]


def test_a_sheet_is_chosen_by_name(tmp_path: Path) -> None:
    def change(page: Any) -> None:
        more = page.parent.create_sheet("Second")
        more.append(HEADER)
        more.append(["Z", "z"])

    path = saved(tmp_path, [HEADER, ["A", "x"]], change)
    assert read_table(path).rows[0].get("item") == "A"
    assert read_table(path, "Second").rows[0].get("item") == "Z"
    with pytest.raises(InputError, match="It has: Sheet, Second"):
        read_table(path, "Third")


def hide_first(page: Any) -> None:
    page.sheet_state = "hidden"
    page.parent.create_sheet("Seen")


def hide_row(page: Any) -> None:
    page.row_dimensions[3].hidden = True


def hide_column(page: Any) -> None:
    page.column_dimensions["B"].hidden = True


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (hide_first, "is hidden"),
        (hide_row, "1 rows are hidden .row 3 first"),
        (hide_column, "column B is hidden"),
        (lambda page: page.merge_cells("A1:B1"), "A1:B1 are merged"),
        (lambda page: page.merge_cells("A2:A3"), "A2:A3 are merged"),
    ],
)
def test_what_a_person_does_not_see_is_refused(
    tmp_path: Path, change: Callable[[Any], None], words: str
) -> None:
    with pytest.raises(InputError, match=words):
        read_table(saved(tmp_path, [HEADER, ["A", "x"], ["B", "y"]], change))


@pytest.mark.parametrize(
    ("value", "wanted"), [("=1+1", "open the file and save it"), ("#N/A", "went wrong")]
)
def test_a_formula_without_a_result_is_named(tmp_path: Path, value: str, wanted: str) -> None:
    with pytest.raises(BadRows) as told:
        read_table(saved(tmp_path, [HEADER, ["A", value]]))
    assert [(bad.row, bad.column) for bad in told.value.rows] == [(2, "name")]
    assert wanted in told.value.rows[0].wanted


def test_a_formula_in_a_column_that_is_not_read_is_no_fault(tmp_path: Path) -> None:
    path = saved(tmp_path, [HEADER, ["A", "=1+1"]], hide_column)
    sheet = read_table(path, choose=lambda header: ("item", None))
    assert sheet.columns == ("item",)
    assert sheet.unread == ("name",)
    assert sheet.rows[0].values == {"item": "A"}


def test_a_cell_beyond_the_header_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadRows) as told:
        read_table(saved(tmp_path, [HEADER, ["A", "x", "more"]]))
    assert told.value.rows[0].row == 2


def zipped(*names: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name in names:
            archive.writestr(name, "x")
    return out.getvalue()


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (zipped("letter.txt"), "this is a zip"),
        (zipped("content.xml"), "another spreadsheet form"),
        (zipped("xl/workbook.xml"), "cannot be read as a spreadsheet"),
        (b"PK\x03\x04 cut", "cut off or broken"),
        (OLE + b"\0" * 600, "old spreadsheet"),
        (OLE + "EncryptedPackage".encode("utf-16-le"), "locked with a password"),
    ],
)
def test_what_is_no_xlsx_says_what_it_is(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "f.xlsx"
    path.write_bytes(content)
    with pytest.raises(InputError, match=words):
        read_table(path)


@pytest.mark.parametrize("rows", [[], [HEADER], [[None], ["A"]]])
def test_an_empty_spreadsheet_is_refused(tmp_path: Path, rows: list[list[Any]]) -> None:
    with pytest.raises(InputError, match=r"no rows|empty row"):
        read_table(saved(tmp_path, rows))


def test_a_spreadsheet_cut_anywhere_is_one_clear_refusal(tmp_path: Path) -> None:
    content = saved(tmp_path, [HEADER, ["A", "x"]]).read_bytes()
    path = tmp_path / "cut.xlsx"
    for end in range(4, len(content), len(content) // 20):
        path.write_bytes(content[:end])
        with pytest.raises(InputError):
            read_table(path)


def test_a_giant_is_refused_by_its_size_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "giant.csv"
    path.touch()
    os.truncate(path, 10 * 2**30)
    with pytest.raises(InputError, match="larger than 64 MB"):
        read_table(path)


def test_a_spreadsheet_that_unpacks_to_a_giant_is_refused(tmp_path: Path) -> None:
    out = io.BytesIO()
    with (
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
        archive.open("xl/workbook.xml", "w", force_zip64=True) as part,
    ):
        for _ in range(520):
            part.write(b"\0" * 2**20)
    path = tmp_path / "f.xlsx"
    path.write_bytes(out.getvalue())
    with pytest.raises(InputError, match="unpacked"):
        read_table(path)


def test_a_folder_a_pipe_and_a_device_are_refused_unread(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path in (tmp_path, pipe, Path("/dev/zero")):
        with pytest.raises(InputError, match="not a file"):
            read_table(path)


def test_a_csv_has_no_sheets(tmp_path: Path) -> None:
    path = tmp_path / "f.xlsx"
    path.write_text("item,name\nA,x\n")
    assert read_table(path).rows[0].get("name") == "x"
    with pytest.raises(InputError, match="no sheets"):
        read_table(path, "One")
