"""Powers: signed, two decimals, quarter dioptres."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.lenses import power_from_text, power_text
from stockbook.errors import InputError


@given(st.integers(-399, 399).map(lambda quarters: 25 * quarters))
def test_a_power_comes_back_from_its_text(power: int) -> None:
    assert power_from_text(power_text(power)) == power


@pytest.mark.parametrize(
    ("text", "power"), [("+21.50", 2150), ("-0.25", -25), ("+0.00", 0), (" +06.00 ", 600)]
)
def test_powers_are_read_in_hundredths(text: str, power: int) -> None:
    assert power_from_text(text) == power


@pytest.mark.parametrize("text", ["+21.49", "+21.51", "-0.01", "+0.10"])
def test_finer_than_a_quarter_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="wanted a whole number of quarter dioptres"):
        power_from_text(text)


@pytest.mark.parametrize(
    "text",
    ["", "21.50", "+21.5", "+21", "+21,50", "+121.00", "+.50", "\uff0b21.50", "\u221221.50",
     "+2\u0661.50", "+21.50D", "++1.00"],
)  # fmt: skip
def test_a_power_without_sign_or_decimals_is_refused_not_guessed(text: str) -> None:
    with pytest.raises(InputError, match=r"^power: found .*wanted a signed power"):
        power_from_text(text)
