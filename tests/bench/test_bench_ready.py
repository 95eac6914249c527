"""Can a long list be served? Beside a bare loop that reads the same rows and sorts them."""

import contextlib
import gc
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

import bare
import pytest
from measure import Pair, by_turns
from sixty_cases import CASES, DAY, LINES, LIST, LOTS, SIGNED, sixty_cases

from stockbook.domain.codec import field_names
from stockbook.domain.facts import Case, Item, Kit, Lot, OperatingList, Place
from stockbook.jobs.issue import issue_list
from stockbook.jobs.ready import ready_lists
from stockbook.ledger.opening import open_book

ROUNDS = 11
READ = {
    "theatre_list": OperatingList, "theatre_case": Case, "kit": Kit, "item": Item, "place": Place,
}  # fmt: skip


@pytest.fixture(scope="module")
def long_list(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The book of the long list; copy it to write into it."""
    return sixty_cases(tmp_path_factory.mktemp("long") / "long.stockbook")


def read_and_sort(db: sqlite3.Connection) -> list[tuple]:
    """Every row that the answer needs, read once; the lots sorted as they are picked."""
    for table, cls in READ.items():
        db.execute(f"SELECT {', '.join(field_names(cls))} FROM {table}").fetchall()
    columns = ", ".join(f"lot.{name}" for name in field_names(Lot))
    rows = db.execute(
        f"SELECT {columns}, place, on_hand.quantity, on_hand.value FROM on_hand "
        "JOIN lot ON lot.code = on_hand.lot"
    ).fetchall()
    return sorted(rows, key=lambda r: (r[1], r[-3] != "OT1", r[4], r[6], r[0]))


@contextlib.contextmanager
def uncollected(work: Callable[[], object]) -> Iterator[Callable[[], object]]:
    """The work as the command runs it: without collecting garbage."""
    gc.disable()
    yield work
    gc.enable()


@pytest.mark.bench
def test_ready_beside_reading_and_sorting(long_list: Path, pairs: list[Pair]) -> None:
    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        with contextlib.closing(sqlite3.connect(long_list)) as db:
            assert len(read_and_sort(db)) == LOTS
            with uncollected(lambda: read_and_sort(db)) as work:
                yield work

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        with contextlib.closing(open_book(long_list)) as book:
            found = ready_lists(book, LIST, DAY)
            assert (len(found.cases), found.can_be_served) == (CASES, True)
            with uncollected(lambda: ready_lists(book, LIST, DAY)) as work:
                yield work

    times = by_turns(plain, ours, ROUNDS)
    words = f"ready: {CASES} cases of {LINES} lines over {LOTS:,} lots; plain: read and sort"
    pairs.append(Pair(words, *times, "at most 3", rate=False))


@pytest.mark.bench
def test_issuing_the_long_list_beside_a_bare_loop(
    long_list: Path, tmp_path: Path, pairs: list[Pair]
) -> None:
    done = tmp_path / "done.stockbook"
    shutil.copyfile(long_list, done)
    with contextlib.closing(open_book(done)) as book:
        issue_list(book, SIGNED, LIST)
    wanted = bare.contents(done)
    entries = bare.rows_added(long_list, done)
    assert len(entries) == CASES

    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        copy = tmp_path / "bare.sqlite"
        with bare.opened(long_list, copy) as db:
            yield lambda: bare.write(db, entries)
        assert bare.contents(copy) == wanted

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        copy = tmp_path / "ours.stockbook"
        shutil.copyfile(long_list, copy)
        with contextlib.closing(open_book(copy)) as book:
            yield lambda: issue_list(book, SIGNED, LIST)
        assert bare.contents(copy) == wanted

    times = by_turns(plain, ours, ROUNDS)
    lines = sum(len(rows.movements) for rows in entries) / len(entries)
    what = f"issue of {CASES} cases ({lines:.0f} lines each), a commit a list"
    pairs.append(Pair(what, *times, "at least 0.25"))
