"""The tables as this version makes them, the settings of a connection, the order of answers."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from desk import Desk

from ledger.books import TRUTH, opened
from stockbook.domain.codec import field_names
from stockbook.ledger import schema
from stockbook.ledger.facts import kinds
from stockbook.ledger.opening import new_book

SETTINGS = {
    "foreign_keys": 1, "recursive_triggers": 1, "trusted_schema": 0, "cell_size_check": 1,
    "journal_mode": "truncate", "synchronous": 2, "busy_timeout": 30000,
}  # fmt: skip


def settings_of(db: sqlite3.Connection) -> dict[str, object]:
    return {name: db.execute(f"PRAGMA {name}").fetchone()[0] for name in SETTINGS}


def test_every_connection_has_the_settings_the_ledger_depends_on(desk: Desk) -> None:
    with opened(desk.path) as book:
        assert settings_of(book.file) == SETTINGS
        assert book.file.isolation_level is None
        with book.writing() as db:
            assert settings_of(db)["foreign_keys"] == 1
        assert settings_of(book.file) == SETTINGS


def test_a_new_book_is_made_with_the_same_settings(desk: Desk) -> None:
    with closing(new_book(desk.folder / "new.stockbook")) as book:
        assert settings_of(book.file) == SETTINGS
        assert book.file.execute("PRAGMA application_id").fetchone() == (schema.APPLICATION_ID,)
        assert book.file.execute("PRAGMA user_version").fetchone() == (schema.VERSION,)


def test_a_book_left_in_another_journal_mode_is_brought_back(desk: Desk) -> None:
    """WAL has a fault with several writers before SQLite 3.51.3 (DESIGN section 4)."""
    with closing(sqlite3.connect(desk.path)) as db:
        db.execute("PRAGMA journal_mode = WAL")
    with opened(desk.path) as book:
        assert settings_of(book.file) == SETTINGS
    desk.ok("book verify")


def test_the_schemas_digest_is_that_of_a_freshly_made_book() -> None:
    with closing(sqlite3.connect(":memory:")) as db:
        schema.create(db, "0" * 32)
        assert schema.digest_of_schema(db) == schema.DIGEST


def test_the_digest_changes_with_any_table_index_trigger_or_view(desk: Desk) -> None:
    with closing(sqlite3.connect(desk.path)) as db:
        parts = db.execute(
            "SELECT type, name FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY 1, 2"
        ).fetchall()
        assert {kind for kind, _ in parts} == {"table", "index", "trigger", "view"}
        for kind, name in parts:
            db.execute("BEGIN")
            db.execute(f"DROP {kind} {name}")
            assert schema.digest_of_schema(db) != schema.DIGEST, name
            db.execute("ROLLBACK")
        assert schema.digest_of_schema(db) == schema.DIGEST


@pytest.mark.parametrize(("cls", "table"), [(cls, table) for _, cls, table in kinds()])
def test_the_columns_of_a_facts_table_are_its_fields(desk: Desk, cls: type, table: str) -> None:
    columns = desk.rows("SELECT name FROM pragma_table_info(?) ORDER BY cid", table)
    assert tuple(name for (name,) in columns) == field_names(cls)


def test_every_table_is_strict(desk: Desk) -> None:
    tables = desk.rows("SELECT name, strict FROM pragma_table_list WHERE schema = 'main' "
                       "AND type = 'table' AND name NOT LIKE 'sqlite_%'")  # fmt: skip
    assert len(tables) > 15
    assert [name for name, strict in tables if not strict] == []


def test_no_column_of_the_ledger_can_hold_a_fraction(desk: Desk) -> None:
    """Rule 1's other half: no REAL anywhere; STRICT keeps it so."""
    kinds_of = desk.rows(
        "SELECT DISTINCT c.type FROM sqlite_schema AS m, pragma_table_info(m.name) AS c "
        "WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%' ORDER BY 1"
    )
    assert kinds_of == [("INTEGER",), ("TEXT",)]


def test_each_table_of_truth_has_a_guard_against_update_delete_and_late_lines(
    desk: Desk,
) -> None:
    guarded = desk.rows("SELECT tbl_name, sql FROM sqlite_schema WHERE type = 'trigger'")
    for table in TRUTH:
        texts = [sql for name, sql in guarded if name == table]
        for words in ("BEFORE UPDATE", "BEFORE DELETE", "BEFORE INSERT"):
            assert any(words in text for text in texts), (table, words)


QUESTIONS = (
    "stock", "stock VISC", "stock --lenses", "stock --place STORE", "trace V2", "trace C1",
    "trace S2", "entries", "entries 11", "expiring", "cost C1", "cost --month 2027-03",
    "quarantine show", "quarantine show --released", "book verify",
)  # fmt: skip
WORK = (
    "receive ACME --note N1 --line VISC 10 NEW 2027-05-31 12.50 --line DYE 2 D9 2028-01 9.99 "
    "--reason needed-now --by KE",
    "issue C1 --by NU",
    "issue C2 --with dye --by NU",
    "finish C1 --as-kit --wasted VISC 1 dropped --returned KNIFE 1 --by NU",
    "finish --list L1 --as-kit --by NU --leave C2",
    "quarantine start --item VISC --reason cluster --by MA",
    "quarantine start --place OT2 --reason temperature --by MA",
    "reverse 13 --reason wrong-case --by NU",
)


def turned(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every SELECT without ORDER BY answers backwards (SQLite's own pragma for finding them)."""
    real = sqlite3.connect

    def connect(*given: object, **named: object) -> sqlite3.Connection:
        made = real(*given, **named)
        made.execute("PRAGMA reverse_unordered_selects = ON")
        return made

    monkeypatch.setattr(sqlite3, "connect", connect)


@pytest.fixture
def worked(desk: Desk) -> Desk:
    for line in WORK:
        desk.ok(line)
    return desk


@pytest.mark.parametrize("line", QUESTIONS)
def test_an_answer_is_the_same_whatever_order_sqlite_reads_in(
    worked: Desk, line: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = worked.ok(line)
    turned(monkeypatch)
    assert worked.ok(line) == plain


def test_what_is_recorded_is_the_same_whatever_order_sqlite_reads_in(
    desk: Desk, moved_in: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = Desk(tmp_path / "other")
    shutil.copytree(moved_in, other.folder)
    for line in WORK:
        desk.ok(line)
    turned(monkeypatch)
    for line in WORK:
        other.ok(line)
    assert other.last() == desk.last()
