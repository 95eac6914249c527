"""Importing a long file beside a bare executemany of the same rows."""

import contextlib
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import bare_growth as bare
import pytest
from desk import Desk, new_desk
from measure import Pair, by_turns

ROUNDS = 3
ROWS = 100_000


@pytest.mark.bench
def test_importing_beside_a_bare_executemany(tmp_path: Path, pairs: list[Pair]) -> None:
    times = imported(tmp_path, ROWS, ROUNDS)
    pairs.append(Pair(f"import of {ROWS:,} items", *times, "at least 0.25"))


def test_both_sides_write_the_same_rows(tmp_path: Path) -> None:
    imported(tmp_path, 50, 1)


def imported(tmp_path: Path, number: int, rounds: int) -> tuple[list[float], list[float]]:
    """So many items taken in by both sides in turn; what they wrote is the same."""
    (tmp_path / "empty").mkdir()
    empty = new_desk(tmp_path / "empty")
    lines = [f"I{n:06d},Item {n},class-{n % 9},each,{n % 4},no,{n % 30},no" for n in range(number)]
    header = "item,name,class,unit,unit_places,serial,least_days_left,controlled"
    file = tmp_path / "items.csv"
    file.write_text("\n".join([header, *lines, ""]))
    written = "SELECT item.*, body FROM item JOIN change ON change.code = item.code ORDER BY 1"

    @contextlib.contextmanager
    def copied() -> Iterator[Desk]:
        desk = Desk(tmp_path, name="copy.stockbook")
        shutil.copyfile(empty.path, desk.path)
        yield desk
        rows = desk.rows(written)
        assert len(rows) == number
        contents.add(hash(tuple(rows)))

    contents: set[int] = set()

    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        with copied() as desk:
            yield lambda: bare.take_in(desk.path, file)

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        with copied() as desk:
            yield lambda: desk.ok(f"import items {file} --by MA")

    times = by_turns(plain, ours, rounds)
    assert len(contents) == 1, "equal work"
    return times
