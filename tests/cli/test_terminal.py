"""At a real terminal: questions are asked and answered, Ctrl-C leaves nothing half done."""

from pathlib import Path

import pytest
from desk import Desk
from terminal import Terminal

QUESTION = "Was everything else used as issued? [y/N]: "


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demonstration book: it has its own day, so that no clock is asked about."""
    folder = tmp_path_factory.mktemp("terminal")
    Desk(folder).ok("demo -q")
    return folder


def finish(folder: Path) -> Terminal:
    terminal = Terminal.start(["finish", "C0105", "--by", "NA"], folder)
    terminal.read_until(QUESTION)
    return terminal


def test_ctrl_c_at_a_question_leaves_the_book_as_it_was(demonstration: Path) -> None:
    before = (demonstration / "book.stockbook").read_bytes()
    terminal = finish(demonstration)
    assert terminal.interrupt() == 130
    assert "Interrupted" in terminal.screen
    assert "Traceback" not in terminal.screen
    assert (demonstration / "book.stockbook").read_bytes() == before


def test_no_records_nothing(demonstration: Path) -> None:
    before = (demonstration / "book.stockbook").read_bytes()
    terminal = finish(demonstration)
    terminal.type("n\n")
    assert terminal.end() == 2
    assert "nothing was recorded" in terminal.screen
    assert (demonstration / "book.stockbook").read_bytes() == before


def test_yes_records(demonstration: Path) -> None:
    terminal = finish(demonstration)
    terminal.type("y\n")
    assert terminal.end() == 0
    assert "Recorded as entry" in terminal.screen
