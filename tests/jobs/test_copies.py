"""Backup, restore and export: verified, atomic, under load, and checked by an outsider."""

import errno
import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from desk import Desk, new_desk

from stockbook.ledger.opening import open_book
from stockbook.ledger.posting import posting


def path(desk: Desk, name: str) -> str:
    return str(desk.folder / name)


@pytest.fixture
def saved(desk: Desk) -> Desk:
    """A desk with a backup of its nine entries."""
    assert "entry 9" in desk.ok(["book", "backup", path(desk, "save.stockbook")])
    return desk


def another(desk: Desk) -> Desk:
    """Another site's book."""
    folder = desk.folder / "other"
    folder.mkdir()
    return new_desk(folder)


def left_over(desk: Desk) -> list[str]:
    return [p.name for p in desk.folder.iterdir() if p.name.startswith(".stockbook")]


def test_a_backup_is_a_sound_book_with_the_same_chain(saved: Desk) -> None:
    copy = Desk(saved.folder, name="save.stockbook")
    assert copy.last() == saved.last()
    copy.ok("book verify")
    copy.ok("issue C1 --by NU")
    assert left_over(saved) == []


def test_a_backup_taken_while_somebody_posts_holds_a_state_of_the_book(desk: Desk) -> None:
    book = open_book(desk.path)
    with closing(book), posting(book) as post:
        post.db.execute("INSERT INTO person VALUES ('XX', 'not yet')")
        desk.ok(["book", "backup", path(desk, "save.stockbook")])
    copy = Desk(desk.folder, name="save.stockbook")
    assert copy.rows("SELECT COUNT(*) FROM person WHERE code = 'XX'") == [(0,)]
    copy.ok("book verify")


def test_a_newer_backup_replaces_an_older_one_of_the_same_book(saved: Desk) -> None:
    saved.ok("issue C1 --by NU")
    assert "entry 10" in saved.ok(["book", "backup", path(saved, "save.stockbook")])


def test_a_backup_never_replaces_another_book_or_a_newer_state(saved: Desk) -> None:
    copy = Desk(saved.folder, name="save.stockbook")
    copy.ok("issue C1 --by NU")
    before = copy.path.read_bytes()
    assert "its last is 10" in saved.refused(["book", "backup", str(copy.path)], 3)
    other = another(saved)
    assert "another book" in saved.refused(["book", "backup", str(other.path)], 3)
    assert copy.path.read_bytes() == before


def test_a_damaged_book_is_not_called_a_backup(desk: Desk) -> None:
    with closing(sqlite3.connect(desk.path)) as db:
        db.execute("UPDATE on_hand SET value = value + 1 WHERE place = 'OT2'")
        db.commit()
    assert "on_hand OT2" in desk.refused(["book", "backup", path(desk, "save.stockbook")], 5)
    assert not (desk.folder / "save.stockbook").exists()
    assert left_over(desk) == []


def test_a_folder_a_pipe_and_the_book_itself_are_no_backup(desk: Desk) -> None:
    os.mkfifo(desk.folder / "pipe")
    (desk.folder / "link").symlink_to(desk.path)
    for name in ("", "pipe", "link", "nowhere/save.stockbook"):
        desk.refused(["book", "backup", path(desk, name)], 2)


def test_a_full_disk_leaves_no_backup(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("stockbook.ledger.copies.on_disk", full)
    answer = desk.run(["book", "backup", path(desk, "save.stockbook")])
    assert answer.code == 4
    assert not (desk.folder / "save.stockbook").exists()
    assert left_over(desk) == []


def test_a_lost_book_comes_back(saved: Desk) -> None:
    whole = saved.last()
    saved.path.unlink()
    assert "as at entry 9" in saved.ok(["book", "restore", path(saved, "save.stockbook")])
    assert saved.last() == whole
    saved.ok("issue C1 --by NU")


def test_newer_entries_are_never_restored_over(saved: Desk) -> None:
    saved.ok("issue C1 --by NU")
    said = saved.refused(["book", "restore", path(saved, "save.stockbook")], 3)
    assert "has 10 entries, the backup only 9" in said


def test_another_book_is_never_restored_over(saved: Desk) -> None:
    other = another(saved)
    assert "another book" in other.refused(["book", "restore", path(saved, "save.stockbook")], 3)


def test_a_damaged_book_is_kept_beside_the_restored_one(saved: Desk) -> None:
    with closing(sqlite3.connect(saved.path)) as db:
        db.execute("DELETE FROM case_balance")
        db.execute("UPDATE on_hand SET quantity = quantity + 1 WHERE place = 'OT2'")
        db.commit()
    damaged = saved.path.read_bytes()
    saved.ok(["book", "restore", path(saved, "save.stockbook")])
    assert (saved.folder / "book.stockbook.damaged").read_bytes() == damaged
    saved.ok("book verify")


def test_a_damaged_backup_is_not_restored(saved: Desk) -> None:
    with closing(sqlite3.connect(saved.folder / "save.stockbook")) as db:
        db.execute("UPDATE on_hand SET value = value + 1 WHERE place = 'OT2'")
        db.commit()
    assert "Nothing was put in place" in saved.refused(
        ["book", "restore", path(saved, "save.stockbook")], 5
    )


def test_what_is_no_book_is_neither_restored_nor_restored_over(saved: Desk) -> None:
    saved.file("list.txt", "milk\n")
    saved.refused(["book", "restore", path(saved, "list.txt")], 4)
    other = Desk(saved.folder, name="list.txt")
    other.refused(["book", "restore", path(saved, "save.stockbook")], 4)


def test_a_plain_copy_made_in_the_middle_of_a_posting_is_recognised(desk: Desk) -> None:
    """Without its journal a copy taken half way holds a mixture, and verify says so."""
    target = desk.folder / "half.stockbook"
    with closing(open_book(desk.path)) as book, book.writing(keep=False) as db:
        db.execute("PRAGMA cache_size = 1")
        db.execute("PRAGMA cache_spill = 1")
        db.execute("UPDATE on_hand SET value = value + 1")
        for number in range(3000):
            db.execute("INSERT INTO person VALUES (?, ?)", (f"P{number}", "x" * 200))
        shutil.copy(desk.path, target)
    assert Desk(desk.folder, name="half.stockbook").run("book verify").code in (4, 5)
    desk.ok("book verify")


def checked(file: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, f"{file}.check.py", str(file)], text=True, check=False,
        capture_output=True,
    )  # fmt: skip


def test_an_export_holds_the_chained_bytes_and_an_outsider_finds_them_right(desk: Desk) -> None:
    """The checksum is SHA-256 (FIPS 180-4) as the standard library computes it."""
    file = desk.folder / "out.txt"
    desk.ok(["book", "export", str(file)])
    lines = file.read_bytes().splitlines()
    assert lines[0].decode() == desk.rows("SELECT id FROM book")[0][0]
    assert len(lines) == 10
    number, last = desk.last()
    assert lines[-1].partition(b" ")[0].decode() == last
    text = lines[-1].partition(b" ")[2]
    before = lines[-2].partition(b" ")[0]
    wanted = hashlib.sha256(b"stockbook entry 1\n" + before + b"\n" + text).hexdigest()
    assert wanted == last
    done = checked(file)
    assert (done.returncode, done.stdout.strip()) == (0, f"{number} entries, last checksum {last}")


def test_the_checker_is_short_and_needs_nothing_of_ours(desk: Desk) -> None:
    desk.ok(["book", "export", path(desk, "out.txt")])
    text = (desk.folder / "out.txt.check.py").read_text()
    code = [line for line in text.splitlines() if line.strip() and not line.startswith('"""')]
    assert len(code) <= 12
    assert "stockbook." not in text
    assert [line for line in code if line.startswith(("import", "from"))] == [
        "import hashlib", "import sys",
    ]  # fmt: skip


@pytest.mark.parametrize("place", [0, 40, 200, 5000, -2])
def test_one_changed_byte_anywhere_is_found(desk: Desk, place: int) -> None:
    file = desk.folder / "out.txt"
    desk.ok(["book", "export", str(file)])
    content = bytearray(file.read_bytes())
    content[place] ^= 1
    file.write_bytes(content)
    assert checked(file).returncode == 1


def test_an_export_never_takes_a_book_s_name(desk: Desk) -> None:
    desk.refused(["book", "export", str(desk.path)], 2)
    desk.refused(["book", "export", path(desk, "other.stockbook")], 2)
