"""Completion in the shells: commands, and the codes of the book in use."""

import os
import subprocess
import sys

import pytest
from desk import Desk


def completed(desk: Desk, line: str, shell: str = "bash") -> list[str]:
    """What a shell offers at the end of a line."""
    words = line.split(" ")
    surroundings = {
        **os.environ, "_STOCKBOOK_COMPLETE": f"{shell}_complete", "COMP_WORDS": line,
        "COMP_CWORD": str(len(words) - 1), "STOCKBOOK_BOOK": str(desk.path),
    }  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-m", "stockbook"], env=surroundings, text=True, check=False,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    )  # fmt: skip
    return [text.partition(",")[2] for text in done.stdout.splitlines() if text]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_gets_a_script_of_its_own(shell: str) -> None:
    surroundings = {**os.environ, "_STOCKBOOK_COMPLETE": f"{shell}_source"}
    done = subprocess.run(
        [sys.executable, "-m", "stockbook"], env=surroundings, text=True, check=False,
        capture_output=True,
    )  # fmt: skip
    if shell == "bash" and "Bash 4.4" in done.stderr:
        pytest.skip("an older bash")
    assert f"_STOCKBOOK_COMPLETE={shell}_complete" in done.stdout


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("stockbook sto", ["stock"]),
        ("stockbook stock ringl", ["RINGL+21.00", "RINGL+21.50"]),
        ("stockbook issue C", ["C1", "C2", "C3", "C4", "C5"]),
        ("stockbook issue --list L", ["L1", "L2"]),
        ("stockbook stock --place OT", ["OT1", "OT2"]),
        ("stockbook receive a", ["ACME"]),
        ("stockbook stock ZZ", []),
    ],
)
def test_codes_of_the_book_are_offered(desk: Desk, line: str, offered: list[str]) -> None:
    assert completed(desk, line) == offered


def test_without_a_book_nothing_is_offered_and_nothing_breaks(desk: Desk) -> None:
    desk.path.unlink()
    assert completed(desk, "stockbook stock R") == []
    assert not desk.path.exists()
