"""A full disk (`PRAGMA max_page_count`): one message, exit 4, nothing written, and it goes on."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest
from desk import Desk

from ledger.books import content, draft, opened, post_all
from stockbook.domain.facts import Setting
from stockbook.errors import BookUnusable
from stockbook.ledger.opening import Book

LONG = "x" * 200_000


@pytest.fixture
def full(desk: Desk) -> Iterator[Book]:
    """A book on a disk that gives it not one page more."""
    with opened(desk.path) as book:
        (pages,) = book.file.execute("PRAGMA page_count").fetchone()
        assert book.file.execute(f"PRAGMA max_page_count = {pages}").fetchone() == (pages,)
        yield book


def post_long(book: Book, key: str = "k/1") -> None:
    post_all(book, draft(key, facts=(Setting("note", LONG),), kind="facts"))


def test_a_full_disk_is_a_book_unusable_and_nothing_is_written(desk: Desk, full: Book) -> None:
    before, tables = desk.path.read_bytes(), content(desk.path)
    with pytest.raises(BookUnusable, match=r"no space is left\. Nothing was recorded") as caught:
        post_long(full)
    assert caught.value.exit_code == 4
    assert desk.path.read_bytes() == before
    assert content(desk.path) == tables


def test_a_full_disk_in_the_second_entry_takes_back_the_first(desk: Desk, full: Book) -> None:
    tables = content(desk.path)
    short = draft("k/1", facts=(Setting("a", "b"),), kind="facts")
    with pytest.raises(BookUnusable):
        post_all(full, short, draft("k/2", facts=(Setting("note", LONG),), kind="facts"))
    assert content(desk.path) == tables


def test_a_book_goes_on_when_there_is_space_again(desk: Desk, full: Book) -> None:
    with pytest.raises(BookUnusable):
        post_long(full)
    full.file.execute("PRAGMA max_page_count = 1073741823")
    post_long(full)
    assert desk.last()[0] == 10
    desk.ok("book verify")


def test_questions_are_answered_while_the_disk_is_full(full: Book) -> None:
    with full.reading() as db:
        assert db.execute("SELECT COUNT(*) FROM entry").fetchone() == (9,)


def test_a_command_on_a_full_disk_ends_in_exit_4(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same through the command line: each connection of the command gets no more pages."""
    real = sqlite3.connect
    with closing(real(desk.path)) as db:
        (pages,) = db.execute("PRAGMA page_count").fetchone()

    def connect(*given: object, **named: object) -> sqlite3.Connection:
        made = real(*given, **named)
        made.execute(f"PRAGMA max_page_count = {pages}")
        return made

    items = "".join(f"I{n},Item {n},blades,each,0,,,no,0,no\n" for n in range(2000))
    header = "item,name,class,unit,unit_places,lens_model,power,serial,least_days_left,controlled\n"
    desk.file("many.csv", header + items)
    with monkeypatch.context() as patch:
        patch.setattr(sqlite3, "connect", connect)
        said = desk.refused("import items many.csv --by MA", 4)
    assert "no space is left" in said
    desk.ok("import items many.csv --by MA")
