"""Rule 10: make the Nth statement of every posting job fail, for every N; all or nothing is left.

The method is SQLite's own ("How SQLite Is Tested", sqlite.org/testing.html, anomaly testing);
the statements counted are those Stockbook gives, COMMIT included.
"""

import sqlite3
from dataclasses import dataclass
from pathlib import Path

import pytest
from desk import Desk

from ledger.books import content, counting

NEW_BOOK = "book new --site S --currency INR --time-zone Asia/Kolkata --by MA"
MORE_SUPPLIERS = "supplier,name\nNEWCO,New Company\nOTHER,Other Company\n"
EXCEPTIONS = "case,what,item,quantity,reason\nC1,wasted,VISC,1,dropped\nC2,returned,KNIFE,1,\n"
JOBS = {
    "issue": ("issue C2 --with dye --by NU",),
    "reverse": ("reverse 10 --reason wrong-case --by NU", "issue C1 --by NU"),
    "receive": (
        "receive ACME --note N1 --line VISC 10 A1 2029-01 2.00 --line DYE 1 B1 2029-01 1.00 "
        "--freight 3.00 --by KE",
    ),
    "issue a list": ("issue --list L1 --partial --by NU",),
    "finish": ("finish C1 --as-kit --wasted VISC 1 dropped --by NU", "issue C1 --by NU"),
    "finish unissued": ("finish C1 --as-kit --by NU",),
    "finish a list": ("finish --list L1 --exceptions exceptions.csv --as-kit --by NU",),
    "move": ("move VISC 12 --from STORE --to OT1 --by KE",),
    "discard": ("discard VISC 2 --from STORE --reason damaged --by KE",),
    "stop": ("quarantine start --item VISC --lot V3 --reason cluster --by MA",),
    "release": (
        "quarantine release Q1 --by MA --checked-by MB --comment fine",
        "quarantine start --item VISC --lot V3 --reason cluster --by MA",
    ),
    "import": ("import suppliers more.csv --by MA",),
    "new book": (NEW_BOOK,),
}
EVERY_STATEMENT = ("issue", "reverse")


@dataclass
class Sweep:
    """One job on a book that is put back before every try."""

    desk: Desk
    job: str
    whole: bytes | None
    posted: dict[str, list[tuple]]
    statements: int

    @property
    def line(self) -> str:
        return JOBS[self.job][0]

    def back(self) -> None:
        """The folder is as it was before the job."""
        for path in self.desk.folder.glob("book.stockbook*"):
            path.unlink()
        if self.whole is not None:
            self.desk.path.write_bytes(self.whole)

    def outcome(self, code: int, number: int, sql: str) -> str:
        """`nothing` or `all`; anything else fails the test."""
        where = f"{self.job}, statement {number} of {self.statements}: {sql[:80]} (exit {code})"
        if self.whole is None and not self.desk.path.exists():
            assert code, where
            return "nothing"
        if self.whole is not None and self.desk.path.read_bytes() == self.whole:
            assert code, where
            return "nothing"
        assert without_id(content(self.desk.path)) == without_id(self.posted), where
        return "all"


def without_id(tables: dict[str, list[tuple]]) -> dict[str, list[tuple]]:
    """A new book's random id is in its checksums; everything else has to be the same."""
    if len(tables.get("entry", ())) > 1:
        return tables
    return {name: rows for name, rows in tables.items() if name not in ("book", "entry")}


def sweep_for(desk: Desk, job: str, monkeypatch: pytest.MonkeyPatch) -> Sweep:
    """The job done once without a failure, its statements counted."""
    desk.file("more.csv", MORE_SUPPLIERS)
    desk.file("exceptions.csv", EXCEPTIONS)
    for line in JOBS[job][1:]:
        desk.ok(line)
    if job == "new book":
        desk.path.unlink()
    whole = desk.path.read_bytes() if desk.path.exists() else None
    with monkeypatch.context() as patch:
        seen = counting(patch, lambda *_: None)
        desk.ok(JOBS[job][0])
        statements = len(seen)
    assert "COMMIT" in seen
    return Sweep(desk, job, whole, content(desk.path), statements)


def failing_at(number: int) -> object:
    """A disk that fails once, at the statement of this number."""

    def fail(count: int, _: str) -> None:
        if count == number:
            error = sqlite3.OperationalError("disk I/O error (of this test)")
            error.sqlite_errorcode = sqlite3.SQLITE_IOERR
            raise error

    return fail


def swept(sweep: Sweep, numbers: range, monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Every outcome of the job with the Nth statement failing, for these N."""
    found = set()
    for number in numbers:
        sweep.back()
        code, sql = tried(sweep, number, monkeypatch)
        found.add(sweep.outcome(code, number, sql))
    return found


def tried(sweep: Sweep, number: int, monkeypatch: pytest.MonkeyPatch) -> tuple[int, str]:
    """The exit code with the Nth statement failing (1: nobody caught the error), and that one."""
    with monkeypatch.context() as patch:
        seen = counting(patch, failing_at(number))
        try:
            code = sweep.desk.run(sweep.line).code
        except sqlite3.OperationalError:
            code = 1
    return code, seen[number - 1]


def done_again(sweep: Sweep) -> None:
    """After the last failure the job can be done as if nothing had been."""
    sweep.back()
    sweep.desk.ok(sweep.line)
    assert without_id(content(sweep.desk.path)) == without_id(sweep.posted)
    assert "sound" in sweep.desk.ok("book verify")


@pytest.mark.parametrize("job", JOBS)
def test_rule_10_a_failing_statement_leaves_all_of_a_job_or_nothing(
    desk: Desk, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sweep = sweep_for(desk, job, monkeypatch)
    step = 1 if job in EVERY_STATEMENT else 5
    assert "nothing" in swept(sweep, range(1, sweep.statements + 1, step), monkeypatch)
    done_again(sweep)


@pytest.mark.slow
@pytest.mark.parametrize("job", [job for job in JOBS if job not in EVERY_STATEMENT])
def test_rule_10_every_failing_statement_leaves_all_of_a_job_or_nothing(
    desk: Desk, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sweep = sweep_for(desk, job, monkeypatch)
    assert "nothing" in swept(sweep, range(1, sweep.statements + 1), monkeypatch)
    done_again(sweep)


@pytest.mark.parametrize("job", ["issue", "receive", "import"])
def test_a_disk_that_fails_at_any_statement_is_a_book_unusable_and_no_fault_of_the_program(
    desk: Desk, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sweep = sweep_for(desk, job, monkeypatch)
    wrong = []
    for number in range(1, sweep.statements + 1):
        sweep.back()
        code, sql = tried(sweep, number, monkeypatch)
        if code not in (0, 4):
            wrong.append((number, code, sql[:60]))
    assert wrong == []


def nth_statement(patch: pytest.MonkeyPatch, word: str) -> list[str]:
    """The first statement that begins with a word fails."""
    failed: list[str] = []

    def fail(count: int, sql: str) -> None:
        if sql.startswith(word) and not failed:
            failed.append(sql)
            failing_at(count)(count, sql)

    counting(patch, fail)
    return failed


@pytest.mark.parametrize("word", ["BEGIN IMMEDIATE", "INSERT INTO movement", "INSERT INTO entry",
                                  "COMMIT"])  # fmt: skip
@pytest.mark.parametrize("job", [job for job in JOBS if job != "new book"])
def test_rule_10_nothing_stays_when_the_heart_of_a_posting_fails(
    desk: Desk, job: str, word: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sweep = sweep_for(desk, job, monkeypatch)
    sweep.back()
    with monkeypatch.context() as patch:
        failed = nth_statement(patch, word)
        answer = desk.run(sweep.line)
    if not failed:
        assert word == "INSERT INTO movement", "every job begins, writes its header and commits"
        return
    assert answer.code == 4
    assert "Recorded" not in answer.out
    assert desk.path.read_bytes() == sweep.whole


def test_a_book_that_could_not_be_made_leaves_no_file_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk(tmp_path)
    for word in ("CREATE TABLE movement", "INSERT INTO book", "INSERT INTO change", "COMMIT"):
        with monkeypatch.context() as patch:
            assert nth_statement(patch, word) == []
            assert desk.run(NEW_BOOK).code == 4, word
        assert list(tmp_path.iterdir()) == [], word
    desk.ok(NEW_BOOK)
