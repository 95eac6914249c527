"""Two symbols of one pack become one scan, judged together."""

import pytest
from scan_strategies import AS_OF

from stockbook.domain.scan_elements import GS
from stockbook.domain.scans import merge, read, read_symbol
from stockbook.errors import ScanRefused

GTIN = "09521101530001"


def refused(scan: str) -> ScanRefused:
    with pytest.raises(ScanRefused) as error:
        read(scan, AS_OF)
    return error.value


def test_a_number_alone_and_the_data_on_another_symbol_are_one_pack() -> None:
    whole = merge([read_symbol(text, AS_OF) for text in ("09521101530001", "1729033110V9")])
    assert (whole.gtin14, whole.lot, whole.expiry) == ("09521101530001", "V9", "2029-03-31")


def test_two_symbols_of_a_pack_are_judged_together_alone() -> None:
    first, second = f"]d201{GTIN}", f"]d21727123110LOT{GS}"
    assert refused(second).name == "AI_REQUIRES"
    scans = [read_symbol(text, AS_OF) for text in (second, first, first)]
    pack = merge(scans)
    assert (pack.gtin14, pack.lot, pack.expiry) == (GTIN, "LOT", "2027-12-31")
    assert [ai for ai, _ in pack.elements] == ["17", "10", "01"]


def test_gs1_and_hibc_of_one_pack_are_one_scan_with_both_identifiers() -> None:
    texts = (f"(01){GTIN}", "+A123BJC5D6E71G", "+$A1234GU")
    pack = merge([read_symbol(text, AS_OF) for text in texts])
    assert (pack.identifiers, pack.lot) == ((GTIN, "A123BJC5D6E71"), "A1234")


@pytest.mark.parametrize(
    ("others", "name"),
    [
        (("(10)LOT2",), "AI_REPEATED_DIFFERENT"),
        (("(37)12",), "AI_EXCLUDED"),
        (("CASE/C1",), "SYMBOLS_DISAGREE"),
        (("+A123BJC5D6E71G", "+$A1234GU"), "SYMBOLS_DISAGREE"),
    ],
)
def test_symbols_of_two_packs_are_not_merged(others: tuple[str, ...], name: str) -> None:
    texts = (f"(01){GTIN}(10)LOT", *others)
    with pytest.raises(ScanRefused) as error:
        merge([read_symbol(text, AS_OF) for text in texts])
    assert error.value.name == name


def test_a_hibc_link_to_another_product_is_refused() -> None:
    with pytest.raises(ScanRefused) as error:
        merge([read_symbol(text, AS_OF) for text in ("+H123ABC01234567890D", "+$A1234GU")])
    assert error.value.name == "HIBC_LINK_MISMATCH"
