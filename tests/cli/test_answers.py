"""Exit codes, surroundings, and text that hides or breaks."""

import contextlib
import io
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from desk import TODAY, Desk

from stockbook.cli.context import Session
from stockbook.cli.main import invoke


def bare(words: list[str]) -> tuple[int, str, str]:
    """A command without a named book or person, on a day."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = invoke(words, Session(today=TODAY))
    return code, out.getvalue(), err.getvalue()


def test_the_book_and_the_person_may_come_from_the_surroundings(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STOCKBOOK_BOOK", str(desk.path))
    assert bare(["move", "VISC", "1", "--from", "STORE", "--to", "OT1"])[0] == 2
    monkeypatch.setenv("STOCKBOOK_BY", "KE")
    code, _, err = bare(["move", "VISC", "1", "--from", "STORE", "--to", "OT1"])
    assert (code, err) == (0, "")
    assert desk.rows("SELECT by FROM entry WHERE number = 10") == [("KE",)]


def test_an_option_wins_over_the_surroundings_before_and_after_the_verb(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STOCKBOOK_BOOK", "nowhere.stockbook")
    monkeypatch.setenv("STOCKBOOK_BY", "XX")
    assert bare(["stock"])[0] == 4
    assert bare(["--book", str(desk.path), "stock"])[0] == 0
    assert bare(["stock", "--book", str(desk.path)])[0] == 0
    move = ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--book", str(desk.path)]
    assert bare(["--by", "KE", *move])[0] == 0
    assert bare([*move, "--by", "KE"])[0] == 0


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("stock", 0),
        ("stock NOTHING", 2),
        ("stock --no-such-option", 2),
        ("issue C4 --by NU", 3),
        ("ready", 2),
        ("stock --book nowhere.stockbook", 4),
    ],
)
def test_exit_codes(desk: Desk, line: str, code: int) -> None:
    answer = desk.run(line)
    assert answer.code == code
    assert bool(answer.err) is (code != 0)
    assert "Traceback" not in answer.err


@pytest.mark.parametrize("content", [b"", b"some notes", b"SQLite format 3\0" + b"\0" * 84])
def test_a_file_that_is_no_book_is_exit_4(tmp_path: Path, content: bytes) -> None:
    desk = Desk(tmp_path)
    desk.path.write_bytes(content)
    assert desk.run("stock").code in (4, 5)
    assert desk.path.read_bytes() == content


def test_a_damaged_book_is_exit_5(desk: Desk) -> None:
    with contextlib.closing(sqlite3.connect(desk.path)) as db, db:
        db.execute("DROP TRIGGER entry_in_order")
    assert "changed by another program" in desk.refused("stock", 5)
    assert desk.run("book verify").code == 5


@pytest.mark.parametrize(
    ("line", "where"),
    [
        ("stock", "stockbook.jobs.stock.stock_on_hand"),
        ("issue C1 --by NU", "stockbook.jobs.issue.plan"),
        ("move VISC 1 --from STORE --to OT1 --by KE", "stockbook.jobs.move.take"),
    ],
)
def test_ctrl_c_inside_a_job_is_exit_130_and_nothing_is_recorded(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, line: str, where: str
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(where, stop)
    assert "Interrupted" in desk.refused(line, 130)


def test_ctrl_c_after_the_units_were_written_leaves_the_book_as_it_was(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr("stockbook.ledger.posting.checksum", stop)
    desk.refused("move VISC 1 --from STORE --to OT1 --by KE", 130)
    assert desk.on_hand("VISC", "OT1") == {("OT1", "V1"): 1}


STRANGE = ["a\x00b", "a\x1bb", "a\u202eb", "a\u200bb", "a\udc80b"]
KNIFE = ("KNIFE", "1", "K9", "2029-01", "1")
ARGUMENTS = [
    ["stock", "@"],
    ["stock", "--place", "@"],
    ["stock", "--class", "@"],
    ["stock", "--lot", "@"],
    ["stock", "--lens", "@"],
    ["trace", "@"],
    ["trace", "V1", "--item", "@"],
    ["entries", "@"],
    ["entries", "--kind", "@"],
    ["entries", "--document", "@"],
    ["entries", "--happened", "@"],
    ["reverse", "@", "--by", "MA"],
    ["cost", "@"],
    ["cost", "--month", "@"],
    ["ready", "@"],
    ["expiring", "--within", "@"],
    ["expiring", "--place", "@"],
    ["receive", "@", "--by", "KE", "--line", *KNIFE],
    ["receive", "ACME", "--by", "KE", "--note", "@", "--line", *KNIFE],
    ["receive", "ACME", "--by", "KE", "--to", "@", "--line", *KNIFE],
    ["receive", "ACME", "--by", "KE", "--freight", "@", "--line", *KNIFE],
    ["receive", "ACME", "--by", "KE", "--reason", "@", "--line", *KNIFE],
    *(["receive", "ACME", "--by", "KE", "--line", *("@" if n == at else cell for n, cell in
       enumerate(KNIFE))] for at in range(5)),
    ["receive", "ACME", "--by", "KE", "--lines", "@"],
    ["move", "@", "1", "--from", "STORE", "--to", "OT1", "--by", "KE"],
    ["move", "VISC", "@", "--from", "STORE", "--to", "OT1", "--by", "KE"],
    ["move", "VISC", "1", "--from", "@", "--to", "OT1", "--by", "KE"],
    ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "KE", "--lot", "@"],
    ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "KE", "--reason", "@"],
    ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "KE", "--comment", "@"],
    ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "KE", "--on", "@"],
    ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "KE", "--at", "@"],
    ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "KE", "--checked-by", "@"],
    ["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "@"],
    ["discard", "VISC", "1", "--from", "STORE", "--by", "KE", "--reason", "@"],
    ["discard", "VISC", "1", "--from", "STORE", "--by", "KE", "--reason", "wet", "--lot", "@"],
    ["issue", "@", "--by", "NU"],
    ["issue", "--list", "@", "--by", "NU"],
    ["issue", "C1", "--by", "NU", "--with", "@"],
    ["issue", "C1", "--by", "NU", "--extra", "@", "1"],
    ["issue", "C1", "--by", "NU", "--extra", "KNIFE", "@"],
    ["issue", "C1", "--by", "NU", "--lot", "VISC", "@"],
    ["issue", "C1", "--by", "NU", "--found", "VISC", "@", "2029-01", "1"],
    ["issue", "C1", "--by", "NU", "--found", "VISC", "V8", "@", "1"],
    ["finish", "C1", "--by", "NU", "--as-kit", "--lot", "VISC", "@"],
    ["finish", "C1", "--by", "NU", "--as-kit", "--wasted", "KNIFE", "1", "@"],
    ["finish", "C1", "--by", "NU", "--as-kit", "--found", "VISC", "@", "2029-01", "1"],
    ["finish", "--list", "L1", "--by", "NU", "--as-kit", "--leave", "@"],
    ["finish", "--list", "L1", "--by", "NU", "--as-kit", "--exceptions", "@"],
    ["quarantine", "start", "--by", "MA", "--reason", "cluster", "--lot", "@"],
    ["quarantine", "start", "--by", "MA", "--reason", "cluster", "--serial", "@"],
    ["quarantine", "start", "--by", "MA", "--reason", "@", "--lot", "V1"],
    ["quarantine", "release", "@", "--by", "MA", "--checked-by", "MB", "--comment", "fit"],
    ["import", "@", "items.csv", "--by", "MA"],
    ["import", "items", "@", "--by", "MA"],
    ["book", "new", "--site", "@", "--currency", "INR", "--time-zone", "UTC", "--by", "MA"],
    ["book", "new", "--site", "S", "--currency", "@", "--time-zone", "UTC", "--by", "MA"],
    ["book", "new", "--site", "S", "--currency", "INR", "--time-zone", "@", "--by", "MA"],
    ["@"],
    ["stock", "--@"],
]  # fmt: skip


@pytest.mark.parametrize("text", STRANGE, ids=["NUL", "escape", "bidi", "no width", "surrogate"])
@pytest.mark.parametrize("words", ARGUMENTS, ids=" ".join)
def test_text_that_hides_or_breaks_is_wrong_input_in_every_argument(
    desk: Desk, words: list[str], text: str
) -> None:
    """One clear message, exit 2, nothing written, and nothing of it sent to the terminal raw."""
    line = [text if word == "@" else word.replace("@", text) for word in words]
    said = desk.refused(line, 2)
    assert said.strip()
    assert "Traceback" not in said
    assert [c for c in said if c in "\x00\x1b\u202e\udc80"] == []


@pytest.mark.parametrize("text", STRANGE, ids=["NUL", "escape", "bidi", "no width", "surrogate"])
@pytest.mark.parametrize(
    "words", ["stock", "book new --site S --currency INR --time-zone UTC --by MA", "demo"]
)
def test_a_book_of_a_strange_name_is_wrong_input_or_not_there(
    desk: Desk, words: str, text: str
) -> None:
    name = f"nowhere/{text}"
    assert desk.run([*words.split(), "--book", name]).code in (2, 4)


@pytest.mark.parametrize("text", STRANGE, ids=["NUL", "escape", "bidi", "no width", "surrogate"])
def test_a_seed_folder_of_a_strange_name_is_wrong_input(tmp_path: Path, text: str) -> None:
    desk = Desk(tmp_path)
    desk.refused(["demo", "--seed", text], 2)
    assert not desk.path.exists()


def start(desk: Desk, *words: str, **streams: object) -> "subprocess.Popen[bytes]":
    return subprocess.Popen(
        [sys.executable, "-m", "stockbook", *words],
        env=os.environ | {"STOCKBOOK_BOOK": str(desk.path)},
        stderr=subprocess.PIPE, **streams,
    )  # fmt: skip


@pytest.mark.parametrize("words", [["stock"], ["entries", "8"], ["--help"], []])
def test_a_reader_that_has_left_is_no_fault(desk: Desk, words: list[str]) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    process = start(desk, *words, stdout=writer)
    os.close(writer)
    _, err = process.communicate()
    assert (process.returncode, err) == (0, b"")


def test_the_module_and_the_command_are_the_same(desk: Desk) -> None:
    process = start(desk, "stock", stdout=subprocess.PIPE)
    out, err = process.communicate()
    assert process.returncode == 0, err
    assert b"Stock on hand" in out


def test_output_in_an_old_code_page_is_no_fault(desk: Desk) -> None:
    """Names beyond ASCII print, or are replaced, on a terminal that cannot show them."""
    desk.file("s.csv", "supplier,name\nACME,Ac\u0161 \u2026 \u0bae\n")
    desk.ok("import suppliers s.csv --by MA -y")
    process = subprocess.run(
        [sys.executable, "-m", "stockbook", "entries", str(desk.last()[0])],
        env=os.environ | {"STOCKBOOK_BOOK": str(desk.path), "PYTHONIOENCODING": "ascii"},
        capture_output=True, check=False,
    )  # fmt: skip
    assert process.returncode == 0, process.stderr
