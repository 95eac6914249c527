"""`post()` of 24 ready movements beside a bare loop that writes the same rows."""

import contextlib
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import bare
import pytest
from desk import TODAY, Desk
from measure import Pair, by_turns

from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import Lot
from stockbook.domain.places import OPENING, trolley_place
from stockbook.ledger.opening import Book, open_book
from stockbook.ledger.posting import posting

LINES = 24
POSTS = 60
ROUNDS = 7
FIRST_LOT = 1001
SIGNED = Signature("NU", TODAY, f"{TODAY}T08:00:00Z", TODAY)


@pytest.fixture
def shelf(desk: Desk) -> Path:
    """A book with 24 deep lots in theatre 1; a lot's unit is worth 25.00 throughout."""
    lots = [
        Lot(FIRST_LOT + n, "VISC", f"B{n}", None, "2029-01-31", "month", TODAY, None, "bought",
            POSTS + 1, "BENCH")
        for n in range(LINES)
    ]  # fmt: skip
    moves = [Movement(lot.code, lot.quantity, 2500 * lot.quantity, OPENING, "OT1") for lot in lots]
    request = Request("bench/shelf", digest_of("shelf"))
    with contextlib.closing(open_book(desk.path)) as book, posting(book) as post:
        post.post(Draft("receive", SIGNED, request, moves, lots))
    return desk.path


def drafts() -> list[Draft]:
    """Issues of one unit of each lot onto the trolley, ready to be posted."""
    return [
        Draft(
            "issue", SIGNED, Request(f"issue/C1/bench/{n}", digest_of(n)),
            [
                Movement(FIRST_LOT + line, 1, 2500, "OT1", trolley_place("OT1"), "C1")
                for line in range(LINES)
            ],
            document="C1",
        )
        for n in range(POSTS)
    ]  # fmt: skip


def post_all(path: Path, *, at_once: int) -> None:
    """All drafts, so many in a transaction."""
    with contextlib.closing(open_book(path)) as book:
        post_in(book, drafts(), at_once)


def post_in(book: Book, ready: list[Draft], at_once: int) -> None:
    for first in range(0, len(ready), at_once):
        with posting(book) as post:
            for draft in ready[first : first + at_once]:
                post.post(draft)


@pytest.mark.bench
@pytest.mark.parametrize(
    ("at_once", "words"), [(1, "one commit a post"), (POSTS, f"{POSTS} posts a commit")]
)
def test_posting_ready_movements_beside_a_bare_loop(
    shelf: Path, tmp_path: Path, pairs: list[Pair], at_once: int, words: str
) -> None:
    done = tmp_path / "done.stockbook"
    shutil.copyfile(shelf, done)
    post_all(done, at_once=POSTS)
    wanted = bare.contents(done)
    entries = bare.rows_added(shelf, done)
    assert len(entries) == POSTS
    assert sum(len(rows.movements) for rows in entries) == POSTS * LINES

    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        copy = tmp_path / "bare.sqlite"
        with bare.opened(shelf, copy) as db:
            yield lambda: [
                bare.write(db, entries[first : first + at_once])
                for first in range(0, POSTS, at_once)
            ]
        assert bare.contents(copy) == wanted

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        copy = tmp_path / "ours.stockbook"
        shutil.copyfile(shelf, copy)
        ready = drafts()
        with contextlib.closing(open_book(copy)) as book:
            yield lambda: post_in(book, ready, at_once)
        assert bare.contents(copy) == wanted

    times = by_turns(plain, ours, ROUNDS)
    pairs.append(Pair(f"post() of {LINES} movements, {words}", *times, "at least 0.40"))
