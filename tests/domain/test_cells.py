"""What a spreadsheet does to cells: told apart where it can be told, never guessed."""

import pytest

from stockbook.domain.cells import Decimals, spoilt


@pytest.mark.parametrize(
    ("column", "text", "words"),
    [
        ("lot", "1E+05", "shortened"),
        ("serial", "9,52E+12", "shortened"),
        ("identifier", "9.5E+12", "shortened"),
        ("lot", "03-Apr", "made a day"),
        ("label", "Apr-03", "made a day"),
        ("quantity", "03-Apr", "made a day"),
        ("quantity", "1E+05", "shortened"),
        ("identifier", "95212345432", "zeros at the left"),
        ("identifier", "1234567", "zeros at the left"),
        ("expiry", "44287", "day number"),
        ("day", "3/4/27", "cannot be told"),
        ("day", "03.04.2027", "cannot be told"),
        ("expiry", "03-Apr", "shortened"),
        ("expiry", "Apr-27", "shortened"),
        ("expiry", "06/2027", "shortened"),
    ],
)
def test_what_a_spreadsheet_spoilt_is_told_with_how_to_save_it(
    column: str, text: str, words: str
) -> None:
    said = str(spoilt(column, text))
    assert words in said
    assert said.startswith(f"{column}: wanted ")
    assert said.endswith("save again")


@pytest.mark.parametrize(
    ("column", "text"),
    [
        ("lot", "1E05"),
        ("lot", "5E12"),
        ("lot", "44287"),
        ("lot", "3/4/27"),
        ("lot", "03-APR"),
        ("label", "Bay-03"),
        ("identifier", "9521234543213"),
        ("name", "03-Apr"),
        ("expiry", "2027-06"),
        ("expiry", "2027-02-30"),
        ("quantity", "12"),
    ],
)
def test_what_may_be_meant_so_is_left_to_its_reader(column: str, text: str) -> None:
    assert spoilt(column, text) is None


def met(separator: str, *texts: str) -> Decimals:
    decimals = Decimals(separator)
    for row, text in enumerate(texts, start=2):
        decimals.meet(row, "total", text)
    return decimals


@pytest.mark.parametrize(
    ("separator", "texts", "faults", "commas"),
    [
        (",", ("12", "12.5", ""), [], 0),
        (";", ("12,50", "7", "0,125", "1200,500"), [], 3),
        (",", ("12,50", "12.5"), ["12,50", "12.5"], 1),
        (",", ("1,000", "12.5"), ["1,000"], 0),
        (";", ("1,000", "12,50"), ["1,000"], 1),
        (";", ("1.000",), ["1.000"], 0),
        (",", ("1.000",), [], 0),
        (",", ("1.234,50", "1,234.50"), [], 0),
    ],
)
def test_decimal_commas_are_read_only_where_the_whole_file_agrees(
    separator: str, texts: tuple[str, ...], faults: list[str], commas: int
) -> None:
    decimals = met(separator, *texts)
    assert [bad.found for bad in decimals.faults] == faults
    assert len(decimals.commas) == commas
