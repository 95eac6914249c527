"""An older book: asked through a migrated copy, brought up once at the first posting."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from desk import Desk

from ledger.books import TRUTH, content, draft, lot, opened, post_all
from stockbook.domain.entries import Movement
from stockbook.errors import BookDamaged, BookUnusable, Refused
from stockbook.ledger import schema
from stockbook.ledger.migrations import Migration
from stockbook.ledger.opening import Book, open_book, version_of

WORDS = "CREATE TABLE nickname (code TEXT PRIMARY KEY, text TEXT NOT NULL) STRICT"


def add_nicknames(db: sqlite3.Connection) -> None:
    """The change of version 2: one more derived table, filled from what is there."""
    db.execute(WORDS)
    db.execute("INSERT INTO nickname SELECT code, lower(code) FROM item")


def steps(
    desk: Desk, apply: Callable[[sqlite3.Connection], None] = add_nicknames
) -> tuple[Migration, ...]:
    """One migration to the next version, its digest taken from a copy that went well."""
    with closing(sqlite3.connect(":memory:")) as memory:
        with closing(sqlite3.connect(desk.path)) as db:
            db.backup(memory)
        add_nicknames(memory)
        digest = schema.digest_of_schema(memory)
    return (Migration(schema.VERSION + 1, digest, apply),)


def move_one(book: Book, desk: Desk, key: str = "k/1", *, keep: bool = True) -> None:
    move = Movement(lot(desk, "V2"), 1, 10000, "STORE", "OT1")
    post_all(book, draft(key, (move,)), keep=keep)


def copies(desk: Desk) -> list[Path]:
    return sorted(desk.folder.glob("book.stockbook.version-*"))


def truth(path: Path) -> dict[str, list[tuple]]:
    found = content(path)
    return {table: found[table] for table in TRUTH}


def test_questions_to_an_older_book_are_answered_from_a_copy_and_leave_the_file(
    desk: Desk,
) -> None:
    before = desk.path.read_bytes()
    with opened(desk.path, migrations=steps(desk)) as book, book.reading() as db:
        assert version_of(db) == schema.VERSION + 1
        assert db.execute("SELECT text FROM nickname WHERE code = 'VISC'").fetchone() == ("visc",)
    assert desk.path.read_bytes() == before
    assert copies(desk) == []


def test_an_older_read_only_book_answers_questions_too(desk: Desk) -> None:
    migrations = steps(desk)
    desk.path.chmod(0o444)
    with opened(desk.path, migrations=migrations) as book:
        with book.reading() as db:
            assert version_of(db) == schema.VERSION + 1
        with pytest.raises(BookUnusable, match="can only be read"):
            move_one(book, desk)
    desk.path.chmod(0o644)
    assert copies(desk) == []


def test_the_first_posting_copies_an_older_book_beside_itself_and_migrates_it(
    desk: Desk,
) -> None:
    before, tables = content(desk.path), truth(desk.path)
    with opened(desk.path, migrations=steps(desk)) as book:
        move_one(book, desk)
        assert version_of(book.file) == schema.VERSION + 1
    (copy,) = copies(desk)
    assert copy.name == f"book.stockbook.version-{schema.VERSION}"
    assert content(copy) == before
    after = truth(desk.path)
    assert [row for row in after["entry"] if row in tables["entry"]] == tables["entry"]
    assert len(after["entry"]) == len(tables["entry"]) + 1
    assert desk.rows("SELECT COUNT(*) FROM nickname") == [(12,)]


def test_the_copy_of_an_older_book_is_a_book_of_its_version(desk: Desk) -> None:
    with opened(desk.path, migrations=steps(desk)) as book:
        move_one(book, desk)
    (copy,) = copies(desk)
    older = Desk(desk.folder, name=copy.name)
    assert "sound" in older.ok("book verify")


def test_only_the_first_posting_migrates(desk: Desk) -> None:
    migrations = steps(desk)
    for n in range(3):
        with opened(desk.path, migrations=migrations) as book:
            move_one(book, desk, f"k/{n}")
    assert len(copies(desk)) == 1
    assert desk.last()[0] == 12


def test_an_older_copy_that_is_there_already_is_kept(desk: Desk) -> None:
    name = f"book.stockbook.version-{schema.VERSION}"
    desk.file(name, "something of yours")
    with opened(desk.path, migrations=steps(desk)) as book:
        move_one(book, desk)
    assert (desk.folder / name).read_text(encoding="utf-8") == "something of yours"
    assert [path.name for path in copies(desk)] == [name, f"{name}.2"]


def test_two_programs_with_an_older_book_open_migrate_it_once(desk: Desk) -> None:
    migrations = steps(desk)
    with (
        opened(desk.path, migrations=migrations) as one,
        opened(desk.path, migrations=migrations) as two,
    ):
        move_one(one, desk, "k/1")
        move_one(two, desk, "k/2")
    assert len(copies(desk)) == 1
    assert desk.last()[0] == 11


def test_a_dry_run_leaves_an_older_book_as_it_was(desk: Desk) -> None:
    """Nothing is recorded, so it is not the first posting."""
    before = desk.path.read_bytes()
    with opened(desk.path, migrations=steps(desk)) as book:
        move_one(book, desk, keep=False)
    assert desk.path.read_bytes() == before
    assert copies(desk) == []


def halfway(db: sqlite3.Connection) -> None:
    add_nicknames(db)
    db.execute("DROP TABLE on_hand")
    raise sqlite3.OperationalError("the migration of this test stops here")


class Later:
    """A migration that works in memory and fails in the file."""

    def __init__(self, fault: Callable[[sqlite3.Connection], None]) -> None:
        self.fault, self.calls = fault, 0

    def __call__(self, db: sqlite3.Connection) -> None:
        self.calls += 1
        (add_nicknames if self.calls == 1 else self.fault)(db)


def other_tables(db: sqlite3.Connection) -> None:
    add_nicknames(db)
    db.execute("CREATE TABLE surprise (x)")


@pytest.mark.parametrize("fault", [halfway, other_tables])
def test_a_migration_that_fails_leaves_the_book_as_it_was(
    desk: Desk, fault: Callable[[sqlite3.Connection], None]
) -> None:
    before = content(desk.path)
    migration = Later(fault)
    migrations = steps(desk, migration)
    with (
        opened(desk.path, migrations=migrations) as book,
        pytest.raises((BookDamaged, BookUnusable)),
    ):
        move_one(book, desk)
    assert migration.calls == 2
    assert content(desk.path) == before
    desk.ok("book verify")


@pytest.mark.parametrize("fault", [halfway, other_tables])
def test_an_older_book_that_cannot_be_migrated_in_memory_is_not_opened(
    desk: Desk, fault: Callable[[sqlite3.Connection], None]
) -> None:
    before = desk.path.read_bytes()
    migrations = steps(desk, fault)
    with pytest.raises((BookDamaged, BookUnusable)):
        open_book(desk.path, migrations=migrations)
    assert desk.path.read_bytes() == before


def test_a_posting_refused_by_a_rule_adds_no_entry_to_the_migrated_book(desk: Desk) -> None:
    tables = truth(desk.path)
    too_many = Movement(lot(desk, "V2"), 99, 10000, "STORE", "OT1")
    with opened(desk.path, migrations=steps(desk)) as book, pytest.raises(Refused):
        post_all(book, draft("k/1", (too_many,)))
    assert truth(desk.path) == tables
