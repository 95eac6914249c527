"""GTINs: check digits by the GS1 General Specifications, 7.9; own figures with prefix 952."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.gtin import check_digit, gtin14, is_gtin_like
from stockbook.errors import InputError

bodies = st.sampled_from((7, 11, 12, 13)).flatmap(
    lambda n: st.text("0123456789", min_size=n, max_size=n)
)


def weighed(figures: str) -> int:
    """The sum of the GS1 General Specifications, 7.9: weights 3 and 1 over 17 places, from left."""
    weights = [3, 1] * 8 + [3]
    return sum(int(f) * w for f, w in zip(figures.rjust(17, "0"), weights, strict=True))


# The worked example of the GS1 General Specifications, 7.9 (an SSCC, 17 figures before its check
# digit), and the example GTIN-13 of GS1's own check digit page. Both from memory.
@pytest.mark.parametrize(("figures", "wanted"), [("37610425002123456", "9"), ("629104150021", "3")])
def test_published_check_digits(figures: str, wanted: str) -> None:
    assert check_digit(figures) == wanted


@given(bodies)
def test_the_check_digit_brings_the_weighed_sum_to_a_multiple_of_ten(body: str) -> None:
    assert (weighed(body) + int(check_digit(body))) % 10 == 0


@given(bodies)
def test_a_right_gtin_is_kept_as_14_figures(body: str) -> None:
    text = body + check_digit(body)
    assert gtin14(text) == text.rjust(14, "0") == gtin14(gtin14(text))
    assert is_gtin_like(text)


@given(bodies, st.data())
def test_a_changed_figure_is_always_refused(body: str, data: st.DataObject) -> None:
    text = body + check_digit(body)
    place = data.draw(st.integers(0, len(text) - 1))
    other = data.draw(st.sampled_from([f for f in "0123456789" if f != text[place]]))
    with pytest.raises(InputError, match="the check digit of"):
        gtin14(text[:place] + other + text[place + 1 :])


def test_a_wrong_check_digit_is_refused_with_the_right_one() -> None:
    with pytest.raises(InputError, match="check digit of 09521101530002 should be 1"):
        gtin14("09521101530002")


@pytest.mark.parametrize(
    "text",
    ["", "9521101", "952110153", "09521101530001 ", "095211015300010", "0952110153000A",
     "\uff10952110153000", "\u0660" * 14],
)  # fmt: skip
def test_what_is_no_gtin_is_refused(text: str) -> None:
    assert not is_gtin_like(text)
    with pytest.raises(InputError, match="wanted a GTIN of 8, 12, 13 or 14 figures"):
        gtin14(text)
