"""At a real terminal: questions are asked and answered, Ctrl-C leaves nothing half done.

What is shown fits the screen, and is plain text.
"""

from pathlib import Path

import pytest
from desk import Desk
from terminal import Terminal

DAY = "2027-02-22"
"""The demonstration's own day."""

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


def shown(words: str, folder: Path, columns: int, **environment: str) -> str:
    """What a command leaves on a screen of so many columns."""
    terminal = Terminal.start(words.split(), folder, columns, **environment)
    assert terminal.end() == 0, terminal.screen
    return terminal.screen


def too_long(screen: str, columns: int) -> list[str]:
    """Lines that the terminal would break; a single word, such as a checksum, is left whole."""
    return [line for line in screen.splitlines() if len(line) > columns and " " in line.strip()]


PAGES = ("stock", "today", "expiring", "cost")


@pytest.mark.parametrize("words", [*PAGES, "stock --lenses", "trace C0104", "book settings"])
@pytest.mark.parametrize("columns", [80, 60, 40])
def test_no_line_is_longer_than_the_screen(demonstration: Path, words: str, columns: int) -> None:
    screen = shown(words, demonstration, columns)
    assert too_long(screen, columns) == []
    assert "DEMONSTRATION" in screen


def test_only_the_checksum_of_a_proof_is_longer_than_a_screen_of_60(demonstration: Path) -> None:
    lines = shown("cost", demonstration, 60).splitlines()
    assert [len(line) for line in lines if len(line) > 60] == [64]


def test_every_lot_is_there_on_a_narrow_screen(demonstration: Path) -> None:
    rows = Desk(demonstration, DAY).ok("stock").splitlines()[5:-1]
    screen = shown("stock", demonstration, 40)
    assert len(rows) > 200
    assert screen.count("Item: ") == len(rows)
    for row in rows:
        assert row.split()[3] in screen


@pytest.mark.parametrize(
    ("columns", "variable"), [(40, ""), (200, "40")], ids=["the screen's size", "COLUMNS"]
)
def test_the_width_is_columns_or_else_the_screens(
    demonstration: Path, columns: int, variable: str
) -> None:
    screen = shown("stock", demonstration, columns, COLUMNS=variable)
    assert screen == shown("stock", demonstration, 40)


def test_a_wide_screen_shows_what_a_pipe_gets(demonstration: Path) -> None:
    screen = shown("stock", demonstration, 200)
    assert screen.replace("\r\n", "\n") == Desk(demonstration, DAY).ok("stock")


def test_a_file_is_as_wide_as_ever_whatever_the_screen(demonstration: Path) -> None:
    shown("stock -o stock.txt", demonstration, 40)
    written = (demonstration / "stock.txt").read_text(encoding="utf-8")
    assert written == Desk(demonstration, DAY).ok("stock")


def test_bad_rows_of_a_file_are_shown_row_by_row_where_their_table_is_too_wide(
    demonstration: Path,
) -> None:
    (demonstration / "bad.csv").write_text("supplier,name\nA/1,One\n", encoding="utf-8")
    terminal = Terminal.start(
        ["import", "suppliers", "bad.csv", "--by", "MA"], demonstration, columns=24
    )
    assert terminal.end() == 2
    table = terminal.screen[terminal.screen.index("Row:") :]
    assert "Found:  'A/1'" in table
    assert too_long(table, 24) == []


PLAIN = (*PAGES, "entries", "--help", "stock --help", "book verify", "")


@pytest.mark.parametrize("no_color", [None, "1"])
@pytest.mark.parametrize("words", PLAIN)
def test_nothing_is_coloured_with_or_without_no_color(
    demonstration: Path, monkeypatch: pytest.MonkeyPatch, words: str, no_color: str | None
) -> None:
    """Not an escape sequence goes out, even to a terminal that knows colours."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    if no_color is not None:
        monkeypatch.setenv("NO_COLOR", no_color)
    screen = shown(words, demonstration, 80, TERM="xterm-256color")
    assert screen
    assert "\x1b" not in screen
