"""Distributions and generating functions: whole, with little aliasing, quick to ask."""

from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.forecast.circle import half_circle, handy, polar
from stockbook.forecast.distributions import always, beta_binomial, of_chances
from stockbook.forecast.pgf import (
    ALIASING,
    compound,
    conditional,
    counted,
    distribution_of,
    from_chances,
    log_counts,
    log_counts_real,
    mixture,
    negative_binomial,
    points_for,
    poisson,
    product,
    repeated,
    scaled,
    sure,
    with_second_unit,
)

means = st.floats(0, 300)
scatters = st.floats(0, 0.5)


@given(means, scatters)
def test_a_count_has_its_mean_and_variance_and_sums_to_one(mean: float, variation: float) -> None:
    found = distribution_of(counted(mean, variation))
    assert found.chances.sum() == pytest.approx(1, abs=1e-12)
    assert found.mean == pytest.approx(mean, rel=1e-7, abs=1e-9)
    assert found.variance == pytest.approx(mean + variation * mean**2, rel=1e-6, abs=1e-7)


@given(st.floats(0.1, 300), scatters)
def test_beyond_the_circle_lies_less_than_the_bound(mean: float, variation: float) -> None:
    """Twice and four times as many points show what lies beyond the first."""
    points = len(distribution_of(counted(mean, variation)).chances)
    circle = np.exp(-2j * np.pi * np.arange(2 * points + 1) / (4 * points))
    finer = np.fft.irfft(counted(mean, variation)(circle), 4 * points)
    assert finer[points:].sum() < ALIASING + 4 * points * 1e-16


@given(st.lists(st.floats(0, 1), min_size=1, max_size=30).filter(lambda x: sum(x) > 0.01))
def test_chances_come_back_as_they_went(chances: list[float]) -> None:
    wanted = np.array(chances) / sum(chances)
    found = distribution_of(from_chances(wanted)).chances
    assert found[: len(wanted)] == pytest.approx(wanted, abs=1e-12)


def test_binomial_chances_are_exact() -> None:
    found = distribution_of(repeated(conditional(0.3), 12))
    wanted = [comb(12, k) * 0.3**k * 0.7 ** (12 - k) for k in range(13)]
    assert found.chances[:13] == pytest.approx(wanted, abs=1e-15)


def test_a_spoiled_unit_takes_a_second_one() -> None:
    found = distribution_of(with_second_unit(sure(2), 0.1))
    assert found.chances[:5] == pytest.approx([0, 0, 0.81, 0.18, 0.01], abs=1e-15)


def test_a_mixture_is_the_average_and_a_product_the_sum() -> None:
    mixed = distribution_of(mixture([(1, sure(1)), (3, sure(2))]))
    assert mixed.chances[:3] == pytest.approx([0, 0.25, 0.75], abs=1e-15)
    both = distribution_of(product([sure(1), poisson(4), compound(sure(2), sure(3))]))
    assert both.mean == pytest.approx(11, abs=1e-12)
    assert both.variance == pytest.approx(4, abs=1e-10)


def test_a_level_is_reached_at_its_boundary_and_not_before() -> None:
    found = of_chances([0.5, 0.25, 0.25])
    assert [found.smallest_reaching(x) for x in (0.49, 0.5, 0.51, 0.75, 0.76, 1.0)] == [
        0, 0, 1, 1, 2, 2,
    ]  # fmt: skip
    assert [found.largest_needed(x) for x in (0.24, 0.25, 0.26, 0.5, 0.51)] == [2, 2, 1, 1, 0]


def test_questions_beyond_both_ends() -> None:
    found = of_chances([0.5, 0.5])
    assert (found.at_most(-1), found.at_most(9), found.more_than(-1), found.more_than(9)) == (
        0, 1, 1, 0,
    )  # fmt: skip
    assert (found.chance_of(-1), found.chance_of(2)) == (0, 0)
    assert (found.expected_beyond(-2), found.expected_beyond(5)) == (2.5, 0)
    assert (found.expected_left(-2), found.expected_left(5)) == (0, 4.5)
    assert found.mean_given_at_least(7) == 7
    assert always(3).smallest_reaching(0.01) == 3


@given(st.integers(0, 40), st.integers(0, 60))
def test_left_less_beyond_is_stock_less_demand(mean: int, stock: int) -> None:
    found = distribution_of(poisson(mean))
    balance = found.expected_left(stock) - found.expected_beyond(stock)
    assert balance == pytest.approx(stock - mean, abs=1e-9)


@pytest.mark.parametrize("bad", [[], [0.0, 0.0], [float("nan")], [float("inf")], [-1.0]])
def test_no_chances_are_no_distribution(bad: list[float]) -> None:
    with pytest.raises(ValueError, match="at least one chance"):
        of_chances(bad)


@given(
    st.lists(st.floats(0, 300), min_size=1, max_size=5),
    st.sampled_from([0.0, 1e-12, 1e-5, 0.02, 3.0]),
)
def test_counts_together_are_the_product_of_each(means: list[float], variation: float) -> None:
    """The angle of many counts makes whole turns; the real one is never below the modulus."""
    circle = half_circle(64)
    far = np.array([(1 - circle**n) / n for n in range(1, len(means) + 1)])
    beside = variation * np.array(means)[:, None] * far
    wanted = (
        np.prod((1 + beside) ** (-1 / variation), axis=0) if variation > 1e-9
        else np.exp(-np.array(means) @ far)
    )  # fmt: skip
    scales = [scaled(mean, variation) for mean in means]
    size, turn = log_counts(scales, far.real, far.imag, variation)
    assert np.abs(polar(size, turn) - wanted).max() < 1e-6
    assert (size <= log_counts_real(scales, far.real, variation) + 1e-3).all()


def test_an_absurd_demand_is_refused() -> None:
    with pytest.raises(ValueError, match="no demand of a theatre"):
        distribution_of(poisson(1e9))
    with pytest.raises(ValueError, match="no demand of a theatre"):
        points_for(lambda z: z * float("nan"))


def test_less_scatter_than_poisson_counts_as_poisson() -> None:
    found = distribution_of(negative_binomial(4, 2))
    assert found.variance == pytest.approx(4, abs=1e-10)
    assert distribution_of(negative_binomial(0, 0)).chance_of(0) == 1


@given(st.integers(1, 10_000))
def test_a_handy_length_is_even_and_little_longer(least: int) -> None:
    found = handy(least)
    assert found % 2 == 0
    assert least <= found <= max(18, 4 * least // 3 + 2)


def test_a_beta_binomial_has_its_mean() -> None:
    found = beta_binomial(30, 2.5, 47.5)
    assert found.mean == pytest.approx(1.5, abs=1e-12)
    assert found.chances.sum() == pytest.approx(1, abs=1e-12)
