"""Backups under load, on a full disk and onto what should not be written over."""

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest
from desk import Desk, new_desk
from ledger.books import content, draft, opened, post_all

from stockbook.domain.facts import Setting
from stockbook.errors import BookUnusable, InputError
from stockbook.jobs.copies import back_up
from stockbook.ledger import copies

SAVE = "save.stockbook"


def backup(desk: Desk, name: str = SAVE) -> list[str]:
    return ["book", "backup", str(desk.folder / name)]


def post(desk: Desk, number: int) -> None:
    """One small entry straight to `post()`."""
    with opened(desk.path) as book:
        post_all(book, draft(f"k/{number}", facts=(Setting("note", str(number)),), kind="facts"))


def nothing_left_behind(desk: Desk, *known: str) -> bool:
    """No new file lies in the folder besides those known."""
    names = {p.name for p in desk.folder.iterdir() if p.suffix != ".csv"}
    return names <= {"book.stockbook", "book.stockbook-journal", *known}


def test_a_backup_holds_every_row_of_the_book(desk: Desk) -> None:
    desk.ok(backup(desk))
    assert content(desk.folder / SAVE) == content(desk.path)
    assert nothing_left_behind(desk, SAVE)


@pytest.mark.parametrize("patience", [0, 3, 1_000_000])
def test_every_backup_taken_under_load_is_one_state_of_the_book(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, patience: int
) -> None:
    """A page at a time while another thread posts: begun anew, or at last held to its end."""
    monkeypatch.setattr(copies, "PAGES", 8)
    monkeypatch.setattr(copies, "PATIENCE", patience)
    enough = threading.Event()

    def work() -> None:
        for number in range(60):
            post(desk, number)
        enough.set()

    worker = threading.Thread(target=work)
    worker.start()
    numbers = []
    while not enough.is_set() or not numbers:
        said = desk.ok(backup(desk))
        numbers.append(int(said.split("entry ")[1].split(",")[0]))
    worker.join()
    assert numbers == sorted(numbers)
    chain = dict(desk.rows("SELECT number, checksum FROM entry"))
    last, checksum = Desk(desk.folder, name=SAVE).last()
    assert chain[last] == checksum


def test_a_copy_begun_anew_too_often_holds_the_book_to_its_end(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(copies, "PAGES", 1)
    real = copies._watch

    def watch(path: Path):
        seen = real(path)

        def posting_meanwhile(status: int, left: int, total: int) -> None:
            seen(status, left, total)
            if left:
                post(desk, desk.last()[0])

        return posting_meanwhile

    monkeypatch.setattr(copies, "_watch", watch)
    desk.ok(backup(desk))
    assert desk.last()[0] > 9 + copies.PATIENCE
    assert Desk(desk.folder, name=SAVE).last() == desk.last()


def test_a_book_that_is_never_let_go_is_not_waited_for_without_end(desk: Desk) -> None:
    with (
        closing(sqlite3.connect(desk.path, isolation_level=None)) as other,
        opened(desk.path) as book,
    ):
        book.file.execute("PRAGMA busy_timeout = 50")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(BookUnusable, match="held the book too long"):
            copies.copy_to(book, desk.folder / SAVE)


def test_a_full_disk_ends_in_exit_4_and_leaves_nothing(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = sqlite3.connect

    def connect(name: object, **named: object) -> sqlite3.Connection:
        made = real(name, **named)
        if ".stockbook-" in str(name):
            made.execute("PRAGMA max_page_count = 5")
        return made

    with monkeypatch.context() as patch:
        patch.setattr(sqlite3, "connect", connect)
        said = desk.refused(backup(desk), 4)
    assert f"{SAVE}: cannot be written (No space left on device)" in said
    assert nothing_left_behind(desk)
    desk.ok(backup(desk))


def test_a_full_disk_keeps_the_backup_that_was_there(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.ok(backup(desk))
    before = (desk.folder / SAVE).read_bytes()
    desk.ok("issue C1 --by NU")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(copies, "on_disk", full)
    desk.refused(backup(desk), 4)
    assert (desk.folder / SAVE).read_bytes() == before
    assert nothing_left_behind(desk, SAVE)


@pytest.mark.parametrize("more", [0, 1])
def test_a_copy_with_fewer_or_as_many_entries_is_replaced(desk: Desk, more: int) -> None:
    desk.ok(backup(desk))
    for number in range(more):
        post(desk, number)
    desk.ok(backup(desk))
    assert Desk(desk.folder, name=SAVE).last() == desk.last()


def test_a_copy_that_went_on_otherwise_stays(desk: Desk) -> None:
    """The same book, as many entries, yet not the same ones: somebody worked in the backup."""
    desk.ok(backup(desk))
    Desk(desk.folder, name=SAVE).ok("issue C1 --by NU")
    desk.ok("issue C2 --by NU")
    assert "its last is 10, the book's 10" in desk.refused(backup(desk), 3)


@pytest.mark.parametrize("there", [b"", b"milk\n", b"SQLite format 3\0" + b"\0" * 84])
def test_a_file_that_is_no_book_stays(desk: Desk, there: bytes) -> None:
    (desk.folder / SAVE).write_bytes(there)
    assert "no copy of this book" in desk.refused(backup(desk), 2)
    assert (desk.folder / SAVE).read_bytes() == there


def test_names_that_no_file_can_have_are_refused(desk: Desk) -> None:
    (desk.folder / "round").symlink_to("round")
    (desk.folder / "twin").hardlink_to(desk.path)
    for name in ("round", "twin", "book.stockbook/save", "/dev/null"):
        desk.refused(backup(desk, name), 2)
    with opened(desk.path) as book, pytest.raises(InputError, match="no file can have this name"):
        back_up(book, desk.folder / ("x" * 300), lambda *_: None)


def test_a_link_to_an_older_backup_stays_a_link_and_its_file_keeps_who_may_read_it(
    desk: Desk,
) -> None:
    desk.ok(backup(desk))
    (desk.folder / SAVE).chmod(0o640)
    (desk.folder / "latest").symlink_to(SAVE)
    post(desk, 1)
    desk.ok(backup(desk, "latest"))
    assert (desk.folder / "latest").is_symlink()
    assert (desk.folder / SAVE).stat().st_mode & 0o777 == 0o640
    assert Desk(desk.folder, name=SAVE).last()[0] == 10


def test_a_book_that_may_only_be_read_is_backed_up(desk: Desk) -> None:
    desk.path.chmod(0o444)
    desk.ok(backup(desk))
    assert Desk(desk.folder, name=SAVE).last() == desk.last()


def test_another_site_s_book_is_named_by_its_id(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = new_desk(tmp_path / "other")
    ((number,),) = other.rows("SELECT id FROM book")
    assert number[:12] in desk.refused(["book", "backup", str(other.path)], 3)
