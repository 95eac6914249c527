"""Lens powers: shares that lean on all models, and the exact demand of each power."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from forecast import direct
from stockbook.forecast.coming import Coming
from stockbook.forecast.demand import Line
from stockbook.forecast.lens_powers import LensCases, power_demands
from stockbook.forecast.shapes import leaning, normal_shape

DAYS = 4
SHARES = (0.5, 0.3, 0.2)


@st.composite
def lens_cases(draw: st.DrawFn) -> LensCases:
    known = draw(st.lists(st.integers(0, 3), min_size=DAYS * 3, max_size=DAYS * 3))
    unknown = draw(st.lists(st.integers(0, 3), min_size=DAYS, max_size=DAYS))
    not_yet = draw(st.lists(st.floats(0, 4), min_size=DAYS * 2, max_size=DAYS * 2))
    return LensCases(
        np.array(known).reshape(DAYS, 3), np.array(unknown), np.array(not_yet).reshape(DAYS, 2),
        draw(st.sampled_from([0.0, 0.06])), draw(st.sampled_from([0.0, 0.01])),
        draw(st.sampled_from([0.0, 0.02])),
    )  # fmt: skip


def as_items(cases: LensCases, power: int) -> tuple[Coming, dict[int, tuple[Line, ...]]]:
    """One power as an item: cases that surely need it, and cases that need it by its share."""
    scheduled = np.column_stack([cases.known[:, power], cases.unknown])
    coming = Coming(
        scheduled, cases.not_yet, np.array([[0.0, 1.0], [0.0, 1.0]]),
        cases.not_happening, cases.variation,
    )  # fmt: skip
    lines = {n: (Line(1, share, cases.spoiled),) for n, share in enumerate((1.0, SHARES[power]))}
    return coming, lines


@given(lens_cases(), st.dictionaries(st.integers(0, DAYS), st.floats(0.1, 1), min_size=1))
def test_each_power_equals_the_convolution_of_every_case(
    cases: LensCases, interval: dict[int, float]
) -> None:
    for power, found in enumerate(power_demands([(cases, SHARES)], interval)[0]):
        wanted = direct.item_demand(*as_items(cases, power), interval)
        least = min(len(wanted), len(found.chances))
        assert np.abs(wanted[:least] - found.chances[:least]).max() < 1e-12
        assert found.chances.sum() == pytest.approx(1, abs=1e-12)


@given(
    st.lists(lens_cases(), min_size=2, max_size=3),
    st.dictionaries(st.integers(0, DAYS), st.floats(0.1, 1), min_size=1),
)
def test_models_at_once_are_each_as_by_itself(
    models: list[LensCases], interval: dict[int, float]
) -> None:
    """Days without work are other ones for each model, and one has fewer powers."""
    first = models[0]
    alike = [replace(one, not_happening=first.not_happening, variation=first.variation)
             for one in models]  # fmt: skip
    alike[-1] = replace(alike[-1], known=alike[-1].known[:, :2])
    asked = [(one, SHARES[: one.known.shape[1]]) for one in alike]
    for one, found in zip(asked, power_demands(asked, interval), strict=True):
        (alone,) = power_demands([one], interval)
        assert len(found) == len(alone)
        for together, wanted in zip(found, alone, strict=True):
            least = min(len(wanted.chances), len(together.chances))
            assert np.abs(wanted.chances[:least] - together.chances[:least]).max() < 1e-12


def test_models_of_two_sites_are_refused() -> None:
    one = LensCases(np.zeros((1, 1)), np.zeros(1), np.ones((1, 1)))
    with pytest.raises(ValueError, match="models of one site"):
        power_demands([(one, [1.0]), (replace(one, variation=0.1), [1.0])], {1: 1.0})


def test_a_known_power_is_exact_and_takes_nothing_from_the_others() -> None:
    cases = LensCases(np.array([[3, 0, 0]]), np.zeros(1), np.zeros((1, 1)))
    demands = power_demands([(cases, SHARES)], {1: 1.0})[0]
    assert [demand.smallest_reaching(0.999) for demand in demands] == [3, 0, 0]


def test_a_shape_far_from_all_values_is_refused() -> None:
    with pytest.raises(ValueError, match="none of these values"):
        normal_shape((10.0, 11.0), 900, 1, 0.5)


@given(st.lists(st.floats(0, 50), min_size=2, max_size=9), st.floats(0.5, 100))
def test_leaning_shares_sum_to_one(counts: list[float], weight: float) -> None:
    prior = (1 / len(counts),) * len(counts)
    assert sum(leaning(prior, weight, counts)) == pytest.approx(1)
