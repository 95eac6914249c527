"""Which powers patients need: a published shape, then the site's own counts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.forecast.lens_shares import model_weights, power_shares, published_shape

powers = st.sets(st.integers(-20, 160), min_size=1, max_size=30).map(
    lambda found: sorted(25 * n for n in found)
)


@given(powers, st.integers(1000, 3000), st.integers(50, 1000))
def test_shares_of_the_shape_sum_to_one(grid: list[int], mean: int, deviation: int) -> None:
    shares = published_shape(grid, mean, deviation)
    assert sum(shares) == pytest.approx(1, rel=1e-12)
    assert min(shares) >= 0


@given(st.dictionaries(
    st.sampled_from("ABC"),
    st.dictionaries(st.integers(60, 100).map(lambda n: n * 25), st.integers(0, 300), min_size=1),
    min_size=1,
))  # fmt: skip
def test_shares_of_each_model_sum_to_one(counts: dict[str, dict[int, int]]) -> None:
    shares = power_shares(counts, 2120, 250)
    for model, used in counts.items():
        assert shares[model].keys() == used.keys()
        assert sum(shares[model].values()) == pytest.approx(1, rel=1e-12)


def test_without_any_use_the_published_shape_stands_alone() -> None:
    grid = list(range(1500, 2750, 50))
    shares = power_shares({"A": dict.fromkeys(grid, 0)}, 2120, 250)["A"]
    assert list(shares.values()) == pytest.approx(published_shape(grid, 2120, 250))


def test_the_sites_own_counts_take_over() -> None:
    """Ten thousand cases, all of one power: hardly anything of the shape is left."""
    used = {2000: 0, 2050: 10_000, 2100: 0}
    assert power_shares({"A": used}, 2120, 250)["A"][2050] > 0.99


def test_a_model_without_use_borrows_the_powers_of_the_others() -> None:
    grid = dict.fromkeys((2000, 2050, 2100), 0)
    alone = power_shares({"NEW": grid}, 2120, 250)["NEW"]
    beside = power_shares({"NEW": grid, "OLD": {**grid, 2000: 500}}, 2120, 250)["NEW"]
    assert beside[2000] > alone[2000]


def test_one_power_has_all_the_patients_and_one_out_of_reach_none_lost() -> None:
    assert published_shape([2100], 2120, 250) == [1.0]
    assert published_shape([-5000, -4950], 2120, 50) == [0.5, 0.5]


def test_models_count_by_their_use_and_alike_where_none_was_used() -> None:
    assert model_weights({"A": 0, "B": 0}) == {"A": 0.5, "B": 0.5}
    assert model_weights({"A": 0, "B": 3}) == {"B": 1.0}
