"""Typed text: NFC, no hidden characters, codes of one fixed form."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import codes, names

from stockbook.domain import texts
from stockbook.errors import InputError

HIDDEN = {
    "NUL": "\x00",
    "tab": "\t",
    "line feed": "\n",
    "escape": "\x1b",
    "next line": "\x85",
    "right-to-left override": "\u202e",
    "right-to-left isolate": "\u2067",
    "right-to-left mark": "\u200f",
    "zero width space": "\u200b",
    "byte order mark": "\ufeff",
    "line separator": "\u2028",
    "paragraph separator": "\u2029",
    "lone high surrogate": "\ud800",
    "lone low surrogate": "\udfff",
    "private use": "\ue000",
    "no character": "\uffff",
}


@pytest.mark.parametrize("character", HIDDEN.values(), ids=HIDDEN.keys())
@pytest.mark.parametrize("around", ["{}AB", "A{}B", "AB{}"])
def test_a_hidden_character_is_refused_with_its_place(character: str, around: str) -> None:
    place = around.index("{") + 1
    named = rf"^name: character {place} is U\+{ord(character):04X}"
    with pytest.raises(InputError, match=named):
        texts.clean_text(around.format(character), "name")


@given(names)
def test_clean_text_is_in_nfc_without_outer_blanks_and_stays_so(text: str) -> None:
    clean = texts.clean_text(text, "name")
    assert clean == unicodedata.normalize("NFC", text).strip()
    assert texts.clean_text(clean, "name") == clean


def test_two_ways_to_write_a_letter_are_one_text() -> None:
    assert texts.clean_text("Cafe\u0301", "name") == texts.clean_text("Caf\u00e9", "name")


@given(st.text(st.characters(), max_size=20))
def test_any_text_is_clean_utf_8_or_an_input_error(text: str) -> None:
    try:
        clean = texts.clean_text(text, "name")
    except InputError:
        return
    assert clean.encode("utf-8").decode("utf-8") == clean


@pytest.mark.parametrize("length", [39, 40])
def test_text_up_to_the_limit_is_taken(length: int) -> None:
    assert texts.clean_text("x" * length, "name", 40) == "x" * length


def test_text_over_the_limit_is_refused_with_both_lengths() -> None:
    with pytest.raises(InputError, match=r"^name: 41 characters, wanted at most 40"):
        texts.clean_text("x" * 41, "name", 40)


@pytest.mark.parametrize("text", ["", " ", "\u00a0", "\u3000 "])
def test_required_text_has_to_be_there(text: str) -> None:
    with pytest.raises(InputError, match=r"^comment: found nothing"):
        texts.required_text(text, "comment")


@given(codes)
def test_codes_are_the_same_in_small_letters(code: str) -> None:
    assert texts.code(code.lower(), "place") == texts.code(f" {code} ", "place") == code
    assert texts.item_code(code.lower()) == code


@pytest.mark.parametrize("text", ["LUMA1+21.50", "LUMA1-2.00", "7", "A.B-C+D"])
def test_item_codes_may_bear_a_power(text: str) -> None:
    assert texts.item_code(text) == text


@pytest.mark.parametrize(
    "text", ["", "+A", "A B", "A/B", "A*", "A'B", "A;B", "\uff21", "\u0391", "-A"]
)
def test_what_is_no_code_is_refused(text: str) -> None:
    with pytest.raises(InputError, match=r"^item: found "):
        texts.item_code(text)
    with pytest.raises(InputError, match=r"^place: found "):
        texts.code(text, "place")


def test_codes_have_a_longest_length() -> None:
    assert texts.item_code("A" * 40)
    assert texts.code("A" * 32, "case")
    with pytest.raises(InputError, match="at most 40"):
        texts.item_code("A" * 41)
    with pytest.raises(InputError, match="at most 32"):
        texts.code("A" * 33, "case")


@pytest.mark.parametrize("text", ["free", "Paid", " small-pupil "])
def test_a_word_is_in_small_letters(text: str) -> None:
    assert texts.word(text, "category") == text.strip().lower()


@pytest.mark.parametrize("text", ["", "1free", "two words", "a" * 25, "fr\u00e9e"])
def test_what_is_no_word_is_refused(text: str) -> None:
    with pytest.raises(InputError, match=r"^category: found "):
        texts.word(text, "category")


def test_one_of_names_all_choices_when_it_refuses() -> None:
    assert texts.one_of(" Right ", ("right", "left"), "eye") == "right"
    with pytest.raises(InputError, match=r"^eye: found 'both', wanted one of: right, left"):
        texts.one_of("both", ("right", "left"), "eye")


@pytest.mark.parametrize(("text", "wanted"), [("yes", True), ("No", False), ("", False)])
def test_nothing_said_is_no(text: str, *, wanted: bool) -> None:
    assert texts.yes_or_no(text, "serial") is wanted


@pytest.mark.parametrize("text", ["maybe", "1", "true"])
def test_neither_yes_nor_no_is_refused(text: str) -> None:
    with pytest.raises(InputError, match=r"^serial: found .*yes, no"):
        texts.yes_or_no(text, "serial")


def test_a_pattern_of_references_is_kept_as_it_is() -> None:
    assert texts.pattern("P-[0-9]+") == "P-[0-9]+"


@pytest.mark.parametrize("text", ["P-[0-9", "(", "*", "a{99999999999999999999}"])
def test_a_broken_pattern_is_refused(text: str) -> None:
    with pytest.raises(InputError, match=r"^reference pattern: .* is not a pattern"):
        texts.pattern(text)
