"""HIBC symbols (ANSI/HIBC 2.6) built from parts are read back; a wrong character is found."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scan_strategies import AS_OF, Hibc, hibc_data, hibc_products

from stockbook.domain.scan_hibc import CHARACTERS, check_character
from stockbook.domain.scans import merge, read, read_symbol
from stockbook.errors import ScanRefused


def refused(scan: str) -> ScanRefused:
    with pytest.raises(ScanRefused) as error:
        read(scan, AS_OF)
    return error.value


@given(hibc_products(), st.data())
def test_hibc_parts_are_read_back_and_a_wrong_character_is_always_found(
    product: Hibc, data: st.DataObject
) -> None:
    scan = read(product.text, AS_OF)
    assert (scan.scheme, scan.kind, scan.check) == ("hibc", "primary", product.text[-1])
    assert {"lic": scan.lic, "pcn": scan.pcn, "uom": scan.uom} == product.said
    assert scan.identifier == product.text[1:-1]
    at = data.draw(st.integers(1, len(product.text) - 1))
    wrong = data.draw(st.sampled_from(CHARACTERS).filter(lambda c: c != product.text[at]))
    error = refused(product.text[:at] + wrong + product.text[at + 1 :])
    assert error.name == "BAD_CHECK_CHARACTER"


@given(hibc_products(), hibc_data())
def test_hibc_symbols_say_the_same_alone_together_and_merged(product: Hibc, data: Hibc) -> None:
    joined = f"{product.text[:-1]}/{data.text}"
    second = f"+{data.text}{product.text[-1]}"
    whole = read(joined + check_character(joined), AS_OF)
    alone = read_symbol(second + check_character(second), AS_OF)
    pair = merge([read_symbol(product.text, AS_OF), alone])
    assert (whole.kind, alone.kind, pair.kind) == ("concatenated", "secondary", "concatenated")
    for name, said in (product.said | data.said).items():
        assert getattr(whole, name) == said == getattr(pair, name)
    for name, said in data.said.items():
        assert getattr(alone, name) == said


def test_a_check_character_may_be_a_space() -> None:
    body = next(t for t in (f"+A123{n}1" for n in range(999)) if check_character(t) == " ")
    assert read(f"{body} \r\n", AS_OF).check == " "


@pytest.mark.parametrize(
    ("body", "name"),
    [
        ("+/ABC", "HIBC_NOT_A_PRODUCT"),
        ("+A1231", "HIBC_BAD_PRODUCT"),
        ("+A123" + "P" * 19 + "1", "HIBC_BAD_PRODUCT"),
        ("+A12312/$$1305LOT", "BAD_DATE"),
        ("+A12312/$$330022", "BAD_DATE"),
        ("+A12312/$$427010124LOT", "BAD_TIME"),
        ("+A12312/$$8X1LOT", "HIBC_BAD_DATA"),
        ("+A12312/$$ALOT", "HIBC_BAD_DATA"),
        ("+A12312/$LOT/Q5/S1", "HIBC_BAD_DATA"),
        ("+A12312/$" + "L" * 19, "BAD_LENGTH"),
        ("+A12312/$", "EMPTY_VALUE"),
    ],
)
def test_hibc_refusals(body: str, name: str) -> None:
    assert refused(body + check_character(body)).name == name


def test_hibc_data_that_is_not_known_is_kept_with_a_warning() -> None:
    body = "+A12312/$LOT/25DX"
    scan = read(body + check_character(body), AS_OF)
    assert (scan.lot, scan.elements, scan.warn) == ("LOT", (("/", "25DX"),), ("HIBC_UNKNOWN_DATA",))
