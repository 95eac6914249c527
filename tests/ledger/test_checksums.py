"""Rule 9: the chain, recomputed from the raw tables by ten lines that know nothing of the code."""

import hashlib
import json
import shutil
import unicodedata
from pathlib import Path

import pytest
from desk import Desk, new_desk

from ledger.books import content, opened, record
from stockbook.domain.facts import Setting
from stockbook.ledger.opening import new_book

HEAD = (
    "number, kind, happened_on, happened_at, booked_on, recorded_at, by, checked_by, reason, "
    "comment, document, request_key, request_digest, reverses"
)
MOVE = "lot, quantity, value, from_place, to_place, case_code, reason, seen"


def recomputed(desk: Desk) -> list[str]:
    """Every checksum of a book, from nothing but its rows."""
    ((last,),) = desk.rows("SELECT id FROM book")
    found = []
    for head in desk.rows(f"SELECT {HEAD} FROM entry ORDER BY number"):
        moves = desk.rows(f"SELECT {MOVE} FROM movement WHERE entry = ? ORDER BY line", head[0])
        sql = "SELECT kind, code, body FROM change WHERE entry = ? ORDER BY line"
        changes = [[k, c, json.loads(b)] for k, c, b in desk.rows(sql, head[0])]
        text = json.dumps([head, moves, changes], ensure_ascii=False, separators=(",", ":"))
        last = hashlib.sha256(f"stockbook entry 1\n{last}\n{text}".encode()).hexdigest()
        found.append(last)
    return found


def busy_day(desk: Desk) -> None:
    """Entries of several kinds, with words outside ASCII."""
    desk.ok("receive ACME --note N1 --line VISC 10 NEW 2029-01 12.50 --by KE --comment 'Größe ½ é'")
    desk.ok("issue C1 --by NU --at 09:15")
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("quarantine start --lot V3 --reason recall-notice --by MA")
    desk.ok("quarantine release Q1 --by MA --checked-by MB --comment 'letter 7 read'")
    desk.ok("reverse 12 --reason wrong-case --by NU")


def test_rule_09_every_checksum_is_recomputed_by_an_outside_checker(desk: Desk) -> None:
    busy_day(desk)
    stored = [row[0] for row in desk.rows("SELECT checksum FROM entry ORDER BY number")]
    assert len(stored) == 15
    assert stored == recomputed(desk)


def test_rule_09_each_entry_names_the_checksum_before_it_and_the_first_the_book(
    desk: Desk,
) -> None:
    busy_day(desk)
    rows = desk.rows("SELECT previous, checksum FROM entry ORDER BY number")
    ((book,),) = desk.rows("SELECT id FROM book")
    assert [previous for previous, _ in rows] == [book, *[own for _, own in rows[:-1]]]


def test_rule_09_two_books_founded_alike_have_different_first_checksums(tmp_path: Path) -> None:
    desks = [new_desk(tmp_path / name) for name in ("one", "two") if not (tmp_path / name).mkdir()]
    heads = [desk.rows(f"SELECT {HEAD} FROM entry") for desk in desks]
    assert heads[0] == heads[1]
    assert desks[0].last()[1] != desks[1].last()[1]


def test_rule_09_the_first_checksum_covers_the_books_id(tmp_path: Path) -> None:
    checksums = []
    for name in ("a", "a", "b"):
        folder = tmp_path / str(len(checksums))
        folder.mkdir()
        desk = Desk(folder)
        new_book(desk.path, book_id=name * 32).close()
        record(desk, facts=(Setting("site", "Small Site"),), kind="book")
        checksums.append(desk.last()[1])
    assert checksums[0] == checksums[1] != checksums[2]


def test_rule_09_the_same_commands_on_copies_give_the_same_chain(
    desk: Desk, tmp_path: Path
) -> None:
    other = Desk(tmp_path / "other")
    shutil.copytree(desk.folder, other.folder)
    for one in (desk, other):
        busy_day(one)
    assert content(desk.path) == content(other.path)


@pytest.mark.parametrize("text", ["e\u0301", "\u212b", "ﬁ"])
def test_rule_09_composed_and_decomposed_letters_are_one_text_in_the_chain(
    desk: Desk, text: str
) -> None:
    """Unicode Standard Annex 15: canonically equivalent strings have one NFC form."""
    desk.ok(
        ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "KE", "--comment", text]
    )
    ((stored,),) = desk.rows("SELECT comment FROM entry ORDER BY number DESC LIMIT 1")
    assert stored == unicodedata.normalize("NFC", text)
    assert recomputed(desk)[-1] == desk.last()[1]


def test_rule_09_bodies_of_changes_are_canonical_json(desk: Desk) -> None:
    busy_day(desk)
    for (body,) in desk.rows("SELECT body FROM change"):
        wanted = json.dumps(
            json.loads(body), ensure_ascii=False, sort_keys=True, separators=(",", ":")
        )
        assert body == wanted


def test_rule_09_the_chain_of_a_reopened_book_goes_on_from_the_same_checksum(desk: Desk) -> None:
    _, before = desk.last()
    with opened(desk.path):
        pass
    desk.ok("move VISC 1 --from STORE --to OT1 --by KE")
    ((previous,),) = desk.rows("SELECT previous FROM entry ORDER BY number DESC LIMIT 1")
    assert previous == before
