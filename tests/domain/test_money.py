"""Money by ISO 4217: each currency with its own number of decimals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.money import DECIMALS, Currency, currency
from stockbook.errors import InputError

# ISO 4217 list one (current currencies, minor units); these few from memory, not from a copy.
FROM_MEMORY = {
    0: "JPY KRW VND CLP ISK UGX RWF XAF XOF XPF",
    2: "INR NPR BDT LKR PKR KES TZS ETB NGN GHS ZAR USD EUR GBP MGA MRU VES VED",
    3: "KWD BHD OMR JOD TND IQD LYD",
}


@pytest.mark.parametrize(
    ("code", "places"), [(c, places) for places, row in FROM_MEMORY.items() for c in row.split()]
)
def test_iso_4217_decimals(code: str, places: int) -> None:
    assert currency(code) == currency(f" {code.lower()} ") == Currency(code, places)


# Withdrawn (before the euro), never given out, no money, or no code at all; from memory.
@pytest.mark.parametrize("code", ["DEM", "FRF", "QQQ", "XXX", "XTS", "XAU", "", "IN", "INRR", "₹"])
def test_what_is_no_current_currency_is_refused(code: str) -> None:
    with pytest.raises(InputError, match="wanted a code of ISO 4217"):
        currency(code)


def test_every_code_is_three_capitals_and_in_the_table_once() -> None:
    from stockbook.domain import money

    listed = [code for codes in money._BY_DECIMALS.values() for code in codes.split()]
    assert len(listed) == len(set(listed)) == len(DECIMALS)
    assert all(len(c) == 3 and c.isascii() and c.isupper() and c.isalpha() for c in listed)


@pytest.mark.parametrize(
    ("code", "text", "minor"),
    [("JPY", "1500", 1500), ("INR", "15.5", 1550), ("KWD", "1.505", 1505), ("INR", "0", 0)],
)
def test_an_amount_is_read_in_the_currency_s_minor_unit(code: str, text: str, minor: int) -> None:
    assert currency(code).minor(text) == minor


@pytest.mark.parametrize(("code", "text"), [("JPY", "1.5"), ("INR", "1.505"), ("KWD", "1.5055")])
def test_more_decimals_than_the_currency_has_are_refused(code: str, text: str) -> None:
    with pytest.raises(InputError, match=f"^price: found '{text}'.*too fine"):
        currency(code).minor(text)


def test_a_price_below_nothing_is_refused_and_nothing_is_a_price() -> None:
    assert currency("INR").minor("0.00") == 0
    with pytest.raises(InputError, match=r"^tax: found '-0\.01', wanted nothing or more"):
        currency("INR").minor("-0.01", "tax")


@given(st.sampled_from(("JPY", "INR", "KWD")), st.integers(0, 10**14))
def test_an_amount_comes_back_from_its_text(code: str, minor: int) -> None:
    money = currency(code)
    assert money.minor(money.text(minor).replace(",", "")) == minor


@pytest.mark.parametrize(
    ("code", "minor", "text"),
    [
        ("JPY", 1234567, "1,234,567"), ("JPY", -5, "-5"), ("INR", -5, "-0.05"), ("INR", 0, "0.00"),
        ("INR", -123456, "-1,234.56"), ("KWD", 1234567, "1,234.567"), ("KWD", 5, "0.005"),
    ],
)  # fmt: skip
def test_an_amount_for_people_has_thousands_sign_and_all_decimals(
    code: str, minor: int, text: str
) -> None:
    assert currency(code).text(minor) == text
