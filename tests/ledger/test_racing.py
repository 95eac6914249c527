"""Rule 3 among processes: whatever runs at the same time, no unit is taken twice or lost."""

import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from desk import TODAY, Desk

import stockbook

ROOT = Path(stockbook.__file__).parents[1]
COMMANDS = f"""
import sys
from stockbook.cli import main, context, issue, move
from stockbook.jobs import issue as _, move as _
book = sys.argv[1]
print("ready", flush=True)
for line in sys.stdin.readline().split(";"):
    session = context.Session(book=book, today="{TODAY}", recorded_at="{TODAY}T08:00:00Z")
    print(main.invoke(line.split(), session), flush=True)
"""
"""A person at a desk: the real command line in a process of its own, waiting for the start."""


def race(desk: Desk, *stories: list[str]) -> list[list[int]]:
    """Each story in a process of its own, all let go together; their exit codes."""
    desks = [
        subprocess.Popen(
            [sys.executable, "-c", COMMANDS, str(desk.path)], text=True,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        for _ in stories
    ]  # fmt: skip
    for process in desks:
        assert process.stdout.readline() == "ready\n"
    for process, story in zip(desks, stories, strict=True):
        process.stdin.write(";".join(story) + "\n")
    for process in desks:
        process.stdin.flush()
    said = [process.communicate(timeout=120) for process in desks]
    assert all(process.returncode == 0 for process in desks), said
    return [[int(word) for word in out.split() if word.isdigit()] for out, _ in said]


@pytest.mark.parametrize("people", [2, 4])
def test_rule_03_of_two_who_want_the_last_unit_exactly_one_gets_it(desk: Desk, people: int) -> None:
    desk.ok("discard RINGL+21.50 1 --from STORE --lot S1 --reason damaged --by KE")
    line = "move RINGL+21.50 1 --from STORE --to OT1 --by KE -q"
    codes = race(desk, *[[line]] * people)
    assert Counter(code for (*_, code) in codes) == {0: 1, 3: people - 1}
    assert desk.on_hand("RINGL+21.50") == {("OT1", "S2"): 1}
    assert desk.last()[0] == 11
    desk.ok("book verify")


def test_rule_08_two_who_issue_the_same_case_record_it_once(desk: Desk) -> None:
    race(desk, *[["issue C1 --by NU -q"]] * 3)
    assert desk.rows("SELECT COUNT(*) FROM entry WHERE kind = 'issue'") == [(1,)]
    assert desk.on_hand("VISC", "trolley/OT1") == {("trolley/OT1", "V1"): 1,
                                                   ("trolley/OT1", "V2"): 1}  # fmt: skip
    desk.ok("book verify")


def back_and_forth(count: int, item: str) -> list[str]:
    """Moves that bring every unit back to where it was."""
    there = f"move {item} 1 --from STORE --to QUAR --by KE -q"
    back = f"move {item} 1 --from QUAR --to STORE --by KE -q"
    return [there, back] * (count // 2)


def test_rule_03_no_entry_of_many_writers_is_lost(desk: Desk) -> None:
    before = desk.on_hand("VISC-B"), desk.on_hand("DYE")
    stories = [back_and_forth(10, item) for item in ("VISC-B", "DYE", "VISC-B", "DYE")]
    codes = race(desk, *stories)
    assert {code for story in codes for code in story} == {0}
    assert desk.rows("SELECT COUNT(*), MAX(number) FROM entry") == [(49, 49)]
    assert (desk.on_hand("VISC-B"), desk.on_hand("DYE")) == before
    desk.ok("book verify")


@pytest.mark.slow
def test_rule_03_no_entry_of_eight_writers_is_lost_in_the_long_form(desk: Desk) -> None:
    """1,600 postings, as the prototype that lost 1,513 of them with a deferred BEGIN."""
    stories = [back_and_forth(200, item) for item in ("VISC-B",) * 6 + ("DYE",) * 2]
    codes = race(desk, *stories)
    assert {code for story in codes for code in story} == {0}
    assert desk.rows("SELECT COUNT(*) FROM entry") == [(9 + 1600,)]
    desk.ok("book verify")


def test_the_module_run_as_a_program_answers_with_the_exit_code_of_its_command(
    desk: Desk,
) -> None:
    """`python -m stockbook` has no other clock than the machine's, so it only asks here."""
    for words, code in (("book verify", 0), ("trace NO-SUCH", 2)):
        done = subprocess.run(
            [sys.executable, "-m", "stockbook", *words.split(), "--book", str(desk.path)],
            capture_output=True, text=True, check=False, env=os.environ | {"PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        assert done.returncode == code, done.stderr
