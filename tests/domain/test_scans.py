"""Scans: whatever is built from parts is read back to them; all else is refused by name.

Rules: GS1 General Specifications, ANSI/HIBC 2.6; examples of ours bear the prefix 952.
"""

import json
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scan_strategies import (
    AS_OF,
    VALUES,
    figures,
    gtins,
    packs,
    string_of,
)

from stockbook.domain.gtin import check_digit
from stockbook.domain.own_codes import own_code
from stockbook.domain.scan_ais import SUBSTITUTES
from stockbook.domain.scan_elements import GS
from stockbook.domain.scan_facts import Scan, scan_json
from stockbook.domain.scan_refusals import WORDS
from stockbook.domain.scans import MOST, known_separator, read
from stockbook.errors import InputError, ScanRefused

GTIN = "09521101530001"


def refused(scan: str, separator: str | None = None) -> ScanRefused:
    with pytest.raises(ScanRefused) as error:
        read(scan, AS_OF, separator)
    return error.value


def is_answered(text: str, separator: str | None = None) -> bool:
    """Whether a text is read or refused by a known name, either as JSON and as a safe line."""
    try:
        return bool(json.dumps(scan_json(read(text, AS_OF, separator))))
    except ScanRefused as error:
        return (
            error.name in WORDS and error.message.isprintable() and bool(json.dumps(error.fields))
        )


def named(scan: Scan) -> dict[str, object]:
    """What is said by name, without how it was sent."""
    how = ("raw", "kind", "symbology", "elements", "hidden_serial", "warn")
    return {name: said for name, said in scan_json(scan).items() if name not in how}


@given(packs(), st.sampled_from(["]d2", "]C1", "]Q3", "]e0", "]J1", "]d2" + GS]))
def test_elements_are_read_back_in_any_order(elements: list[tuple[str, str]], start: str) -> None:
    text = start + string_of(elements)
    if GS not in text:
        text += GS
    scan = read(text, AS_OF)
    assert scan.elements == tuple(elements)
    for ai, name in (("01", "gtin14"), ("10", "lot"), ("21", "serial"), ("22", "cpv")):
        assert getattr(scan, name) == dict(elements).get(ai)


@given(packs())
def test_brackets_and_a_separator_spelled_out_say_the_same(elements: list[tuple[str, str]]) -> None:
    sent = read("]d2" + string_of(elements) + GS, AS_OF)
    typed = "".join("({}){}".format(ai, value.replace("(", "\\(")) for ai, value in elements)
    assert named(read(typed, AS_OF)) == named(sent)
    spelled = string_of(elements).replace(GS, "{GS}") + "{GS}"
    if not any("<GS>" in value for _, value in elements):
        assert named(read(spelled, AS_OF)) == named(sent)


@given(packs(), st.sampled_from(SUBSTITUTES))
def test_a_substitute_separator_is_as_good(elements: list[tuple[str, str]], mark: str) -> None:
    text = string_of(elements) + GS
    found = read(text.replace(GS, mark), AS_OF, mark)
    assert named(found) == named(read(text, AS_OF))


@given(gtins(), VALUES["10"], VALUES["21"], VALUES["17"])
def test_a_link_says_the_same(gtin: str, lot: str, serial: str, day: str) -> None:
    def escaped(text: str) -> str:
        return "".join(c if c.isalnum() else f"%{ord(c):02X}" for c in text)

    link = (
        f"https://example.org/some/stem/01/{gtin}/10/{escaped(lot)}/21/{escaped(serial)}?17={day}"
    )
    elements = [("01", gtin), ("10", lot), ("21", serial), ("17", day)]
    assert named(read(link, AS_OF)) == named(read(string_of(elements), AS_OF))


@given(gtins(), VALUES["10"], VALUES["17"])
def test_a_lost_separator_before_a_date_is_never_read_over(gtin: str, lot: str, day: str) -> None:
    error = refused(f"01{gtin}10{lot}17{day}")
    assert error.name == "GS_MISSING_OR_LOT_TOO_LONG"
    assert error.fields["hint"]


def test_the_likely_split_is_shown() -> None:
    error = refused(f"]d201{GTIN}10AB12172712312152")
    assert error.fields["hint"] == [["10", "AB12"], ["17", "271231"], ["21", "52"]]
    assert "(10)AB12(17)271231(21)52" in error.message


@pytest.mark.parametrize(
    ("tail", "is_read"),
    [
        ("10" + "A" * 20, True),  # a lot of 20, nothing after it
        ("10" + "A" * 20 + "21X", False),  # of 20, then another element
        ("1017271231", True),  # nothing stands before the date: it is a lot
        ("10X17271231", False),
        ("10X17271331", True),  # no such month
        ("10X11271200", False),
        (f"10X01{GTIN}", False),
        ("10X0109521101530002", True),  # a wrong check digit
        ("10X21Y", True),  # judged by the item: is it kept by serial?
        (f"10X17271231{GS}", True),  # the scanner sends separators
    ],
)
def test_what_counts_as_two_readings(tail: str, is_read: bool) -> None:  # noqa: FBT001
    text = f"01{GTIN}{tail}"
    if is_read:
        assert read(text, AS_OF).lot == tail[2:].rstrip(GS)
    else:
        assert refused(text).name == "GS_MISSING_OR_LOT_TOO_LONG"


def test_a_value_of_a_fixed_number_of_figures_is_not_cut() -> None:
    assert read(f"]d201{GTIN}70032711270110", AS_OF).expiry == "2027-11-27T01:10"
    assert refused(f"]d201{GTIN}7003271127011017270630").name == "GS_MISSING_OR_LOT_TOO_LONG"


def test_a_lot_that_may_hide_a_serial_says_so() -> None:
    assert read(f"01{GTIN}10AB21CD", AS_OF).hidden_serial == ("AB", "CD")
    assert read(f"01{GTIN}10AB21CD{GS}", AS_OF).hidden_serial is None
    assert read(f"(01){GTIN}(10)AB21CD", AS_OF).hidden_serial is None


@given(gtins(), st.data())
def test_a_wrong_figure_of_a_gtin_is_always_found(gtin: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, 13))
    wrong = data.draw(figures.filter(lambda f: f != gtin[at]))
    text = gtin[:at] + wrong + gtin[at + 1 :]
    for scan in (text, f"]d201{text}", f"(01){text}", f"]C101{text}10A"):
        error = refused(scan)
        assert error.name == "BAD_CHECK_DIGIT"
        assert error.fields["expected_digit"] == check_digit(text[:13])


@given(st.text())
@example("]d201\u0661952110153000\u0661")
@example("\ud800")
@example("CASE/\x1b[31m")
@example("(10)A\x00B")
def test_any_text_is_read_or_refused_by_name(text: str) -> None:
    assert is_answered(text)


_PIECES = ("]d2", "]C1", "01", GTIN, "10", "17", "271231", "21", GS, "{GS}", "(", ")", "+", "/",
           "$$", "$", "A", "7", "https://", "?", "%2F", "=", "&", "*", " ", "CASE/", "37", "02",
           "7003", "8006", "22", "9", "%", "\\(", "}")  # fmt: skip


@given(st.lists(st.sampled_from(_PIECES), max_size=30).map("".join), st.sampled_from("|{#}"))
def test_any_row_of_pieces_is_read_or_refused_by_name(text: str, mark: str) -> None:
    assert is_answered(text)
    assert is_answered(text, mark)


@pytest.mark.parametrize(
    "text",
    ["10" + "A17271231" * 450, "10" + "A1727123110" * 370, "(" * 4000, "https://a" + "/01" * 1300,
     "+" + "A" * 4000, "%" * 4000, "https://a/01/" + "%" * 4000, "37" * 2000, "A" * MOST],
)  # fmt: skip
def test_long_texts_are_refused_like_short_ones(text: str) -> None:
    assert refused(text).name in WORDS


@pytest.mark.parametrize(("length", "name"), [(MOST, "BAD_LENGTH"), (MOST + 1, "TOO_LONG")])
def test_the_longest_scan_that_is_looked_at(length: int, name: str) -> None:
    assert refused("10".ljust(length, "A") + "\r\n").name == name


@given(st.sampled_from(["", "]d201", "01"]), st.text("\r\n\t", max_size=3))
def test_line_ends_and_tabs_are_all_that_is_stripped(start: str, around: str) -> None:
    assert read(f"{around}{start}{GTIN}{around}", AS_OF).gtin14 == GTIN
    assert refused(f"{around}{start}{GTIN} {around}").name in WORDS


@pytest.mark.parametrize(
    ("scan", "name"),
    [
        ("]D2" + "01" + GTIN, "UNKNOWN_SYMBOLOGY"),
        ("a123BJC5D6E71G", "CODE_39_FULL_ASCII"),
        ("+a123bjc5d6e71g", "BAD_CSET"),
        ("case/c0105", "NOT_GS1"),
        (f"01{GTIN}22" + "A" * 21, "OLD_SECONDARY_DATA"),
        ("]E012345", "BAD_LENGTH"),
        ("]C0" + GTIN, "NOT_GS1"),
        ("https://example.org/01/" + GTIN + "/21/A/10/B", "BAD_DL_URI"),
        ("https://example.org/01/" + GTIN + "/17/271231", "BAD_DL_URI"),
        ("https://example.org/01/" + GTIN + "?5=1", "UNKNOWN_AI"),
        (f"(01){GTIN}(8006){GTIN}0302", "BAD_PIECE"),
        (f"(01){GTIN}(7003)2700310000", "BAD_DATE"),
        (f"(01){GTIN}(8008)270300101", "BAD_LENGTH"),
        ("(02)" + GTIN, "AI_REQUIRES"),
        ("(10)A(17)271231", "AI_REQUIRES"),
        (f"(01){GTIN}(01)19521101530008", "AI_REPEATED_DIFFERENT"),
        (f"(01){GTIN}(21)A(235)B", "AI_EXCLUDED"),
        ("ACT/JUMP", "OWN_CODE_UNKNOWN"),
        ("LOT/X", "OWN_CODE_UNKNOWN"),
        ("SHELF/OT1", "OWN_CODE_UNKNOWN"),
    ],
)
def test_refusals(scan: str, name: str) -> None:
    assert refused(scan).name == name


def test_the_readme_says_what_to_do_at_each_error() -> None:
    text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    table = text.partition("| error | what to do |")[2].partition("\n\n")[0]
    named = [
        name.strip() for line in table.splitlines()[2:] for name in line.split("|")[1].split(",")
    ]
    assert sorted(named) == sorted(WORDS)


def test_caps_lock_at_the_scanners_keyboard_is_named() -> None:
    for scan in ("]D201" + GTIN, "case/c0105"):
        assert "caps lock" in refused(scan).message


@pytest.mark.parametrize(
    ("code", "kind", "parts"),
    [
        (own_code("CASE", "C0105"), "case", ("C0105",)),
        (own_code("SHELF", "OT1", "RINGL+21.50"), "shelf", ("OT1", "RINGL+21.50")),
        ("]C0" + own_code("ACT", "NEXT"), "act", ("NEXT",)),
        ("]Q1" + own_code("LOT", "12"), "lot", ("12",)),
    ],
)
def test_codes_of_the_site_are_read(code: str, kind: str, parts: tuple[str, ...]) -> None:
    scan = read(code, AS_OF)
    assert (scan.scheme, scan.kind, scan.code) == ("own", kind, parts)


@pytest.mark.parametrize("mark", ["", "A", "||", "<", "\x1d"])
def test_a_substitute_that_a_value_may_hold_is_refused(mark: str) -> None:
    with pytest.raises(InputError, match="separator: found"):
        known_separator(mark)
