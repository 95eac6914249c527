"""Estimates: the stated belief where nothing was seen, the site's own where much was."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.forecasts import NoBasis, Shares, Volume
from stockbook.forecast import estimates
from stockbook.forecast.estimates import (
    days_of,
    lead_times,
    line_rate,
    mix,
    not_happening,
    rate_spread,
    scheduling_curve,
    spoilage,
    variation,
    visible_share,
    volume,
)


@given(st.floats(0, 1), st.integers(0, 500), st.integers(0, 500))
def test_a_rate_lies_between_the_belief_and_what_was_seen(
    stated: float, one: int, other: int
) -> None:
    count, cases = sorted((one, other))
    found = line_rate("dye", stated, count, cases)
    low, high = sorted((found.prior, found.observed))
    assert low - 1e-12 <= found.result <= high + 1e-12


def test_without_cases_the_belief_stands_and_says_so() -> None:
    found = line_rate("dye", 0.08, 0, 0)
    assert (found.result, found.observed, found.seen) == (0.08, 0.08, 0)
    assert found.is_prior_alone
    assert found.prior_source == "the kit's stated rate"
    assert (found.weight, spoilage("lens", 0, 0).result, not_happening(0, 0).result) == (
        20, 0.00662, 0.06,
    )  # fmt: skip


def test_many_cases_take_over() -> None:
    assert line_rate("dye", 0.08, 5000, 20_000).result == pytest.approx(0.25, abs=2e-4)
    assert not line_rate("dye", 0.08, 1, 2).is_prior_alone


def test_a_rate_known_from_few_cases_scatters_more_than_one_known_from_many() -> None:
    few, many = (rate_spread(line_rate("dye", 0.1, n // 10, n), 50) for n in (20, 2000))
    assert few.mean == pytest.approx(many.mean, abs=1e-9)
    assert few.variance > many.variance


def test_a_volume_is_stated_seen_or_both() -> None:
    stated, seen, both = volume("v", [], 42), volume("v", [50, 52]), volume("v", [50, 52], 42)
    assert isinstance(stated, Volume)
    assert isinstance(seen, Volume)
    assert isinstance(both, Volume)
    assert (stated.mean.result, seen.mean.result, both.mean.result) == (42, 51, 46.5)
    assert stated.variation.result == 0.02


@pytest.mark.parametrize("weeks", [[], [40], [0, 0, 0]])
def test_weeks_that_say_nothing_about_scatter_leave_the_belief(weeks: list[float]) -> None:
    assert variation("v", weeks).result == 0.02


def test_scatter_is_seen_and_shrunk() -> None:
    found = variation("v", [10, 70] * 30)
    assert 0.3 < found.result < found.observed
    assert variation("v", [40, 41] * 30).result < 0.02


def test_weeks_of_nothing_are_a_volume_of_nothing_only_when_they_were_seen() -> None:
    assert isinstance(volume("v", []), NoBasis)
    seen = volume("v", [0, 0])
    assert isinstance(seen, Volume)
    assert (seen.mean.result, seen.mean.seen) == (0, 2)


def test_a_mix_without_history_is_the_stated_one_or_has_no_basis() -> None:
    found = mix("paid", {}, {"phaco": 0.93, "sics": 0.07})
    assert isinstance(found, Shares)
    assert found.result == pytest.approx((0.93, 0.07))
    assert isinstance(mix("paid", {"phaco": 0, "sics": 0}), NoBasis)
    seen = mix("paid", {"phaco": 60, "sics": 0})
    assert isinstance(seen, Shares)
    assert (seen.prior_source, seen.share("sics")) == ("all alike", 0.125)


@given(st.lists(st.integers(0, 200), min_size=0, max_size=8))
def test_a_curve_never_rises_with_the_weeks_ahead(notice: list[int]) -> None:
    curve = scheduling_curve(notice)
    shares = [visible_share(curve, weeks) for weeks in range(9)]
    assert shares == sorted(shares, reverse=True)
    assert sum(curve.result) == pytest.approx(1)
    assert shares[-1] == 0 or len(notice) > 8


def test_lead_times_lean_on_the_quoted_time() -> None:
    nothing = lead_times("ACME", [], quoted=14)
    one = lead_times("ACME", [40], quoted=14)
    many = lead_times("ACME", [40] * 100, quoted=14)
    assert isinstance(nothing, Shares)
    assert isinstance(one, Shares)
    assert isinstance(many, Shares)
    means = [sum(day * share for day, share in days_of(x).items()) for x in (nothing, one, many)]
    assert means[0] == pytest.approx(14, abs=0.1)
    assert 14 < means[1] < 20
    assert 38.5 < means[2] < 40
    assert days_of(one)[40] == pytest.approx(0.2)


def test_one_receipt_without_a_quoted_time_is_no_certainty() -> None:
    found = lead_times("ACME", [10])
    assert isinstance(found, Shares)
    assert found.prior_source == "median, 10 days"
    assert len(days_of(found)) > 5


def test_delivery_on_the_day_is_possible() -> None:
    found = lead_times("NEXT DOOR", [0, 0], quoted=0)
    assert isinstance(found, Shares)
    assert days_of(found) == {0: 1.0}


@given(st.lists(st.integers(0, 90), max_size=20), st.integers(0, 60))
def test_lead_times_sum_to_one(days: list[int], quoted: int) -> None:
    found = lead_times("ACME", days, quoted)
    assert isinstance(found, Shares)
    assert sum(days_of(found).values()) == pytest.approx(1)


def test_an_absurd_quoted_time_does_not_run_away() -> None:
    found = lead_times("FAR", [], quoted=100)
    assert isinstance(found, Shares)
    assert max(days_of(found)) <= 120
    assert found.weight == estimates.RECEIPTS_WEIGHT
