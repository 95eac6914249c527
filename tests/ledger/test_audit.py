"""`book verify`: every truth and every projection changed by another hand is named, exit 5."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from desk import Desk

from ledger.books import draft, lot, opened, post_all, tampering
from stockbook.domain.facts import Setting
from stockbook.ledger import audit
from stockbook.ledger.facts import kinds

TRUTHS = {
    "a head's word": ("UPDATE entry SET comment = 'x' WHERE number = 10", "entry 10"),
    "a head's day": ("UPDATE entry SET happened_on = '2027-02-28' WHERE number = 10", "entry 10"),
    "the day booked": ("UPDATE entry SET booked_on = '2027-02-28' WHERE number = 10", "entry 10"),
    "the person": ("UPDATE entry SET by = 'NU' WHERE number = 10", "entry 10"),
    "the request": ("UPDATE entry SET request_digest = 'x' WHERE number = 10", "entry 10"),
    "what it reverses": ("UPDATE entry SET reverses = 5 WHERE number = 10", "entry 10"),
    "a checksum": ("UPDATE entry SET checksum = 'x' WHERE number = 10", "entry 10"),
    "a last checksum": ("UPDATE entry SET checksum = 'x' WHERE number = 12", "entry 12"),
    "the checksum before": ("UPDATE entry SET previous = 'x' WHERE number = 10", "entry 10"),
    "a count": ("UPDATE entry SET movement_count = 9 WHERE number = 10", "entry 10"),
    "another count": ("UPDATE entry SET change_count = 9 WHERE number = 10", "entry 10"),
    "a quantity": ("UPDATE movement SET quantity = 11 WHERE entry = 10", "entry 10"),
    "a value": ("UPDATE movement SET value = value + 1 WHERE entry = 10", "entry 10"),
    "a from": ("UPDATE movement SET from_place = 'opening' WHERE entry = 10", "entry 10"),
    "a to": ("UPDATE movement SET to_place = 'OT2' WHERE entry = 10", "entry 10"),
    "a case": ("UPDATE movement SET case_code = 'C9' WHERE entry = 11", "entry 11"),
    "a reason": ("UPDATE movement SET reason = 'x' WHERE entry = 11", "entry 11"),
    "seen": ("UPDATE movement SET seen = 1 - seen WHERE entry = 11", "entry 11"),
    "a lot of a line": ("UPDATE movement SET lot = 2 WHERE entry = 10", "entry 10"),
    "a movement gone": ("DELETE FROM movement WHERE entry = 11 AND line = 2", "entry 11"),
    "the last movement gone": ("DELETE FROM movement WHERE entry = 11 AND line = 5", "entry 11"),
    "a movement more": ("INSERT INTO movement SELECT entry, 99, lot, quantity, value, from_place, "
                        "to_place, case_code, reason, seen FROM movement WHERE entry = 10",
                        "entry 10"),
    "a body": ("UPDATE change SET body = replace(body, 'Acme', 'Apex') WHERE entry = 2", "entry 2"),
    "a body's spaces": ("UPDATE change SET body = ' ' || body WHERE entry = 10", "entry 10"),
    "no body": ("UPDATE change SET body = 'x' WHERE entry = 10", "entry 10"),
    "a kind": ("UPDATE change SET kind = 'category' WHERE entry = 2", "entry 2"),
    "an unknown kind": ("UPDATE change SET kind = 'song' WHERE entry = 2 AND line = 1", "entry 2"),
    "a code": ("UPDATE change SET code = 'X' WHERE entry = 2 AND line = 1", "entry 2"),
    "a change gone": ("DELETE FROM change WHERE entry = 2 AND line = 1", "entry 2"),
    "the book's id": ("UPDATE book SET id = 'x'", "entry 1"),
    "an entry gone": ("DELETE FROM entry WHERE number = 5", "entry 6"),
    "lines of nobody": ("INSERT INTO change VALUES (50, 1, 'setting', 'site', '{\"value\":\"x\"}')",
                        "lines"),
}  # fmt: skip
BALANCES = {
    "units": ("UPDATE on_hand SET quantity = quantity + 1 WHERE place = 'OT1'", "on_hand OT1"),
    "value": ("UPDATE on_hand SET value = value + 1 WHERE place = 'OT1'", "on_hand OT1"),
    "a row gone": ("DELETE FROM on_hand WHERE place = 'QUAR' OR lot = 3", "on_hand STORE 3"),
    "a row more": ("INSERT INTO on_hand VALUES ('QUAR', 1, 1, 1)", "on_hand QUAR 1"),
    "a case's units": ("UPDATE case_balance SET quantity = quantity + 1", "case_balance C1"),
    "a case's value": ("UPDATE case_balance SET value = value + 1", "case_balance C1"),
    "a case's row gone": ("DELETE FROM case_balance WHERE lot = 2", "case_balance C1"),
    "a case's row more": ("INSERT INTO case_balance VALUES ('C9', 'used/paid', 1, 1, 1)",
                          "case_balance C9"),
}  # fmt: skip
FACTS = {
    "setting": "UPDATE setting SET value = 'x' WHERE code = 'site'",
    "item": "UPDATE item SET least_days_left = 5 WHERE code = 'DYE'",
    "pack_size": "UPDATE pack_size SET units = 11 WHERE units = 10",
    "supplier": "DELETE FROM supplier WHERE code = 'CART'",
    "place": "UPDATE place SET closed = 1 WHERE code = 'OT2'",
    "category": "UPDATE category SET name = 'gift' WHERE code = 'free'",
    "staff_code": "UPDATE staff_code SET role = 'manager' WHERE code = 'NU'",
    "kit": "UPDATE kit SET lines = '[]' WHERE surgeon IS NULL",
    "theatre_list": "UPDATE theatre_list SET day = '2027-03-02'",
    "theatre_case": "UPDATE theatre_case SET category = 'free' WHERE code = 'C1'",
    "lot": "UPDATE lot SET expires_on = '2029-12-31' WHERE number = 'V2'",
    "level": "INSERT INTO level VALUES ('OT1/VISC', 'OT1', 'VISC', 2, 4, 0)",
    "shelf": "INSERT INTO shelf VALUES ('OT1/VISC', 'OT1', 'VISC', 'A1')",
    "past_use": "INSERT INTO past_use VALUES ('VISC/2027-01', 'VISC', '2027-01', 30)",
    "supply_terms": "INSERT INTO supply_terms VALUES ('A/B', 'A', 'B', 1, 1, 1, 1, 0, '[]', 1)",
    "purchase_order": "INSERT INTO purchase_order VALUES ('O', 'ACME', '2027-01-01', "
                      "'2027-01-09', '[]', 'open')",
}  # fmt: skip


@pytest.fixture
def worked(desk: Desk) -> Desk:
    """Twelve entries: a delivery, an issue and a move came after the opening."""
    desk.ok("receive ACME --note N1 --line VISC 10 NEW 2029-01 12.50 --by KE --comment right")
    desk.ok("issue C1 --by NU")
    desk.ok("move VISC-B 2 --from STORE --to OT2 --by KE")
    return desk


def named(desk: Desk, where: str) -> str:
    """The audit's page; it names the fault's place, its exit code is 5 and nothing changed."""
    before = desk.path.read_bytes()
    answer = desk.run("book verify")
    assert answer.code == 5, answer.out
    assert where in answer.out
    assert "Do not post into this book" in answer.err
    assert desk.path.read_bytes() == before
    return answer.out


@pytest.mark.parametrize("what", TRUTHS)
def test_rule_09_a_truth_changed_by_another_hand_is_named(worked: Desk, what: str) -> None:
    sql, where = TRUTHS[what]
    with tampering(worked.path) as db:
        assert db.execute(sql).rowcount > 0
    named(worked, where)


@pytest.mark.parametrize("what", BALANCES)
def test_rule_03_a_balance_changed_by_another_hand_is_named(worked: Desk, what: str) -> None:
    sql, where = BALANCES[what]
    with tampering(worked.path) as db:
        assert db.execute(sql).rowcount > 0
    named(worked, where)


@pytest.mark.parametrize("table", FACTS)
def test_a_fact_changed_by_another_hand_is_named_by_its_table(worked: Desk, table: str) -> None:
    with tampering(worked.path) as db:
        assert db.execute(FACTS[table]).rowcount > 0
    named(worked, f"{table} ")


@pytest.mark.parametrize("table", [table for _, _, table in kinds()])
def test_a_fact_that_no_change_recorded_is_named_by_its_table(worked: Desk, table: str) -> None:
    with tampering(worked.path) as db:
        columns = db.execute("SELECT type FROM pragma_table_info(?) ORDER BY cid", (table,))
        values = [7000 if kind == "INTEGER" else "zz" for (kind,) in columns.fetchall()]
        db.execute(f"INSERT INTO {table} VALUES ({', '.join('?' * len(values))})", values)
    named(worked, f"{table} {values[0]}")


def test_the_audit_finds_nothing_in_a_sound_book_and_says_how_much_it_read(worked: Desk) -> None:
    said = worked.ok("book verify")
    entries, moves, changes = (
        worked.rows(f"SELECT COUNT(*) FROM {table}")[0][0]
        for table in ("entry", "movement", "change")
    )
    assert f"{entries} entries, {moves} movements, {changes} changes" in said
    assert worked.last()[1] in said


def test_the_same_change_to_a_value_and_its_balance_is_still_found(worked: Desk) -> None:
    with tampering(worked.path) as db:
        code = lot(worked, "NEW")
        db.execute("UPDATE movement SET value = value - 500 WHERE lot = ?", (code,))
        db.execute("UPDATE on_hand SET value = value - 500 WHERE lot = ?", (code,))
    assert "do not match its checksum" in named(worked, "entry 10")


def test_a_last_entry_cut_off_with_its_lines_shows_in_what_was_derived(worked: Desk) -> None:
    with tampering(worked.path) as db:
        for table, column in (("movement", "entry"), ("change", "entry"), ("entry", "number")):
            db.execute(f"DELETE FROM {table} WHERE {column} = 12")
    named(worked, "on_hand OT2")


@pytest.mark.parametrize("trigger", ["entry_in_order", "on_hand_to", "movement_is_never_deleted"])
def test_a_lost_trigger_is_named(worked: Desk, trigger: str) -> None:
    with closing(sqlite3.connect(worked.path)) as db:
        db.execute(f"DROP TRIGGER {trigger}")
    named(worked, "tables")


def test_a_trigger_weakened_in_place_is_named(worked: Desk) -> None:
    with closing(sqlite3.connect(worked.path)) as db:
        db.execute("PRAGMA writable_schema = ON")
        db.execute("UPDATE sqlite_schema SET sql = replace(sql, 'append-only', 'append-maybe')")
        db.commit()
    named(worked, "tables")


def test_an_index_that_lost_a_row_is_named(worked: Desk) -> None:
    """Another program may edit the file's pages; SQLite's own integrity check is part of ours."""
    with closing(sqlite3.connect(worked.path)) as db:
        sql = "SELECT rootpage FROM sqlite_schema WHERE name = ?"
        ((root,),) = db.execute(sql, ("lot_number",)).fetchall()
        (size,) = db.execute("PRAGMA page_size").fetchone()
    overwrite(worked.path, (root - 1) * size + 3, b"\x00\x01")
    named(worked, "file")


def overwrite(path: Path, place: int, given: bytes) -> None:
    with path.open("r+b") as file:
        file.seek(place)
        file.write(given)


def test_a_file_with_pages_of_nonsense_is_damaged_and_no_fault_of_the_program(
    worked: Desk,
) -> None:
    size = worked.path.stat().st_size
    overwrite(worked.path, 4096, b"\xa5" * (size - 4096))
    for line in ("book verify", "stock", "move VISC 1 --from STORE --to OT1 --by KE"):
        before = worked.path.read_bytes()
        assert worked.run(line).code == 5, line
        assert worked.path.read_bytes() == before


def test_faults_are_listed_up_to_a_hundred(worked: Desk) -> None:
    with tampering(worked.path) as db:
        rows = "WITH RECURSIVE n(i) AS (VALUES (1) UNION ALL SELECT i + 1 FROM n WHERE i < 500) "
        db.execute(f"{rows} INSERT INTO category SELECT 'x' || i, 'x' FROM n")
    with opened(worked.path) as book:
        verdict = audit.verify(book, lambda *_: None)
    assert len(verdict.faults) == audit.MOST_FAULTS == 100


@pytest.mark.parametrize(("more", "heard"), [(987, []), (988, [(1000, 1000)])])
def test_progress_is_told_at_every_thousandth_entry(
    worked: Desk, more: int, heard: list[tuple[int, int]]
) -> None:
    with opened(worked.path) as book:
        note = (Setting("note", "x"),)
        post_all(book, *(draft(f"k/{n}", facts=note, kind="facts") for n in range(more)))
        told: list[tuple[int, int]] = []
        verdict = audit.verify(book, lambda done, total: told.append((done, total)))
    assert verdict.entries == 12 + more
    assert told == heard
