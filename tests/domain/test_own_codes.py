"""The site's own codes are read back as they were made; anything else is none."""

import pytest

from stockbook.domain.own_codes import ACTS, KINDS, own_code, own_parts


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_is_read_back(kind: str) -> None:
    assert own_parts(own_code(kind, "A", "B+21.50")) == (kind, ("A", "B+21.50"))


@pytest.mark.parametrize("text", ["", "CASE", "CASE/", "CASE//A", "BOX/A", "case/A", "9521/1"])
def test_anything_else_is_none(text: str) -> None:
    assert own_parts(text) is None


def test_acts_are_words_in_capitals_that_a_code_39_symbol_can_hold() -> None:
    assert all(act.isalpha() and act.isupper() for act in ACTS)
