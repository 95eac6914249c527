"""What posting and questions cost in a book of years."""

import contextlib
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from statistics import median

import bare_growth as bare
import pytest
from big_book import FEW, MANY
from measure import Pair, Peak

from stockbook.domain.days import last_day_of_month
from stockbook.domain.entries import Draft, Movement, Request, Signature
from stockbook.jobs.cost import cost_of_period
from stockbook.jobs.finish import FinishAsked, finish_case
from stockbook.jobs.issue import IssueAsked, issue_case
from stockbook.jobs.period import statement_now
from stockbook.jobs.stock import stock_on_hand
from stockbook.jobs.trace import trace_printed_lot
from stockbook.ledger.opening import Book, open_book
from stockbook.ledger.posting import posting

CASES = 40
ROUNDS = 9
LINES = 12
_LAST = "SELECT MAX(number) FROM entry"

pytestmark = pytest.mark.bench


@dataclass(frozen=True)
class Planned:
    """The cases planned for the day after a book's last, and who records them."""

    cases: tuple[str, ...]
    signed: Signature


def planned(path: Path) -> Planned:
    """The first cases of the last day's lists, none of them issued."""
    ((day,),) = bare.asked(path, "SELECT MAX(day) FROM theatre_list")
    rows = bare.asked(
        path,
        "SELECT theatre_case.code FROM theatre_case JOIN theatre_list ON theatre_list.code = list "
        "WHERE day = ? AND theatre_case.code NOT IN (SELECT case_code FROM case_balance) "
        "ORDER BY 1 LIMIT ?",
        (day, CASES),
    )
    return Planned(tuple(code for (code,) in rows), Signature("NU", day, f"{day}T09:00:00Z", day))


def issue_and_finish(book: Book, case: str, signed: Signature) -> None:
    """A case from nothing to used, in two transactions."""
    issue_case(book, signed, case, IssueAsked())
    finish_case(book, signed, case, FinishAsked())


def drafts_of(path: Path, after: int) -> list[Draft]:
    """The entries after a number, ready to be posted into another copy."""
    heads = bare.asked(path, "SELECT * FROM entry WHERE number > ? ORDER BY number", (after,))
    moves = "SELECT * FROM movement WHERE entry = ? ORDER BY line"
    return [
        Draft(
            head[1], Signature(head[6], head[2], head[5], head[2]), Request(*head[11:13]),
            [Movement(*row[2:9], bool(row[9])) for row in bare.asked(path, moves, head[:1])],
            document=head[10],
        )
        for head in heads
    ]  # fmt: skip


def timed(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


@contextlib.contextmanager
def copies(young: Path, old: Path, folder: Path) -> Iterator[list[Book]]:
    """Copies of both books, open and free to be written into by turns."""
    with contextlib.ExitStack() as stack:
        books = []
        for source in (young, old):
            path = folder / source.name
            shutil.copyfile(source, path)
            os.sync()
            books.append(stack.enter_context(contextlib.closing(open_book(path))))
        yield books


def test_posting_a_case_in_an_old_book_beside_a_young_one(
    young: Path, old: Path, tmp_path: Path, pairs: list[Pair | Peak]
) -> None:
    plans = [planned(path) for path in (young, old)]
    jobs: tuple[list[float], list[float]] = ([], [])
    with copies(young, old, tmp_path) as books:
        lasts = [int(bare.asked(book.path, _LAST)[0][0]) for book in books]
        for cases in zip(*(plan.cases for plan in plans), strict=True):
            for times, book, plan, case in zip(jobs, books, plans, cases, strict=True):
                times.append(timed(partial(issue_and_finish, book, case, plan.signed)))
        drafts = [drafts_of(book.path, last) for book, last in zip(books, lasts, strict=True)]
    for found in drafts:
        assert [len(draft.movements) for draft in found] == [LINES] * 2 * CASES, "equal work"
    posts: tuple[list[float], list[float]] = ([], [])
    with copies(young, old, tmp_path) as books, contextlib.ExitStack() as stack:
        posting_in = [stack.enter_context(posting(book)) for book in books]
        for pair in zip(*drafts, strict=True):
            for times, post, draft in zip(posts, posting_in, pair, strict=True):
                times.append(timed(partial(post.post, draft)))
    words = f"{MANY:,} movements beside {FEW:,}"
    pairs.append(Pair(f"post() of {LINES} lines: {words}", *posts, "at most 1.5", rate=False))
    what = f"issue and finish, committed: {words}"
    pairs.append(Pair(what, *jobs, "at most 1.5", rate=False))


@dataclass(frozen=True)
class Question:
    """A command, the bare question that fetches the rows it needs, and whether both agree."""

    words: tuple[str, ...]
    sql: str
    values: tuple[object, ...]
    agree: Callable[[Book, list[tuple]], bool]


def stock(_: Path) -> Question:
    return Question(
        ("stock",),
        bare.STOCK,
        (),
        lambda book, rows: len(stock_on_hand(book, "").rows) == len(rows),
    )


def last_month(path: Path) -> tuple[str, tuple[str, str]]:
    """The last month before that of the last entry, with its days; of a young book its own."""
    ((month,),) = bare.asked(path, "SELECT substr(MAX(happened_on), 1, 7) FROM entry")
    ((before,),) = bare.asked(
        path, "SELECT substr(MAX(booked_on), 1, 7) FROM entry WHERE booked_on < ?", (month,)
    )
    month = before or month
    return month, (f"{month}-01", last_day_of_month(int(month[:4]), int(month[5:])))


def cost(path: Path) -> Question:
    """The last whole month; all that ended in it is in the bare rows too."""
    month, days = last_month(path)

    def agree(book: Book, rows: list[tuple]) -> bool:
        ended = sum(value for _, to, _, _, value in rows if to.startswith(("used/", "waste/")))
        return sum(c.total for c in cost_of_period(book, *days).categories) == ended > 0

    return Question(("cost", "--month", month), bare.COST, days, agree)


def statement(path: Path) -> Question:
    """The last whole month: what was booked in it and since, by class and places."""
    month, days = last_month(path)

    def agree(book: Book, rows: list[tuple]) -> bool:
        found = statement_now(book, *days)
        return found.ties and sum(count for *_, count, _ in rows) > 0

    return Question(("period", "show", "--open", month), bare.PERIOD, days[:1], agree)


def traced(of_item: str) -> Callable[[Path], Question]:
    """The last but one lot of an item: what it met from its delivery on."""

    def question(path: Path) -> Question:
        lots = bare.asked(
            path, "SELECT code, number, item FROM lot WHERE item GLOB ? ORDER BY code DESC LIMIT 2",
            (of_item,),
        )  # fmt: skip
        lot, number, item = lots[-1]
        ((first,),) = bare.asked(path, "SELECT MIN(entry) FROM movement WHERE lot = ?", (lot,))

        def agree(book: Book, rows: list[tuple]) -> bool:
            ((_, trace),) = trace_printed_lot(book, number)
            codes = {lot.code for lot in trace.lots}
            return len(trace.moves) == sum(row[2] in codes for row in rows) > 0

        return Question(("trace", number), bare.TRACE, (item, first), agree)

    return question


@pytest.mark.parametrize(
    ("question", "words"),
    [
        (stock, "stock"),
        (traced("LENC*"), "trace LOT (a lens)"),
        (traced("ITEM010"), "trace LOT (of one kit)"),
        (traced("ITEM000"), "trace LOT (of every kit)"),
        (cost, "cost of a month"),
        (statement, "period show --open of a month"),
    ],
)
def test_a_question_to_an_old_book_beside_bare_sql(
    first_day: Path,
    old: Path,
    pairs: list[Pair | Peak],
    question: Callable[[Path], Question],
    words: str,
) -> None:
    ours, start = question(old), question(first_day)
    with contextlib.closing(open_book(old)) as book:
        rows = bare.asked(old, ours.sql, ours.values)
        assert ours.agree(book, rows), "equal work"
    turns = [
        (
            timed(partial(bare.asked, old, ours.sql, ours.values)),
            process(first_day, start.words),
            process(old, ours.words),
        )
        for _ in range(ROUNDS + 1)
    ][1:]
    plain, starts, wholes = zip(*turns, strict=True)
    beyond = [whole - median(starts) for whole in wholes]
    what = f"{words}, {len(rows):,} rows, beyond a start of {median(starts) * 1000:.0f} ms"
    pairs.append(Pair(what, plain, beyond, "at most 2", rate=False))


def process(path: Path, words: tuple[str, ...]) -> float:
    """The seconds of a whole process of ours."""
    line = [sys.executable, "-m", "stockbook", *words, "--book", str(path)]
    return timed(lambda: subprocess.run(line, check=True, capture_output=True))


def test_the_memory_of_a_years_cost(first_day: Path, old: Path, pairs: list[Pair | Peak]) -> None:
    """A year back from the book's last month: about 20,000 cases."""
    ((last, first),) = bare.asked(
        old, "SELECT MAX(booked_on), date(MAX(booked_on), '-1 year', '+1 day') FROM entry"
    )
    ((cases,),) = bare.asked(
        old, "SELECT COUNT(*) FROM entry WHERE kind = 'finish' AND booked_on >= ?", (first,)
    )
    assert cases >= 20_000 or MANY < 1_000_000
    words = ("cost", "--from", first, "--to", last)
    pairs.append(
        Peak(f"memory of cost, {cases:,} cases", peak(first_day, words), peak(old, words),
             "under 300 MB")
    )  # fmt: skip


def peak(path: Path, words: tuple[str, ...]) -> int:
    """The most memory a process of ours had, in bytes.

    A process of its own starts it: a child's figure begins with what its parent had.
    """
    code = (
        "import resource, subprocess, sys; "
        "subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL); "
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    line = [sys.executable, "-m", "stockbook", *words, "--book", str(path)]
    done = subprocess.run(
        [sys.executable, "-c", code, *line], check=True, capture_output=True, text=True
    )
    return int(done.stdout) * (1 if sys.platform == "darwin" else 1024)
