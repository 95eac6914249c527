"""Start-up: whole processes beside a bare one that imports click and sqlite3."""

import contextlib
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from measure import Pair, by_turns
from tabulate import tabulate

ROUNDS = 15
PLAIN = ("-c", "import click, sqlite3")
HELP = ("-m", "stockbook", "--help")
STOCK = ("-m", "stockbook", "stock")
MOST = 10


@pytest.fixture
def process(demonstration: Path, tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    """Starts this Python in a folder without a project; the demonstration is the book."""
    environment = os.environ | {"STOCKBOOK_BOOK": str(demonstration)}

    def started(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, *words], cwd=tmp_path, env=environment, check=True,
            capture_output=True, text=True, encoding="utf-8",
        )  # fmt: skip

    return started


def ready(run: Callable[..., object], words: tuple[str, ...]) -> Callable[[], object]:
    @contextlib.contextmanager
    def prepared() -> Iterator[Callable[[], object]]:
        yield lambda: run(*words)

    return prepared


@pytest.mark.bench
def test_starting_for_help_beside_a_bare_process(process: Callable, pairs: list[Pair]) -> None:
    assert "Theatre nurse" in process(*HELP).stdout
    times = by_turns(ready(process, PLAIN), ready(process, HELP), ROUNDS)
    pairs.append(Pair("start: stockbook --help", *times, "at most 2.2", rate=False))


@pytest.mark.bench
def test_starting_for_stock_beside_a_bare_process(
    process: Callable, pairs: list[Pair], demonstration: Path
) -> None:
    with contextlib.closing(sqlite3.connect(demonstration)) as db:
        (lots,) = db.execute("SELECT COUNT(*) FROM on_hand").fetchone()
    lines = process(*STOCK).stdout.splitlines()
    rule = next(n for n, line in enumerate(lines) if line.startswith("---") and "  " in line)
    assert len(lines) - rule - 2 == lots > 0, "a line for each row on hand, then the total"
    times = by_turns(ready(process, PLAIN), ready(process, STOCK), ROUNDS)
    pairs.append(Pair(f"start: stockbook stock ({lots} lots)", *times, "at most 3", rate=False))


@pytest.mark.bench
@pytest.mark.parametrize("words", [HELP, STOCK], ids=["help", "stock"])
def test_the_dearest_imports_of_a_start(
    process: Callable, pages: list[str], words: tuple[str, ...]
) -> None:
    rows = imports_of(process("-X", "importtime", *words).stderr)
    assert {"click", "stockbook.cli.main"} <= {name for name, _, _ in rows}
    for column, title in ((1, "with what they import"), (2, "by themselves")):
        dearest = sorted(rows, key=lambda row: -row[column])[:MOST]
        page = tabulate(
            [(name, f"{whole / 1000:.1f}", f"{own / 1000:.1f}") for name, whole, own in dearest],
            ("import", "whole ms", "own ms"), colalign=("left", "right", "right"),
            disable_numparse=True,
        )  # fmt: skip
        pages.append(f"Dearest imports of `{' '.join(words[1:])}`, {title}\n{page}")


def imports_of(report: str) -> list[tuple[str, int, int]]:
    """Name, microseconds with all it imports, microseconds by itself."""
    found = []
    for line in report.splitlines():
        own, _, rest = line.removeprefix("import time:").partition("|")
        whole, _, name = rest.partition("|")
        if own.strip().isdigit():
            found.append((name.strip(), int(whole), int(own)))
    return found
