"""Exports: the chained bytes, checked by a program that knows nothing of this one."""

import io
import os
import resource
import runpy
import subprocess
import sys
from pathlib import Path

import pytest
from desk import Desk, new_desk
from ledger.books import opened
from terminal import Terminal

from stockbook.jobs import copies
from stockbook.jobs.copies import export_lines

NAME = "entries.txt"


def export(desk: Desk, name: str = NAME) -> list[str]:
    return ["book", "export", str(desk.folder / name)]


@pytest.fixture
def worked(desk: Desk) -> Desk:
    """A desk whose book holds every form of entry: reversed, commented, in another script."""
    desk.ok("issue C1 --by NU")
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok(["move", "VISC", "1", "--from", "STORE", "--to", "OT1", "--by", "KE",
             "--comment", 'लेंस "é" \\ 水'])  # fmt: skip
    desk.ok("reverse 12 --reason typing-error --by KE")
    return desk


def verdict_of(content: bytes, checker: Path, monkeypatch: pytest.MonkeyPatch) -> object:
    """How the checker ends when it is run in this process on some bytes: none is well."""
    monkeypatch.setattr(sys, "argv", [str(checker)])
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content)))
    try:
        runpy.run_path(str(checker), run_name="__main__")
    except SystemExit as ended:
        return ended.code
    return None


def stockbook(desk: Desk, *words: str, **options: object) -> subprocess.CompletedProcess[bytes]:
    """The command as a process of its own."""
    line = [sys.executable, "-m", "stockbook", *words, "--book", str(desk.path)]
    return subprocess.run(line, capture_output=True, check=False, **options)


def test_an_outsider_recomputes_the_whole_chain_from_a_file_or_a_pipe(worked: Desk) -> None:
    worked.ok(export(worked))
    file = worked.folder / NAME
    wanted = "{} entries, last checksum {}\n".format(*worked.last())
    for line in ([str(file)], []):
        done = subprocess.run(
            [sys.executable, "-I", f"{file}.check.py", *line], input=file.read_bytes(),
            capture_output=True, check=False,
        )  # fmt: skip
        assert (done.returncode, done.stdout.decode()) == (0, wanted)


def test_standard_output_gets_the_very_bytes_of_the_file(worked: Desk) -> None:
    worked.ok(export(worked))
    done = stockbook(worked, "book", "export", "-", env=os.environ | {"PYTHONIOENCODING": "ascii"})
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout == (worked.folder / NAME).read_bytes()


def test_any_changed_byte_is_found(worked: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    worked.ok(export(worked))
    whole = (worked.folder / NAME).read_bytes()
    checker = worked.folder / f"{NAME}.check.py"
    assert verdict_of(whole, checker, monkeypatch) is None
    breaks = [place for place, byte in enumerate(whole) if byte in b'\n" ']
    for place in sorted({*range(0, len(whole), 61), *range(110), *breaks[::7]}):
        for mask in (1, 0x20):
            changed = bytearray(whole)
            changed[place] ^= mask
            assert verdict_of(bytes(changed), checker, monkeypatch), f"byte {place}"


def test_lines_lost_doubled_or_exchanged_are_found(
    worked: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked.ok(export(worked))
    lines = (worked.folder / NAME).read_bytes().splitlines(keepends=True)
    checker = worked.folder / f"{NAME}.check.py"
    for harmed in (
        lines[:3] + lines[4:], lines[:4] + lines[3:], [*lines[:3], lines[4], lines[3], *lines[5:]],
        lines[1:], lines[:1], [], [*lines, b"\n"], [line.replace(b"\n", b"\r\n") for line in lines],
    ):  # fmt: skip
        assert verdict_of(b"".join(harmed), checker, monkeypatch)


def test_a_book_of_one_entry_has_an_export_that_hides_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = new_desk(tmp_path)
    desk.ok(export(desk))
    whole = (tmp_path / NAME).read_bytes()
    checker = tmp_path / f"{NAME}.check.py"
    assert verdict_of(whole, checker, monkeypatch) is None
    assert verdict_of(whole.replace(b"\n", b" ", 1), checker, monkeypatch) == "No entries."


def test_posting_goes_on_between_the_lines_of_an_export(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A slow reader holds nobody up; the export ends where the book ended when it began."""
    monkeypatch.setattr(copies, "BATCH", 2)
    told = []
    with opened(desk.path) as book:
        lines = export_lines(book, lambda done, total: told.append((done, total)))
        taken = [next(lines) for _ in range(4)]
        desk.ok("issue C1 --by NU")
        taken += lines
    assert len(taken) == 10
    assert told == [(2, 9), (4, 9), (6, 9), (8, 9), (9, 9)]


def test_an_earlier_export_is_replaced_and_any_other_file_stays(desk: Desk) -> None:
    desk.ok(export(desk))
    desk.ok("issue C1 --by NU")
    desk.ok(export(desk))
    assert len((desk.folder / NAME).read_bytes().splitlines()) == 11
    (desk.folder / "other").mkdir()
    other = new_desk(desk.folder / "other")
    assert "another file" in other.refused(["book", "export", str(desk.folder / NAME)], 2)
    (desk.folder / f"{NAME}.check.py").write_text("print()")
    assert "check.py: there is another file" in desk.refused(export(desk), 2)
    assert (desk.folder / f"{NAME}.check.py").read_text() == "print()"


def test_a_folder_a_pipe_a_device_and_a_link_to_the_book_are_no_export(desk: Desk) -> None:
    os.mkfifo(desk.folder / "pipe")
    (desk.folder / "link").symlink_to(desk.path)
    for name in ("", "pipe", "link", "nowhere/x.txt", "/dev/full"):
        desk.refused(export(desk, name), 2)


def test_a_disk_that_takes_no_more_ends_in_exit_4_and_nothing_is_left(desk: Desk) -> None:
    """A real limit of the system: no file may grow beyond 8 kB."""
    before = sorted(p.name for p in desk.folder.iterdir())
    done = stockbook(
        desk, *export(desk),
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192)),
    )  # fmt: skip
    assert done.returncode == 4, done.stderr
    assert b"Nothing was left behind" in done.stderr
    assert sorted(p.name for p in desk.folder.iterdir()) == before


def test_progress_is_told_on_a_terminal_alone(desk: Desk) -> None:
    answer = desk.run(export(desk))
    assert answer.err == ""
    terminal = Terminal.start(["book", "export", NAME, "--book", str(desk.path)], desk.folder)
    terminal.read_until("9 of 9 entries")
    assert terminal.end() == 0
