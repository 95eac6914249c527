"""Rules 1 and 4: whole numbers, and value that leaves in proportion to quantity."""

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import decimals, parts_of, values

from stockbook.domain.amounts import (
    LIMIT,
    half_even,
    quantity_from_text,
    quantity_text,
    spread,
    text_from_whole,
    value_of_part,
    whole_from_text,
)
from stockbook.errors import InputError


def parts_worth(value: int, parts: list[int]) -> list[int]:
    """What leaves with each part of a lot, one after the other."""
    left, found = sum(parts), []
    for part in parts:
        found.append(value_of_part(value, left, part))
        value, left = value - found[-1], left - part
    return found


# Rounding: the standard library's own half-even as the independent reference


@given(st.integers(-(10**20), 10**20), st.integers(1, 10**12))
def test_half_even_is_the_rounding_of_fractions(numerator: int, denominator: int) -> None:
    assert half_even(numerator, denominator) == round(Fraction(numerator, denominator))


@given(st.integers(-(10**9), 10**9))
def test_exact_halves_go_where_decimal_sends_them(odd: int) -> None:
    half = Decimal(2 * odd + 1) / 2
    assert half_even(2 * odd + 1, 2) == int(half.quantize(Decimal(1), rounding=ROUND_HALF_EVEN))


@pytest.mark.parametrize(
    ("numerator", "denominator", "wanted"),
    [(249, 100, 2), (250, 100, 2), (251, 100, 3), (349, 100, 3), (350, 100, 4), (351, 100, 4)],
)
def test_less_equal_and_greater_than_a_half(numerator: int, denominator: int, wanted: int) -> None:
    assert half_even(numerator, denominator) == wanted


# Rule 4: a drained lot is worth exactly nothing


def test_rule_4_three_units_worth_100_leave_as_33_34_33() -> None:
    assert parts_worth(100, [1, 1, 1]) == [33, 34, 33]


@given(values, parts_of())
def test_rule_4_the_parts_of_a_lot_sum_exactly_to_its_value(value: int, parts: list[int]) -> None:
    worth = parts_worth(value, parts)
    assert sum(worth) == value
    assert min(worth) >= 0


@given(values, parts_of())
def test_rule_4_the_last_part_takes_what_is_left(value: int, parts: list[int]) -> None:
    worth = parts_worth(value, parts)
    assert worth[-1] == value - sum(worth[:-1])


@given(values, st.integers(1, 10_000), st.data())
def test_rule_4_a_part_is_within_half_a_minor_unit_of_its_share(
    value: int, quantity: int, data: st.DataObject
) -> None:
    part = data.draw(st.integers(1, quantity))
    share = Fraction(value * part, quantity)
    assert abs(value_of_part(value, quantity, part) - share) <= Fraction(1, 2)


@given(st.integers(1, 10_000))
def test_a_lot_worth_nothing_leaves_as_nothing(quantity: int) -> None:
    assert {value_of_part(0, quantity, part) for part in (1, quantity)} == {0}


# Spreading charges


@given(values, st.lists(st.integers(0, 10**6), min_size=1, max_size=30).filter(any))
def test_spread_is_exact_and_zero_weights_get_nothing(amount: int, weights: list[int]) -> None:
    shares = spread(amount, weights)
    assert sum(shares) == amount
    assert all(share == 0 for share, weight in zip(shares, weights, strict=True) if not weight)
    assert min(shares) >= 0


@given(values, st.integers(1, 50))
def test_equal_weights_differ_by_at_most_one(amount: int, count: int) -> None:
    shares = spread(amount, [7] * count)
    assert max(shares) - min(shares) <= 1


def test_a_last_weight_of_nothing_does_not_take_the_rest() -> None:
    assert spread(100, [1, 2, 0]) == [33, 67, 0]


# Text


@given(st.integers(-(LIMIT - 1), LIMIT - 1).filter(lambda n: abs(n) < 10**15), decimals)
def test_a_whole_number_comes_back_from_its_text(amount: int, places: int) -> None:
    assert whole_from_text(text_from_whole(amount, places), places, "price") == amount


@given(st.integers(1, 10**12), decimals)
def test_a_quantity_comes_back_from_its_text_for_people(amount: int, places: int) -> None:
    assert quantity_from_text(quantity_text(amount, places), places) == amount


@given(st.integers(-(10**12), 10**12), decimals)
def test_text_means_the_same_as_a_decimal_number(amount: int, places: int) -> None:
    assert Decimal(text_from_whole(amount, places)) == Decimal(amount).scaleb(-places)


@pytest.mark.parametrize(
    ("text", "places", "wanted"),
    [("2", 1, 20), ("2.5", 1, 25), ("2.50", 1, 25), (" 7 ", 0, 7), ("+3", 0, 3), ("-1.5", 2, -150)],
)
def test_plain_numbers_are_read(text: str, places: int, wanted: int) -> None:
    assert whole_from_text(text, places, "price") == wanted


@pytest.mark.parametrize(("text", "places"), [("1.5", 0), ("2.55", 1), ("0.0001", 3)])
def test_finer_than_the_unit_is_refused_with_what_is_allowed(text: str, places: int) -> None:
    with pytest.raises(InputError, match=f"'{text}'.*too fine") as error:
        whole_from_text(text, places, "quantity")
    wanted = "a whole number" if places == 0 else f"at most {places} decimals"
    assert wanted in error.value.message


@pytest.mark.parametrize("text", ["0", "0.0", "-0", "-1", "-0.1"])
def test_a_quantity_of_nothing_or_less_is_refused(text: str) -> None:
    with pytest.raises(InputError, match=f"found '{text}', wanted a number above zero"):
        quantity_from_text(text, 1)


def test_the_smallest_step_is_a_quantity() -> None:
    assert quantity_from_text("0.1", 1) == 1


@pytest.mark.parametrize(
    ("text", "wanted"), [("90071992547409.91", LIMIT - 1), ("90071992547409.90", LIMIT - 2)]
)
def test_rule_1_below_the_limit_is_read_exactly(text: str, wanted: int) -> None:
    assert whole_from_text(text, 2, "price") == wanted


@pytest.mark.parametrize(
    ("text", "places"),
    [("90071992547409.92", 2), ("90071992547409.93", 2), ("9007199254740992", 0), ("9" * 40, 0)],
)
def test_rule_1_at_the_limit_and_above_is_too_large(text: str, places: int) -> None:
    with pytest.raises(InputError, match="too large"):
        whole_from_text(text, places, "price")


@pytest.mark.parametrize(
    "text",
    [
        "", " ", ".", ".5", "5.", "1,5", "1 000", "1e3", "0x10", "1_000", "--1", "nan", "inf",
        "½", "²", "\u0661\u0662", "\uff11", "\u0967", "1\x00", "1\u200b", "1.\u0665",
    ],
)  # fmt: skip
def test_what_is_no_plain_number_is_refused_with_its_name(text: str) -> None:
    with pytest.raises(InputError, match=r"^bonus: found .* wanted a plain number"):
        whole_from_text(text, 2, "bonus")


@given(st.text(max_size=12))
def test_any_text_is_a_number_or_an_input_error(text: str) -> None:
    try:
        amount = whole_from_text(text, 3, "price")
    except InputError:
        return
    assert amount == Decimal(text.strip()) * 1000
