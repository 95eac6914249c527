"""Expiring stock: bands at their boundaries, value by month."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import DAY, a_bottle, a_row

from stockbook.domain.days import NO_EXPIRY, days_after
from stockbook.domain.expiring import (
    BANDS,
    Expiring,
    ExpiringRow,
    band_of,
    bands_within,
    days_left,
    value_by_month,
)


@pytest.mark.parametrize(
    ("left", "band"),
    [(-1, None), (0, 30), (1, 30), (29, 30), (30, 30), (31, 60), (59, 60), (60, 60), (61, 90),
     (89, 90), (90, 90)],
)  # fmt: skip
def test_bands_at_their_boundaries(left: int, band: int | None) -> None:
    assert band_of(left, BANDS) == band


@pytest.mark.parametrize(
    ("within", "bands"),
    [(0, (0,)), (29, (29,)), (30, (30,)), (31, (30, 31)), (60, (30, 60)), (89, (30, 60, 89)),
     (90, (30, 60, 90)), (91, (30, 60, 90, 91)), (365, (30, 60, 90, 365))],
)  # fmt: skip
def test_bands_end_with_what_was_asked(within: int, bands: tuple[int, ...]) -> None:
    assert bands_within(within) == bands


@given(st.integers(0, 400), st.integers(0, 400))
def test_the_band_is_the_smallest_that_holds_the_days(within: int, left: int) -> None:
    bands = bands_within(within)
    band = band_of(left, bands)
    assert band in bands
    assert left > within or left <= band
    assert not [b for b in bands if left <= b < band]


@pytest.mark.parametrize(
    ("expires_on", "left"), [("2027-02-28", -1), ("2027-03-01", 0), ("2027-03-02", 1)]
)
def test_a_lot_has_no_day_left_on_its_last_and_less_than_none_after(
    expires_on: str, left: int
) -> None:
    assert days_left(a_row(expires_on=expires_on), DAY) == left


def test_only_what_is_past_its_day_is_expired() -> None:
    rows = tuple(
        ExpiringRow(a_row(n), a_bottle, left, band_of(left, BANDS), None)
        for n, left in enumerate((-1, 0, 1), start=1)
    )
    assert Expiring(DAY, 90, rows, ()).expired == rows[:1]


def test_value_by_month_of_expiry_with_what_is_past_apart() -> None:
    rows = [
        a_row(1, value=1, expires_on="2027-03-14"), a_row(2, value=2, expires_on="2027-03-15"),
        a_row(3, value=4, expires_on="2027-03-31"), a_row(4, value=8, expires_on="2027-04-01"),
        a_row(5, value=16, expires_on="2026-01-31"), a_row(6, value=32, expires_on="2027-05-01"),
        a_row(7, value=64, expires_on=NO_EXPIRY),
    ]  # fmt: skip
    found = value_by_month(rows, "2027-03-15", 2)
    assert found == (("before", 17), ("2027-03", 6), ("2027-04", 8))


@given(st.lists(st.tuples(st.integers(-100, 300), st.integers(0, 10**6)), max_size=20))
def test_no_value_up_to_the_last_month_is_lost(lots: list[tuple[int, int]]) -> None:
    rows = [
        a_row(n, value=value, expires_on=days_after(DAY, left))
        for n, (left, value) in enumerate(lots, start=1)
    ]
    months = value_by_month(rows, DAY, 6)
    wanted = sum(row.value for row in rows if row.lot.expires_on <= "2027-08-31")
    assert [month for month, _ in months][1:] == [f"2027-{n:02d}" for n in range(3, 9)]
    assert sum(value for _, value in months) == wanted
