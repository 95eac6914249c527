"""The forecast of a full site beside a Monte Carlo of the same with 10,000 runs."""

import contextlib
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import forecast_work as work
import numpy as np
import pytest
from measure import Pair, Peak, by_turns

ROUNDS = 3
MOST_BYTES = 100_000_000
MEASURED = (
    "import resource, subprocess, sys\n"
    "said = subprocess.run([sys.executable, *sys.argv[1:]], check=True, capture_output=True)\n"
    "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
    "print(said.stdout.decode(), end='')\n"
)


@pytest.mark.bench
def test_exact_demands_beside_ten_thousand_runs(pairs: list[Pair | Peak]) -> None:
    given = work.site()
    assert given.coming.scheduled.sum() == work.CASES
    found: dict[str, list[int]] = {}

    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        yield lambda: found.update(plain=work.drawn_levels(work.drawn(given)))

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        yield lambda: found.update(ours=work.levels(work.exact(given)))

    times = by_turns(plain, ours, ROUNDS)
    assert len(found["ours"]) == work.ITEMS + len(work.MODELS) * work.POWERS
    what = f"{work.ITEMS} items and 180 lens powers, {work.RUNS:,} runs beside exactly"
    pairs.append(Pair(what, *times, "at least 25"))


def test_the_runs_find_the_same_means_and_levels() -> None:
    """Means within five standard errors, levels between those of a little less and more."""
    given = work.site()
    for demand, units in zip(work.exact(given), work.drawn(given), strict=True):
        error = max(demand.variance, 1e-12) ** 0.5 / work.RUNS**0.5
        assert abs(units.mean() - demand.mean) <= 5 * error + 1e-6
        for service in (0.9, 0.99):
            seen = (units <= demand.smallest_reaching(service)).mean()
            slack = 5 * (service * (1 - service) / work.RUNS) ** 0.5
            assert seen >= service - slack
    assert isinstance(units, np.ndarray)


@pytest.mark.bench
def test_memory_above_the_interpreter_with_numpy(pairs: list[Pair | Peak]) -> None:
    plain, _ = peak("-c", "import numpy, numpy.fft")
    ours, said = peak(str(Path(work.__file__)))
    assert said.split() == [str(work.ITEMS + 180), "False"], "scipy is never imported"
    above = (ours - plain) / 1e6
    pairs.append(
        Peak(f"its memory, {above:.0f} MB above numpy", plain, ours, "at most 100 MB above")
    )
    assert ours - plain < MOST_BYTES


def peak(*words: str) -> tuple[int, str]:
    """The most memory of a process of its own, and what it said; an empty process measures it."""
    folder = Path(work.__file__).parents[2]
    known = os.environ | {"PYTHONPATH": str(folder)}
    run = subprocess.run(
        [sys.executable, "-c", MEASURED, *words], check=True, capture_output=True, text=True,
        env=known,
    )  # fmt: skip
    size, said = run.stdout.split("\n", maxsplit=1)
    return int(size) * (1 if sys.platform == "darwin" else 1024), said
