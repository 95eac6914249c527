"""CSV files read into rows with their numbers; what is not plain UTF-8 text is refused."""

from pathlib import Path

import pytest

from stockbook.domain.rows import Sheet
from stockbook.errors import BadRows, InputError
from stockbook.files.csv_rows import read_csv

PLAIN = "item,name\nA,Gèl\nB,Pad\n"


def read(folder: Path, content: bytes | str) -> Sheet:
    file = folder / "f.csv"
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    return read_csv(file)


def refuse(folder: Path, content: bytes | str) -> str:
    with pytest.raises(InputError) as told:
        read(folder, content)
    assert told.value.exit_code == 2
    assert "f.csv" in told.value.message
    return told.value.message


def names(sheet: Sheet) -> list[tuple[int, str, str]]:
    return [(row.number, row.get("item"), row.get("name")) for row in sheet.rows]


@pytest.mark.parametrize(
    "content",
    [
        PLAIN,
        b"\xef\xbb\xbf" + PLAIN.encode(),
        PLAIN.replace(",", ";"),
        PLAIN.replace(",", "\t"),
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", "\r"),
        PLAIN.removesuffix("\n"),
        'ITEM, Name \n A ,"Gèl"\nB,Pad\n',
    ],
    ids=[
        "plain",
        "BOM",
        "semicolons",
        "tabs",
        "CRLF",
        "CR",
        "no last newline",
        "quotes and blanks",
    ],
)
def test_the_usual_ways_of_saving_csv_read_alike(tmp_path: Path, content: bytes | str) -> None:
    sheet = read(tmp_path, content)
    assert sheet.columns == ("item", "name")
    assert names(sheet) == [(2, "A", "Gèl"), (3, "B", "Pad")]


def test_blank_rows_are_left_out_and_keep_their_numbers(tmp_path: Path) -> None:
    assert names(read(tmp_path, "item,name\n\nA,x\n,\nB,y\n")) == [(3, "A", "x"), (5, "B", "y")]


def test_a_quoted_cell_may_hold_commas_quotes_and_lines(tmp_path: Path) -> None:
    sheet = read(tmp_path, 'item,name\nA,"one, ""two""\nthree"\nB,y\n')
    assert sheet.rows[0].get("name") == 'one, "two"\nthree'
    assert sheet.rows[1].get("item") == "B"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (PLAIN.encode("latin-1"), "row 2: a character that is not UTF-8 (byte 0xe8)"),
        (PLAIN.encode("utf-16"), "UTF-16"),
        (PLAIN.encode("utf-16-be"), "NUL"),
        (PLAIN.encode("utf-16-le"), "NUL"),
        (PLAIN.encode("utf-32"), "UTF"),
        (b"PK\x03\x04 and so on", "spreadsheet"),
        ("item,name\nA,x\0y\n", "row 2: a NUL"),
        ('item,name\nA,"x\n', "Save it as CSV anew"),
    ],
    ids=["latin-1", "UTF-16", "UTF-16 BE", "UTF-16 LE", "UTF-32", "xlsx", "NUL", "open quote"],
)
def test_a_file_that_is_not_csv_in_utf8_says_what_it_is(
    tmp_path: Path, content: bytes | str, words: str
) -> None:
    assert words in refuse(tmp_path, content)


@pytest.mark.parametrize("content", ["", " \n \n", "\ufeff", "item,name\n", "item,name\n,\n"])
def test_an_empty_file_is_refused(tmp_path: Path, content: str) -> None:
    assert "Check that the right file was saved" in refuse(tmp_path, content)


@pytest.mark.parametrize(("row", "found"), [("A", 1), ("A,b,c", 3), ("A,b,", 3)])
def test_every_ragged_row_is_named(tmp_path: Path, row: str, found: int) -> None:
    with pytest.raises(BadRows) as told:
        read(tmp_path, f"item,name\nA,b\n{row}\nB,c\n{row}\n")
    assert [(bad.row, bad.found, bad.wanted) for bad in told.value.rows] == [
        (3, f"{found} cells", "2 cells"),
        (5, f"{found} cells", "2 cells"),
    ]


def test_a_file_that_is_not_there_or_no_file_is_refused(tmp_path: Path) -> None:
    for path, words in ((tmp_path / "nowhere.csv", "no such file"), (tmp_path, "not a file")):
        with pytest.raises(InputError, match=words):
            read_csv(path)


def test_a_cell_longer_than_any_text_is_refused_without_a_traceback(tmp_path: Path) -> None:
    assert "Save it as CSV anew" in refuse(tmp_path, f"item,name\nA,{'x' * 200_000}\n")


def test_a_lone_surrogate_in_utf8_bytes_is_not_utf8(tmp_path: Path) -> None:
    assert "not UTF-8" in refuse(tmp_path, b"item,name\nA,\xed\xa0\x80\n")


@pytest.mark.parametrize("count", [5_000, pytest.param(100_000, marks=pytest.mark.slow)])
def test_a_long_file_is_read_whole(tmp_path: Path, count: int) -> None:
    sheet = read(tmp_path, "item,name\n" + "A,b\n" * count)
    assert len(sheet.rows) == count
    assert sheet.rows[-1].number == count + 1


def test_an_empty_cell_under_a_nameless_column_is_not_lost_in_silence(tmp_path: Path) -> None:
    """A header that ends in a comma names a column of no name; it stays visible to the check."""
    assert read(tmp_path, "item,name,\nA,b,\n").columns == ("item", "name", "")
