"""One scan of a sitting, scan in and line out, beside a bare loop that writes the same rows."""

import contextlib
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

import bare
import pytest
from measure import Pair, by_turns
from test_bench_issue import find_waiting

from stockbook.domain.entries import Signature
from stockbook.jobs.issue import issue_list
from stockbook.jobs.theatre import sit_down, take_scan
from stockbook.ledger.opening import open_book

ROUNDS = 11
KEPT = (
    "INSERT INTO sitting VALUES (?, ?, ?, ?, ?) ON CONFLICT (code) DO UPDATE SET "
    "kind = excluded.kind, by = excluded.by, changed_at = excluded.changed_at, body = excluded.body"
)


@pytest.fixture(scope="module")
def list_issued(
    demonstration: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, str, Signature, list[str]]:
    """A book with one list issued and somebody sitting at it; the list, who, and its cases."""
    path = tmp_path_factory.mktemp("theatre") / "book.stockbook"
    shutil.copyfile(demonstration, path)
    waiting = find_waiting(path)[0]
    shutil.copyfile(demonstration, path)
    with contextlib.closing(open_book(path)) as book:
        issue_list(book, waiting.signed, waiting.code)
        sit_down(book, waiting.signed, waiting.code)
    return path, waiting.code, waiting.signed, list(waiting.cases)


def packs_of(path: Path, cases: list[str]) -> list[str]:
    """A strip and the blades and fluids of the kit, typed with their lots, case by case."""
    scans = []
    with contextlib.closing(sqlite3.connect(path)) as db:
        for case in cases:
            scans.append(f"CASE/{case}")
            rows = db.execute(
                "SELECT item, number FROM case_balance JOIN lot ON lot.code = lot "
                "JOIN item ON item.code = lot.item WHERE case_code = ? AND place LIKE 'trolley/%' "
                "AND item.item_class IN ('blades', 'viscoelastic', 'needles') ORDER BY item",
                (case,),
            ).fetchall()
            scans += [f"{item} {number}" for item, number in rows]
    return scans


def strips_and_nexts(path: Path, cases: list[str]) -> list[str]:
    """Every case finished, nothing scanned of it but its strip."""
    return [scan for case in cases for scan in (f"CASE/{case}", "ACT/NEXT")]


def sat_through(
    path: Path, code: str, signed: Signature, scans: list[str]
) -> list[tuple[tuple, int]]:
    """After each scan the sitting's row and the last entry's number."""
    rows = []
    with contextlib.closing(open_book(path)) as book:
        for scan in scans:
            take_scan(book, signed, code, scan)
            rows.append(
                (
                    book.db.execute("SELECT * FROM sitting WHERE code = ?", (code,)).fetchone(),
                    book.db.execute("SELECT MAX(number) FROM entry").fetchone()[0],
                )
            )
    return rows


def write_scan(db: sqlite3.Connection, row: tuple, entries: list[bare.EntryRows]) -> None:
    """One transaction: the rows of what the scan recorded, and the sitting as it is then."""
    db.execute("BEGIN IMMEDIATE")
    bare.write_rows(db, entries)
    db.execute(KEPT, row)
    db.execute("COMMIT")


@pytest.mark.bench
@pytest.mark.parametrize(
    ("scans_of", "words"),
    [
        (strips_and_nexts, "strip and NEXT of a case (a finish posted)"),
        (packs_of, "strip and packs of a case (kept, not posted)"),
    ],
)
def test_a_scan_beside_a_bare_loop(
    list_issued: tuple[Path, str, Signature, list[str]], tmp_path: Path, pairs: list[Pair],
    scans_of: Callable[[Path, list[str]], list[str]], words: str,
) -> None:  # fmt: skip
    before, code, signed, cases = list_issued
    scans = scans_of(before, cases)
    done = tmp_path / "done.stockbook"
    shutil.copyfile(before, done)
    after_each = sat_through(done, code, signed, scans)
    wanted = bare.contents(done)
    entries = {rows.head[0]: rows for rows in bare.rows_added(before, done)}
    last = min(entries, default=after_each[0][1] + 1) - 1
    parts = []
    for row, number in after_each:
        parts.append((row, [entries[n] for n in range(last + 1, number + 1)]))
        last = number

    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        copy = tmp_path / "bare.sqlite"
        with bare.opened(before, copy) as db:
            yield lambda: [write_scan(db, row, some) for row, some in parts]
        assert bare.contents(copy) == wanted

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        copy = tmp_path / "ours.stockbook"
        shutil.copyfile(before, copy)
        with contextlib.closing(open_book(copy)) as book:
            yield lambda: [take_scan(book, signed, code, scan) for scan in scans]
        assert bare.contents(copy) == wanted

    times = by_turns(plain, ours, ROUNDS)
    what = f"{len(scans)} scans in theatre: {words}"
    pairs.append(Pair(what, *times, "at most 2", rate=False))
