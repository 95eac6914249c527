"""Days: the calendar's own, a month-only expiry means its last day."""

import calendar
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import days

from stockbook.domain.days import (
    NO_EXPIRY,
    day_from_text,
    day_typed,
    days_after,
    days_between,
    expiry_from_text,
    expiry_text,
    last_day_of_month,
    months_from,
    period_typed,
    time_from_text,
)
from stockbook.errors import InputError


@given(days)
def test_every_day_of_the_calendar_is_read(day: str) -> None:
    assert day_from_text(f" {day} ") == day


@pytest.mark.parametrize("day", ["2028-02-29", "2000-02-29", "2027-02-28", "0001-01-01"])
def test_days_that_are_there(day: str) -> None:
    assert day_from_text(day) == day


@pytest.mark.parametrize(
    "day",
    ["2027-02-29", "2028-02-30", "2100-02-29", "2027-04-31", "2027-13-01", "2027-00-10",
     "2027-01-00", "0000-01-01"],
)  # fmt: skip
def test_days_the_calendar_lacks_are_refused(day: str) -> None:
    with pytest.raises(InputError, match=f"^expiry: found '{day}', wanted a day that"):
        day_from_text(day, "expiry")


@pytest.mark.parametrize(
    "text",
    ["", "2027-3-1", "20270301", "01-03-2027", "01/03/2027", "2027-03-01T00:00", "2027-W09-1",
     "tomorrow", "\uff12027-03-01", "\u0662\u0660\u0662\u0667-03-01", "2027-03-01\x00"],
)  # fmt: skip
def test_other_ways_to_write_a_day_are_refused_not_guessed(text: str) -> None:
    with pytest.raises(InputError, match="wanted a day such as"):
        day_from_text(text)


def test_today_and_yesterday_are_counted_from_the_day_that_is_passed_in() -> None:
    assert day_typed("today", "2028-03-01") == "2028-03-01"
    assert day_typed("yesterday", "2028-03-01") == "2028-02-29"
    assert day_typed("2026-01-05", "2028-03-01") == "2026-01-05"


@given(st.integers(1, 9999), st.integers(1, 12))
def test_a_month_only_expiry_means_its_last_day(year: int, month: int) -> None:
    last = f"{year:04d}-{month:02d}-{calendar.monthrange(year, month)[1]:02d}"
    assert expiry_from_text(f"{year:04d}-{month:02d}") == (last, "month")
    assert last_day_of_month(year, month) == last


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("2027-02", ("2027-02-28", "month")), ("2028-02", ("2028-02-29", "month")),
        ("2100-02", ("2100-02-28", "month")), ("2028-02-10", ("2028-02-10", "day")),
        ("", (NO_EXPIRY, "none")), (" None ", (NO_EXPIRY, "none")),
    ],
)  # fmt: skip
def test_an_expiry_is_a_day_a_month_or_none(text: str, wanted: tuple[str, str]) -> None:
    assert expiry_from_text(text) == wanted


@pytest.mark.parametrize("text", ["2027-00", "2027-13", "0000-01", "2028-02-30"])
def test_an_expiry_the_calendar_lacks_is_refused(text: str) -> None:
    with pytest.raises(InputError, match=f"^expiry: found '{text}', wanted a .* the calendar has"):
        expiry_from_text(text)


@pytest.mark.parametrize("text", ["02-2027", "2027/02", "270228", "soon", "2027-2"])
def test_another_expiry_is_refused_and_both_forms_are_shown(text: str) -> None:
    with pytest.raises(InputError, match="such as 2027-03-31 or a month such as 2027-03"):
        expiry_from_text(text)


@given(days)
def test_an_expiry_is_shown_as_it_was_printed(day: str) -> None:
    for printed in (day, day[:7], "none"):
        assert expiry_text(*expiry_from_text(printed)) == printed


def test_no_expiry_sorts_after_every_day() -> None:
    assert sorted([NO_EXPIRY, "9999-12-30", "2027-01-01"])[-1] == NO_EXPIRY


@given(days, st.integers(-40_000, 40_000))
def test_days_after_and_days_between_agree(day: str, count: int) -> None:
    assert days_between(day, days_after(day, count)) == count


def test_days_beyond_the_calendar_stop_at_its_ends() -> None:
    assert days_after(NO_EXPIRY, 1) == NO_EXPIRY
    assert days_after("0001-01-01", -1) == "0001-01-01"


@given(days, st.integers(1, 60))
def test_months_from_are_consecutive(day: str, count: int) -> None:
    months = months_from(day, count)
    numbers = [int(month[:4]) * 12 + int(month[5:]) for month in months]
    assert months[0] == day[:7]
    assert numbers == list(range(numbers[0], numbers[0] + count))


@pytest.mark.parametrize("text", ["00:00", "09:05", "19:30", "23:59"])
def test_times_of_a_day(text: str) -> None:
    assert time_from_text(f" {text} ") == text


@pytest.mark.parametrize("text", ["24:00", "9:05", "12:60", "12:5", "12.30", "", "12:30:00"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="wanted a time such as"):
        time_from_text(text)


def test_a_period_is_a_month_or_two_days_or_this_month() -> None:
    assert period_typed("2028-02", None, None, "2028-05-05") == ("2028-02-01", "2028-02-29")
    assert period_typed(None, None, None, "2027-02-05") == ("2027-02-01", "2027-02-28")
    assert period_typed(None, "2027-02-03", "today", "2027-03-01") == ("2027-02-03", "2027-03-01")


@pytest.mark.parametrize(
    "asked",
    [(None, "2027-02-01", None), (None, None, "2027-02-01"), ("2027-02", "2027-02-01", "today"),
     ("2027-02-01", None, None), ("none", None, None), ("2027-14", None, None)],
)  # fmt: skip
def test_half_a_period_or_two_periods_are_refused(asked: tuple[str | None, ...]) -> None:
    with pytest.raises(InputError, match=r"period|--month"):
        period_typed(*asked, "2027-03-01")


def test_every_day_of_a_leap_year_and_of_another_is_one_after_the_other() -> None:
    for year, length in ((2027, 365), (2028, 366)):
        first = date(year, 1, 1).isoformat()
        found = [days_after(first, n) for n in range(length)]
        assert [day_from_text(day) for day in found] == found
        assert found[-1] == f"{year}-12-31"
