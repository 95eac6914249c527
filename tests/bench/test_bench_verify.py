"""Verifying a book of years beside reading it and hashing the same bytes."""

import contextlib
from collections.abc import Callable, Iterator
from pathlib import Path

import bare_growth as bare
import pytest
from big_book import MANY
from measure import Pair, by_turns

from stockbook.ledger import audit
from stockbook.ledger.opening import open_book

ROUNDS = 3


class Chain(audit._Audit):
    """The audit's chain alone: neither facts nor movements are replayed."""

    def change(self, where: str, row: object) -> None: ...
    def movement(self, where: str, row: object, *, reversal: bool) -> None: ...


@pytest.mark.bench
@pytest.mark.parametrize(
    ("part", "words"), [(Chain, "the chain alone"), (audit._Audit, "chain, facts and movements")]
)
def test_verifying_beside_reading_and_hashing(
    old: Path, pairs: list[Pair], part: type[audit._Audit], words: str
) -> None:
    wanted = bare.hashed(old)

    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        yield lambda: bare.hashed(old)

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        with contextlib.closing(open_book(old)) as book, book.reading() as db:
            one = part(db, lambda *_: None)
            yield one.chain
            assert (one.counts[0], one.previous, one.faults) == (*wanted, [])

    times = by_turns(plain, ours, ROUNDS)
    pairs.append(Pair(f"verify: {words}, {MANY:,} movements", *times, "at most 2", rate=False))
