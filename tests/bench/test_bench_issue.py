"""The whole issue job on the demonstration's book beside a bare loop that writes the same rows."""

import contextlib
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import bare
import pytest
from measure import Pair, by_turns

from stockbook.domain.entries import Signature
from stockbook.errors import NotEnough
from stockbook.jobs.issue import IssueAsked, issue_case, issue_list
from stockbook.ledger.opening import Book, open_book

ROUNDS = 11
NURSE = "NA"


@dataclass(frozen=True)
class Waiting:
    """A list whose cases can all be issued, and the day on which they are."""

    code: str
    cases: tuple[str, ...]
    signed: Signature


def one_by_one(book: Book, waiting: list[Waiting]) -> None:
    """Every case by itself: a transaction a case."""
    for one in waiting:
        for case in one.cases:
            issue_case(book, one.signed, case, IssueAsked())


def whole_lists(book: Book, waiting: list[Waiting]) -> None:
    """Every list at once: a transaction a list."""
    for one in waiting:
        issue_list(book, one.signed, one.code)


def find_waiting(path: Path) -> list[Waiting]:
    """Lists after the demonstration's today, each only if it can be issued after those before."""
    with contextlib.closing(sqlite3.connect(path)) as db:
        (today,) = db.execute("SELECT value FROM setting WHERE code = 'today'").fetchone()
        rows = db.execute(
            "SELECT theatre_list.code, group_concat(theatre_case.code), day FROM theatre_list "
            "JOIN (SELECT * FROM theatre_case ORDER BY position) AS theatre_case ON list = "
            "theatre_list.code WHERE day > ? AND kind = 'patient' GROUP BY 1 ORDER BY day, 1",
            (today,),
        ).fetchall()
    found = []
    with contextlib.closing(open_book(path)) as book:
        for code, cases, day in rows:
            signed = Signature(NURSE, day, f"{day}T02:30:00Z", day)
            with contextlib.suppress(NotEnough):
                issue_list(book, signed, code)
                found.append(Waiting(code, tuple(cases.split(",")), signed))
    return found


@pytest.mark.bench
@pytest.mark.parametrize(
    ("issue", "words"), [(one_by_one, "a commit a case"), (whole_lists, "a commit a list")]
)
def test_the_issue_job_beside_a_bare_loop(
    demonstration: Path, tmp_path: Path, pairs: list[Pair],
    issue: Callable[[Book, list[Waiting]], None], words: str,
) -> None:  # fmt: skip
    tried, done = tmp_path / "tried.stockbook", tmp_path / "done.stockbook"
    shutil.copyfile(demonstration, tried)
    waiting = find_waiting(tried)
    shutil.copyfile(demonstration, done)
    with contextlib.closing(open_book(done)) as book:
        issue(book, waiting)
    wanted = bare.contents(done)
    entries = bare.rows_added(demonstration, done)
    cases = [len(one.cases) for one in waiting]
    assert len(entries) == sum(cases) > 0
    parts = _parts(entries, [1] * sum(cases) if issue is one_by_one else cases)

    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        copy = tmp_path / "bare.sqlite"
        with bare.opened(demonstration, copy) as db:
            yield lambda: [bare.write(db, part) for part in parts]
        assert bare.contents(copy) == wanted

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        copy = tmp_path / "ours.stockbook"
        shutil.copyfile(demonstration, copy)
        with contextlib.closing(open_book(copy)) as book:
            yield lambda: issue(book, waiting)
        assert bare.contents(copy) == wanted

    times = by_turns(plain, ours, ROUNDS)
    lines = sum(len(rows.movements) for rows in entries) / len(entries)
    what = f"issue of {len(entries)} cases ({lines:.0f} lines each), {words}"
    pairs.append(Pair(what, *times, "at least 0.25"))


def _parts(entries: list[bare.EntryRows], sizes: list[int]) -> list[list[bare.EntryRows]]:
    """The entries cut into transactions of these sizes."""
    parts, first = [], 0
    for size in sizes:
        parts.append(entries[first : first + size])
        first += size
    return parts
