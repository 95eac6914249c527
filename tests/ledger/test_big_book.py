"""The benches' book is a book: its rows, written in bulk, are what `post()` would have left."""

import contextlib
import sqlite3
import sys
from pathlib import Path

import pytest
from desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

from big_book import FOLDER, big_book
from big_days import Size

from stockbook.ledger.schema import DIGEST, digest_of_schema

SMALL = Size(movements=600, cases_a_day=12, consumables=20, powers=3)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    """A small book, built as the big ones are."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(FOLDER, str(tmp_path_factory.mktemp("books")))
        path = big_book(SMALL)
        assert big_book(SMALL) == path, "built once, then kept"
    return Desk(path.parent, "2023-02-01", path.name)


def test_a_book_written_in_bulk_is_sound(built: Desk) -> None:
    assert "The book is sound" in built.ok("book verify")
    ((moved,),) = built.rows("SELECT COUNT(*) FROM movement")
    assert moved >= SMALL.movements
    with contextlib.closing(sqlite3.connect(built.path)) as db:
        assert digest_of_schema(db) == DIGEST


def test_the_next_case_of_a_book_written_in_bulk_is_issued_and_finished(built: Desk) -> None:
    ((case, day),) = built.rows(
        "SELECT theatre_case.code, day FROM theatre_case JOIN theatre_list "
        "ON theatre_list.code = list ORDER BY theatre_case.code DESC LIMIT 1"
    )
    built.ok(f"issue {case} --by NU", today=day)
    built.ok(f"finish {case} --as-kit --by NU", today=day)
    assert "The book is sound" in built.ok("book verify")
    assert "The proof holds" in built.ok(f"cost --from 2023-01-01 --to {day}", today=day)
