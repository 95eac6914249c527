"""The demonstration: the same on every run, and never over somebody's own book."""

import shutil
from pathlib import Path

import pytest
from desk import Answer, Desk, new_desk

from stockbook.cli.demo import BOOK_ID, seed_folder


@pytest.fixture(scope="module")
def told(tmp_path_factory) -> tuple[Desk, Answer]:
    """One demonstration, made once."""
    desk = Desk(tmp_path_factory.mktemp("demo"), name="demo.stockbook")
    return desk, desk.run("demo")


def without_path(answer: Answer, desk: Desk) -> str:
    return answer.out.replace(str(desk.path), "BOOK")


def test_it_ends_well_with_a_book_that_is_sound_and_a_proof_that_holds(told) -> None:
    desk, answer = told
    assert answer.code == 0, answer.err
    assert "The proof holds." in answer.out
    assert "The book is sound" in answer.out
    assert desk.last()[1] in answer.out
    assert desk.rows("SELECT id FROM book") == [(BOOK_ID,)]


def test_all_four_people_are_heard_with_their_real_commands(told) -> None:
    _, answer = told
    for word in ("STORE KEEPER", "THEATRE NURSE", "MANAGER", "FINANCE"):
        assert word in answer.out
    for command in ("receive", "issue", "finish", "expiring", "cost", "book verify"):
        assert f"$ stockbook {command}" in answer.out


def test_every_heading_says_that_it_is_a_demonstration(told) -> None:
    desk, _ = told
    assert "DEMONSTRATION" in desk.ok("stock")


def test_two_runs_say_the_same_and_end_in_the_same_checksum(told, tmp_path: Path) -> None:
    desk, answer = told
    other = Desk(tmp_path, name="demo.stockbook")
    again = other.run("demo", today="2031-12-31")
    assert without_path(again, other) == without_path(answer, desk)
    assert other.last() == desk.last()


def test_a_demonstration_is_replaced_and_nothing_else_is_left(told, tmp_path: Path) -> None:
    desk, _ = told
    copy = Desk(tmp_path, name="demo.stockbook")
    shutil.copy(desk.path, copy.path)
    assert copy.run("demo").code == 0
    assert copy.last() == desk.last()
    assert [file.name for file in tmp_path.iterdir()] == ["demo.stockbook"]


def test_a_real_book_is_never_replaced(tmp_path: Path) -> None:
    desk = new_desk(tmp_path)
    before = sorted(tmp_path.iterdir())
    assert "stays as it is" in desk.refused("demo", 4)
    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.parametrize("content", [b"", b"my notes", b"SQLite format 3\0 and more"])
def test_another_file_is_never_replaced(tmp_path: Path, content: bytes) -> None:
    desk = Desk(tmp_path, name="notes.txt")
    desk.path.write_bytes(content)
    desk.refused("demo", 4)
    assert desk.path.read_bytes() == content


def test_a_folder_in_the_way_is_no_fault_of_the_program(tmp_path: Path) -> None:
    (tmp_path / "book.stockbook").mkdir()
    assert Desk(tmp_path).run("demo").code == 4


def test_a_file_named_like_the_book_being_built_is_left_alone(tmp_path: Path) -> None:
    """Nothing of the user's is removed on the way."""
    other = tmp_path / "demo.stockbook.building"
    other.write_text("my notes")
    Desk(tmp_path, name="demo.stockbook").run("demo")
    assert other.is_file()
    assert other.read_text() == "my notes"


def test_it_runs_from_another_folder_with_a_seed_of_its_own(
    told, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seed = tmp_path / "seed"
    shutil.copytree(seed_folder(), seed)
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    desk = Desk(tmp_path / "elsewhere", name="demo.stockbook")
    assert desk.run(["demo", "--seed", str(seed)]).code == 0
    assert desk.last() == told[0].last()


def test_a_seed_folder_without_files_is_wrong_input_and_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    desk = Desk(tmp_path)
    desk.refused(["demo", "--seed", str(tmp_path / "empty")], 2)
    assert [file.name for file in tmp_path.iterdir()] == ["empty"]


def test_a_seed_with_a_bad_row_names_it_and_leaves_no_book(tmp_path: Path) -> None:
    seed = tmp_path / "seed"
    shutil.copytree(seed_folder(), seed)
    (seed / "suppliers.csv").write_text("supplier,name\nA B,Name\n")
    desk = Desk(tmp_path)
    assert "'A B'" in desk.refused(["demo", "--seed", str(seed)], 2)
    assert [file.name for file in tmp_path.iterdir()] == ["seed"]
