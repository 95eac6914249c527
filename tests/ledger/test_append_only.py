"""Rule 2: entries, movements and changes are never changed or deleted."""

import hashlib
import json
import sqlite3

import pytest
from desk import TODAY, Desk

from ledger.books import TRUTH, content, lot, opened

REPLACEMENTS = {
    "entry": "INSERT OR REPLACE INTO entry SELECT * FROM entry WHERE number = 9",
    "movement": "INSERT OR REPLACE INTO movement SELECT * FROM movement WHERE entry = 9",
    "change": "INSERT OR REPLACE INTO change SELECT * FROM change WHERE entry = 9",
}
UPDATES = {
    "entry": "UPDATE entry SET comment = 'x' WHERE number = 9",
    "movement": "UPDATE movement SET quantity = quantity + 1 WHERE entry = 9",
    "change": "UPDATE change SET body = '{}' WHERE entry = 9",
}


def refused_by_trigger(desk: Desk, words: str, *statements: tuple) -> None:
    """The statements, in one transaction of the book's own connection, end in `words`."""
    before = content(desk.path)
    with opened(desk.path) as book:
        book.file.execute("BEGIN IMMEDIATE")
        for sql, *values in statements[:-1]:
            book.file.execute(sql, values)
        last, *values = statements[-1]
        with pytest.raises(sqlite3.IntegrityError, match=words):
            book.file.execute(last, values)
        if book.file.in_transaction:
            book.file.execute("ROLLBACK")
    assert content(desk.path) == before


@pytest.mark.parametrize("table", TRUTH)
def test_rule_02_a_recorded_line_is_never_updated(desk: Desk, table: str) -> None:
    refused_by_trigger(desk, f"{table} is append-only", (UPDATES[table],))


@pytest.mark.parametrize("table", TRUTH)
def test_rule_02_a_recorded_line_is_never_deleted(desk: Desk, table: str) -> None:
    column = "number" if table == "entry" else "entry"
    refused_by_trigger(
        desk, f"{table} is append-only", (f"DELETE FROM {table} WHERE {column} = 9",)
    )


@pytest.mark.parametrize("table", TRUTH)
def test_rule_02_a_recorded_line_is_never_replaced(desk: Desk, table: str) -> None:
    words = "append-only|takes no more lines|out of order"
    refused_by_trigger(desk, words, (REPLACEMENTS[table],))


@pytest.mark.parametrize("number", [1, 9])
def test_rule_02_an_old_entry_takes_no_more_movements(desk: Desk, number: int) -> None:
    line = "INSERT INTO movement VALUES (?, 99, ?, 1, 100, 'OT1', 'STORE', NULL, NULL, 1)"
    refused_by_trigger(desk, "takes no more lines", (line, number, lot(desk, "V1")))


@pytest.mark.parametrize("number", [1, 9])
def test_rule_02_an_old_entry_takes_no_more_changes(desk: Desk, number: int) -> None:
    line = "INSERT INTO change VALUES (?, 99, 'setting', 'site', '{\"value\":\"x\"}')"
    refused_by_trigger(desk, "takes no more lines", (line, number))


def test_rule_02_lines_without_a_header_do_not_survive_the_commit(desk: Desk) -> None:
    line = "INSERT INTO change VALUES (10, 1, 'setting', 'site', '{\"value\":\"x\"}')"
    refused_by_trigger(desk, "FOREIGN KEY", (line,), ("COMMIT",))


def header(number: int, previous: str, moves: int = 0, changes: int = 0, day: str = TODAY) -> tuple:
    """A header as post() would insert it, its checksum right for what it says."""
    head = [number, "facts", day, None, day, "t", "MA", None, None, None, None, "k", "d", None]
    text = json.dumps([head, [], []], separators=(",", ":"))
    right = hashlib.sha256(f"stockbook entry 1\n{previous}\n{text}".encode()).hexdigest()
    sql = (
        "INSERT INTO entry (number, kind, happened_on, happened_at, booked_on, recorded_at, by, "
        "checked_by, reason, comment, document, request_key, request_digest, reverses, "
        f"movement_count, change_count, previous, checksum) VALUES ({', '.join('?' * 18)})"
    )
    return (sql, *head, moves, changes, previous, right)


@pytest.mark.parametrize("step", [-1, 0, 2])
def test_rule_02_a_header_out_of_order_is_refused(desk: Desk, step: int) -> None:
    last, checksum = desk.last()
    words = "out of order|append-only|UNIQUE"
    refused_by_trigger(desk, words, header(last + step, checksum))


def test_rule_09_a_header_that_does_not_follow_the_last_checksum_is_refused(desk: Desk) -> None:
    last, _ = desk.last()
    ((before,),) = desk.rows("SELECT checksum FROM entry WHERE number = ?", last - 1)
    for wrong in (before, "0" * 64, ""):
        refused_by_trigger(desk, "chain broken", header(last + 1, wrong))


@pytest.mark.parametrize(("moves", "changes"), [(1, 0), (0, 1), (2, 2)])
def test_rule_02_a_header_that_counts_lines_wrongly_is_refused(
    desk: Desk, moves: int, changes: int
) -> None:
    last, checksum = desk.last()
    refused_by_trigger(desk, "lines missing", header(last + 1, checksum, moves, changes))


def test_the_header_of_these_tests_is_taken_when_nothing_is_wrong_with_it(desk: Desk) -> None:
    last, checksum = desk.last()
    with opened(desk.path) as book:
        sql, *values = header(last + 1, checksum)
        book.file.execute(sql, values)
    assert desk.last()[0] == last + 1
    desk.ok("book verify")


@pytest.mark.parametrize("day", ["2027-02-30", "2027-13-01", "01-03-2027", "today", ""])
def test_rule_07_a_day_that_no_calendar_has_is_refused_by_the_table(desk: Desk, day: str) -> None:
    """`date('2028-02-30')` is accepted by SQLite; the table's CHECK compares (DESIGN section 4)."""
    last, checksum = desk.last()
    refused_by_trigger(desk, "CHECK", header(last + 1, checksum, day=day))
