"""Overhead: how long a case may take, what a rate may be, and what holds on which day."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.overhead import (
    FINEST,
    CaseOverhead,
    Rate,
    RateSince,
    minutes_from_text,
    rate_from_text,
    rate_on,
    rate_text,
)
from stockbook.errors import InputError


@pytest.mark.parametrize("minutes", [1, 2, 1439, 1440])
def test_a_case_takes_whole_minutes_of_one_day(minutes: int) -> None:
    assert minutes_from_text(str(minutes)) == minutes


@pytest.mark.parametrize("text", ["0", "-1", "1441", "99999", "12.5", "1:30", "18 min", "", "١٨"])
def test_minutes_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(InputError, match="minutes: found"):
        minutes_from_text(text)


@given(
    st.sampled_from(["case", "minute"]), st.integers(1, 10**12), st.integers(0, FINEST)
)  # fmt: skip
def test_a_rate_reads_back_as_it_is_kept(per: str, amount: int, decimals: int) -> None:
    rate = Rate(per, amount)
    assert rate_from_text(rate_text(rate, decimals), decimals) == rate


def test_no_rate_reads_back_as_none() -> None:
    assert rate_from_text(rate_text(None, 2), 2) is None


@pytest.mark.parametrize(
    ("text", "decimals", "words"),
    [
        ("", 2, "wanted none"), ("450", 2, "wanted none"), ("hour 450", 2, "wanted none"),
        ("case", 2, "wanted none"), ("case 450 INR", 2, "wanted none"),
        ("none 3", 2, "wanted none"), ("minute 0", 2, "more than nothing"),
        ("case -450", 2, "more than nothing"), ("minute 12,50", 2, "plain number"),
        ("minute twelve", 2, "plain number"), ("minute 1e3", 2, "plain number"),
        ("minute 12.505", 2, "too fine"), ("minute 12.5", 0, "too fine"),
        ("minute 12.5055", 3, "too fine"), ("minute 99999999999999", 2, "too large"),
    ],
)  # fmt: skip
def test_a_malformed_rate_is_refused(text: str, decimals: int, words: str) -> None:
    with pytest.raises(InputError, match=words):
        rate_from_text(text, decimals)


@pytest.mark.parametrize(("decimals", "amount"), [(0, 450), (2, 45000), (3, 450000)])
def test_an_amount_is_in_the_minor_unit_of_its_currency(decimals: int, amount: int) -> None:
    assert rate_from_text("case 450", decimals) == Rate("case", amount)


def test_what_was_said_last_about_a_day_holds() -> None:
    """The order is the entry's: a rate for earlier days said later also holds for later ones."""
    first, second = RateSince("2027-01-01", 5, Rate("case", 1)), RateSince("2027-03-01", 6, None)
    late = RateSince("2027-02-01", 7, Rate("case", 2))
    assert rate_on([first, second], "2026-12-31") is None
    assert rate_on([first, second], "2027-02-28") is first
    assert rate_on([first, second], "2027-03-01") is second
    assert rate_on([first, second, late], "2027-01-31") is first
    assert rate_on([first, second, late], "2027-03-15") is late


@given(st.integers(1, 10**9), st.integers(1, 1440))
def test_a_case_bears_its_minutes_or_one_rate(amount: int, minutes: int) -> None:
    assert CaseOverhead("C1", minutes, Rate("minute", amount), 1).amount == amount * minutes
    assert CaseOverhead("C1", None, Rate("minute", amount), 1).amount is None
    for known in (None, minutes):
        assert CaseOverhead("C1", known, Rate("case", amount), 1).amount == amount
