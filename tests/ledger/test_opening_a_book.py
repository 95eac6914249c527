"""Opening: what is not a book is said to be none (exit 4), and stays as it is."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from desk import Desk

from ledger.books import draft, opened, post_all, tampering
from stockbook.errors import BookDamaged, BookUnusable
from stockbook.ledger import opening

MOVE = "move VISC 1 --from STORE --to OT1 --by KE"
ASK = "stock"


def with_bytes(path: Path, given: bytes) -> None:
    path.unlink()
    path.write_bytes(given)


def foreign(path: Path, *statements: str) -> None:
    """Another program's database under the book's name."""
    path.unlink()
    with closing(sqlite3.connect(path)) as db:
        for sql in (*statements, "CREATE TABLE songs (title TEXT)"):
            db.execute(sql)
        db.commit()


@pytest.mark.parametrize("line", [ASK, MOVE, "book verify"])
def test_a_missing_book_is_said_to_be_missing_and_is_not_made(desk: Desk, line: str) -> None:
    desk.path.unlink()
    assert "there is no book here" in desk.refused(line, 4)
    assert not desk.path.exists()


@pytest.mark.parametrize("line", [ASK, MOVE, "book verify"])
def test_a_folder_is_not_a_book(desk: Desk, line: str) -> None:
    desk.path.unlink()
    desk.path.mkdir()
    assert "not a file" in desk.refused(line, 4)
    assert list(desk.path.iterdir()) == []


@pytest.mark.parametrize("line", [ASK, MOVE, "book verify"])
@pytest.mark.parametrize(
    ("given", "words"),
    [
        (b"", "empty"),
        (b"shopping list\n", "not a book"),
        (b"SQLite format 3", "not a book"),
        (b"\x00" * 4096, "not a book"),
        (b"PK\x03\x04" + b"x" * 2000, "not a book"),
    ],
)
def test_a_file_that_is_no_database_is_not_a_book(
    desk: Desk, line: str, given: bytes, words: str
) -> None:
    with_bytes(desk.path, given)
    assert words in desk.refused(line, 4)


def test_a_file_with_a_databases_first_words_and_nothing_behind_is_refused(desk: Desk) -> None:
    with_bytes(desk.path, b"SQLite format 3\0" + b"\xff" * 5000)
    before = desk.path.read_bytes()
    for line in (ASK, MOVE):
        assert desk.run(line).code in (4, 5)
    assert desk.path.read_bytes() == before


@pytest.mark.parametrize("line", [ASK, MOVE, "book verify"])
def test_another_programs_database_is_not_a_book(desk: Desk, line: str) -> None:
    foreign(desk.path)
    assert "another program" in desk.refused(line, 4)


def test_another_programs_database_keeps_its_journal_mode(desk: Desk) -> None:
    """A file in WAL mode says so in its header; looking at it must not change that."""
    foreign(desk.path, "PRAGMA journal_mode = WAL")
    before = desk.path.read_bytes()
    assert before[18:20] == b"\x02\x02"
    assert "Nothing was changed in it" in desk.refused(ASK, 4)
    assert desk.path.read_bytes() == before


@pytest.mark.parametrize("line", [ASK, MOVE, "book verify"])
def test_a_book_of_a_newer_version_is_left_to_the_newer_program(desk: Desk, line: str) -> None:
    with closing(sqlite3.connect(desk.path)) as db:
        db.execute("PRAGMA user_version = 99")
    said = desk.refused(line, 4)
    assert "book version 99" in said
    assert "newer" in said


@pytest.fixture
def read_only(desk: Desk) -> Iterator[Desk]:
    """A book that nobody may write: no write bit for anyone."""
    desk.path.chmod(0o444)
    yield desk
    desk.path.chmod(0o644)


@pytest.mark.parametrize("line", ["stock", "entries", "expiring", "trace V2", "cost",
                                  "quarantine show", "book verify"])  # fmt: skip
def test_a_read_only_book_answers_every_question(read_only: Desk, line: str) -> None:
    before = read_only.path.read_bytes()
    assert read_only.ok(line)
    assert read_only.path.read_bytes() == before


@pytest.mark.parametrize("line", [MOVE, "issue C1 --by NU", f"{MOVE} -n"])
def test_a_read_only_book_takes_no_posting(read_only: Desk, line: str) -> None:
    assert "can only be read" in read_only.refused(line, 4)


@contextmanager
def held(path: Path, how: str) -> Iterator[sqlite3.Connection]:
    """Another program holds the book."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute(f"BEGIN {how}")
        yield other
        other.execute("ROLLBACK")


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Waiting is short here: it says so at once and gives up soon."""
    monkeypatch.setattr(opening, "BUSY_SECONDS", 0.4)
    monkeypatch.setattr(opening, "TELL_AFTER_SECONDS", 0.0)


@pytest.mark.parametrize("how", ["IMMEDIATE", "EXCLUSIVE"])
def test_a_posting_into_a_book_that_is_held_waits_and_then_gives_up(
    desk: Desk, impatient: None, how: str
) -> None:
    with held(desk.path, how):
        before = desk.path.read_bytes()
        answer = desk.run(MOVE)
        assert desk.path.read_bytes() == before
    assert answer.code == 4
    assert "another posting has held the book" in answer.err
    desk.ok(MOVE)


def test_waiting_is_said_once_after_a_while(desk: Desk, impatient: None) -> None:
    with held(desk.path, "IMMEDIATE"):
        said = desk.refused(MOVE, 4)
    assert said.count("Another posting is in progress; waiting.") == 1


def test_waiting_ends_when_the_other_posting_ends(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other one lets go as soon as this one says that it waits."""
    monkeypatch.setattr(opening, "TELL_AFTER_SECONDS", 0.0)
    let_go, holding = threading.Event(), threading.Event()

    def other() -> None:
        with held(desk.path, "IMMEDIATE"):
            holding.set()
            let_go.wait(20)

    thread = threading.Thread(target=other)
    thread.start()
    holding.wait(20)
    said: list[str] = []
    with opened(desk.path, say=lambda words: (said.append(words), let_go.set())) as book:
        post_all(book, draft("k/1", kind="facts"))
    thread.join(20)
    assert said == ["Another posting is in progress; waiting."]


def test_questions_are_answered_while_another_posting_is_prepared(desk: Desk) -> None:
    with held(desk.path, "IMMEDIATE"):
        assert "VISC" in desk.ok(ASK)


def test_a_question_to_a_book_that_is_held_for_itself_gives_up(desk: Desk, impatient: None) -> None:
    with held(desk.path, "EXCLUSIVE"):
        answer = desk.run(ASK)
    assert answer.code == 4
    assert "Try again" in answer.err


@pytest.mark.parametrize(
    "sql",
    [
        "DROP TRIGGER on_hand_from",
        "DROP INDEX movement_lot",
        "DROP VIEW movement_side",
        "DROP TABLE person",
        "ALTER TABLE item ADD COLUMN colour TEXT",
        "CREATE TABLE notes (text TEXT)",
        "CREATE TRIGGER mine AFTER INSERT ON entry BEGIN SELECT 1; END",
    ],
)
def test_a_book_whose_tables_another_program_changed_is_damaged(desk: Desk, sql: str) -> None:
    with closing(sqlite3.connect(desk.path)) as db:
        db.execute(sql)
    for line in (ASK, MOVE):
        assert "changed by another program" in desk.refused(line, 5)
    assert "as this version made it" in desk.run("book verify").out
    assert desk.run("book verify").code == 5


def test_a_trigger_dropped_and_put_back_as_it_was_is_no_damage(desk: Desk) -> None:
    with tampering(desk.path):
        pass
    desk.ok(MOVE)


def test_errors_of_opening_are_of_their_classes(desk: Desk, tmp_path: Path) -> None:
    with pytest.raises(BookUnusable) as caught:
        opening.open_book(tmp_path / "none")
    assert caught.value.exit_code == 4
    with closing(sqlite3.connect(desk.path)) as db:
        db.execute("DROP TRIGGER entry_in_order")
    with pytest.raises(BookDamaged) as damaged:
        opening.open_book(desk.path)
    assert damaged.value.exit_code == 5
