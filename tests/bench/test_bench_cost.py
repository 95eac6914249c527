"""What the cost of a year's cases by group, and their variance from standard, cost to ask."""

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from statistics import median

import bare_growth as bare
import pytest
from big_book import MANY
from measure import Pair, Peak
from test_bench_growth import peak, process, timed

from stockbook.jobs.cost_groups import cost_by
from stockbook.jobs.cost_variance import cost_variance
from stockbook.ledger.opening import Book, open_book

ROUNDS = 5
YEARS = (1, 2, 4)
ENOUGH = 1_900_000
"""So many movements reach four years back."""

pytestmark = pytest.mark.bench


@dataclass(frozen=True)
class Asked:
    """A command about a period, its bare question, and whether both used the same value."""

    words: tuple[str, ...]
    sql: str
    used: Callable[[Book, tuple[str, str]], int]


def used_by_groups(book: Book, days: tuple[str, str]) -> int:
    return cost_by(book, *days, "category").all.used


def used_by_variance(book: Book, days: tuple[str, str]) -> int:
    found = cost_variance(book, *days)
    assert not found.without_standard
    assert found.all.split.all == found.all.difference
    return found.all.actual


QUESTIONS = [
    Asked(("--per", "category"), bare.BY_CLASS, used_by_groups),
    Asked(("--variance",), bare.BY_ITEM, used_by_variance),
]
NAMES = [" ".join(one.words) for one in QUESTIONS]


def period(path: Path, years: int = 1) -> tuple[str, str]:
    """So many years back from the book's last entry, or as far as it goes."""
    ((first, last),) = bare.asked(
        path, "SELECT MAX(MIN(booked_on), date(MAX(booked_on), ?, '+1 day')), MAX(booked_on) "
        "FROM entry", (f"-{years} years",),
    )  # fmt: skip
    return first, last


def command(asked: Asked, days: tuple[str, str]) -> tuple[str, ...]:
    return ("cost", "--from", days[0], "--to", days[1], *asked.words)


@pytest.mark.parametrize("asked", QUESTIONS, ids=NAMES)
def test_a_years_cases_beside_bare_sql(
    first_day: Path, old: Path, pairs: list[Pair | Peak], asked: Asked
) -> None:
    days, one_day = period(old), period(first_day)
    rows = bare.asked(old, asked.sql, days)
    with contextlib.closing(open_book(old)) as book:
        used = sum(value for _, place, _, _, value in rows if place.startswith("used/"))
        assert asked.used(book, days) == used > 0, "equal work"
    turns = [
        (
            timed(partial(bare.asked, old, asked.sql, days)),
            process(first_day, command(asked, one_day)),
            process(old, command(asked, days)),
        )
        for _ in range(ROUNDS + 1)
    ][1:]
    plain, starts, wholes = zip(*turns, strict=True)
    beyond = [whole - median(starts) for whole in wholes]
    cases = len({row[0] for row in rows})
    what = f"cost {' '.join(asked.words)}, {cases:,} cases, beyond {median(starts) * 1000:.0f} ms"
    pairs.append(Pair(what, plain, beyond, "at most 3", rate=False))
    pairs.append(
        Peak(f"memory of cost {' '.join(asked.words)}, {cases:,} cases",
             peak(first_day, command(asked, one_day)), peak(old, command(asked, days)),
             "under 300 MB")
    )  # fmt: skip


@pytest.mark.parametrize("asked", QUESTIONS, ids=NAMES)
def test_years_cost_as_much_each(
    first_day: Path, old: Path, pairs: list[Pair | Peak], asked: Asked
) -> None:
    """The plain side is so many times what one year takes: linear is one."""
    assert MANY < 1_000_000 or MANY >= ENOUGH
    start = median(process(first_day, command(asked, period(first_day))) for _ in range(3))
    times = {
        years: [process(old, command(asked, period(old, years))) - start for _ in range(3)]
        for years in YEARS
    }
    for years in YEARS[1:]:
        what = f"cost {' '.join(asked.words)}: {years} years beside {years} times one"
        linear = [years * seconds for seconds in times[1]]
        pairs.append(Pair(what, linear, times[years], "at most 1.2", rate=False))
