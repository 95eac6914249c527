"""Restoring: never over newer entries, never onto old unfinished work, the damaged kept."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from desk import Desk
from ledger.books import content, draft, lot, opened, post_all

from stockbook.domain.auditing import Verdict
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Setting
from stockbook.errors import BookDamaged, BookUnusable
from stockbook.jobs.book import verify_book
from stockbook.ledger import copies
from stockbook.ledger.posting import posting

SAVE = "save.stockbook"


@pytest.fixture
def saved(desk: Desk) -> Desk:
    """A desk with a backup of its nine entries."""
    desk.ok(["book", "backup", str(desk.folder / SAVE)])
    return desk


def restore(desk: Desk, name: str = SAVE) -> list[str]:
    return ["book", "restore", str(desk.folder / name)]


def damage(path: Path) -> bytes:
    """A balance is changed by another program's hand; the damaged file."""
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE on_hand SET value = value + 1 WHERE place = 'OT2'")
    return path.read_bytes()


def beside(desk: Desk) -> list[str]:
    return sorted(p.name for p in desk.folder.iterdir() if ".damaged" in p.name)


@pytest.mark.parametrize(("in_place", "code"), [(9, 0), (10, 0), (11, 3)])
def test_fewer_or_as_many_entries_are_restored_over_but_never_more(
    desk: Desk, in_place: int, code: int
) -> None:
    """The backup has ten entries of the same chain."""
    first = desk.path.read_bytes()
    desk.ok("issue C1 --by NU")
    desk.ok(["book", "backup", str(desk.folder / SAVE)])
    saved_last = desk.last()
    if in_place == 9:
        desk.path.write_bytes(first)
    if in_place == 11:
        desk.ok("issue C2 --by NU")
        assert "has 11 entries, the backup only 10" in desk.refused(restore(desk), code)
    else:
        assert "as at entry 10" in desk.ok(restore(desk))
        assert desk.last() == saved_last


def test_who_was_about_to_record_in_the_replaced_book_has_to_do_so_again(saved: Desk) -> None:
    """SQLite knows that the file it opened lies there no more; nothing is recorded in it."""
    with opened(saved.path) as book:
        saved.ok(restore(saved))
        with pytest.raises(BookUnusable, match="Nothing was recorded"):
            post_all(book, draft("k/1", facts=(Setting("note", "1"),), kind="facts"))
    assert saved.last()[0] == 9
    saved.ok("book verify")


def test_a_book_that_went_on_otherwise_is_not_restored_over(saved: Desk) -> None:
    """Fewer entries than the backup, yet one that the backup does not have."""
    Desk(saved.folder, name=SAVE).ok("issue C1 --by NU")
    Desk(saved.folder, name=SAVE).ok("issue C2 --by NU")
    saved.ok("issue C2 --by NU")
    said = saved.refused(restore(saved), 3)
    assert "10 entries are others than the backup's 11" in said


def test_damaged_books_are_kept_under_names_of_their_own(saved: Desk) -> None:
    kept = []
    for _ in range(2):
        kept.append(damage(saved.path))
        assert "The damaged one is kept as book.stockbook.damaged" in saved.ok(restore(saved))
        saved.ok("book verify")
    assert beside(saved) == ["book.stockbook.damaged", "book.stockbook.damaged.2"]
    assert [(saved.folder / name).read_bytes() for name in beside(saved)] == kept


@pytest.mark.parametrize("part", [0.3, 0.9])
def test_a_book_cut_short_or_overwritten_in_the_middle_is_damaged(saved: Desk, part: float) -> None:
    whole = saved.path.read_bytes()
    cut = int(len(whole) * part)
    for harmed in (whole[:cut], whole[:cut] + os.urandom(9000) + whole[cut + 9000 :]):
        saved.path.write_bytes(harmed)
        saved.ok(restore(saved))
        saved.ok("book verify")
    assert len(beside(saved)) == 2


def test_unfinished_work_of_a_lost_book_never_gets_into_the_restored_one(desk: Desk) -> None:
    """The journal of another state, left beside, would be played back into whatever lies there."""
    with opened(desk.path) as book, book.writing(keep=False) as db:
        db.execute("PRAGMA cache_spill = 1")
        db.execute("PRAGMA cache_size = 1")
        for number in range(500):
            db.execute("INSERT INTO person VALUES (?, ?)", (f"P{number}", "x" * 200))
        journal = (desk.folder / "book.stockbook-journal").read_bytes()
    assert len(journal) > 512
    desk.ok("issue C1 --by NU")
    desk.ok(["book", "backup", str(desk.folder / SAVE)])
    desk.path.unlink()
    (desk.folder / "book.stockbook-journal").write_bytes(journal)
    desk.ok(restore(desk))
    desk.ok("book verify")
    assert content(desk.path) == content(desk.folder / SAVE)
    assert beside(desk) == ["book.stockbook.damaged-journal"]


def test_a_damaged_book_stays_in_place_when_the_copy_cannot_take_it(
    saved: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    damage(saved.path)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(copies, "put", full)
    assert "cannot be written" in saved.refused(restore(saved), 4)
    assert beside(saved) == []


def test_a_link_to_the_book_stays_a_link_and_who_may_read_it_stays(saved: Desk) -> None:
    saved.path.chmod(0o660)
    link = Desk(saved.folder, name="link")
    (saved.folder / "link").symlink_to(saved.path.name)
    link.ok(restore(saved))
    assert (saved.folder / "link").is_symlink()
    assert saved.path.stat().st_mode & 0o777 == 0o660


def test_a_book_that_may_only_be_read_is_not_replaced(saved: Desk) -> None:
    saved.path.chmod(0o444)
    saved.refused(restore(saved), 4)


def test_what_is_no_backup_is_named_and_the_book_stays(saved: Desk) -> None:
    os.mkfifo(saved.folder / "pipe")
    with (saved.folder / "sparse").open("wb") as file:
        file.truncate(10 * 2**30)
    (saved.folder / "empty").write_bytes(b"")
    for name in ("nowhere", "pipe", "", "sparse", "empty"):
        saved.refused(restore(saved, name), 4)
    saved.refused(restore(saved, saved.path.name), 2)


def test_a_folder_or_a_pipe_is_no_place_for_a_book(saved: Desk) -> None:
    os.mkfifo(saved.folder / "pipe")
    (saved.folder / "folder").mkdir()
    for name in ("pipe", "folder", "nowhere/book.stockbook"):
        Desk(saved.folder, name=name).refused(restore(saved), 2)


def verdict(path: Path) -> Verdict | None:
    """What verify says; none where it cannot even be opened."""
    try:
        return verify_book(path, lambda *_: None)
    except (BookDamaged, BookUnusable):
        return None


def test_a_copy_half_before_and_half_after_a_posting_is_recognised_or_is_whole(
    desk: Desk,
) -> None:
    """A plain copy that another posting overtakes, cut at every page."""
    before, old = desk.path.read_bytes(), content(desk.path)
    desk.ok("issue C1 --by NU")
    after, new = desk.path.read_bytes(), content(desk.path)
    torn = desk.folder / "torn.stockbook"
    found = 0
    for cut in range(4096, max(len(before), len(after)), 4096):
        torn.write_bytes(before[:cut] + after[cut:])
        said = verdict(torn)
        if said is None or said.faults:
            found += 1
        else:
            assert content(torn) in (old, new), f"cut at {cut}"
    assert found > 10


def test_a_copy_made_in_the_middle_of_a_posting_is_recognised(desk: Desk) -> None:
    """The posting's pages are partly in the file, partly in its memory, its journal not copied."""
    torn = desk.folder / "torn.stockbook"
    moves = [Movement(lot(desk, "V2"), 1, 10000, "STORE", "OT1")]
    with opened(desk.path) as book, posting(book, keep=False) as post:
        post.db.execute("PRAGMA cache_spill = 1")
        post.db.execute("PRAGMA cache_size = 1")
        post.post(draft("k/1", tuple(moves)))
        torn.write_bytes(desk.path.read_bytes())
    assert torn.read_bytes() != desk.path.read_bytes()
    assert Desk(desk.folder, name=torn.name).run("book verify").code == 5
    desk.refused(restore(desk, torn.name), 5)
    desk.ok("book verify")
