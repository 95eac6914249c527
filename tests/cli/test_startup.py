"""What start-up imports, and what the help says."""

import json
import os
import subprocess
import sys

import click
import pytest
from desk import Desk

from stockbook.cli.main import SECTIONS, main

HEAVY = ("pandas", "numpy", "sqlite_utils", "dateutil.parser")
DRIVER = """
import json, sys
from stockbook.cli.main import invoke
code = invoke(sys.argv[1:])
print(json.dumps([code, sorted(sys.modules)]), file=sys.stderr)
"""
NAMES = [name for commands in SECTIONS.values() for name in commands]


def fresh(arguments: list[str], **environment: str) -> tuple[int, set[str]]:
    """Exit code and loaded modules of a command in an interpreter of its own."""
    answer = subprocess.run(
        [sys.executable, "-c", DRIVER, *arguments],
        capture_output=True, text=True, check=True, env=os.environ | environment,
    )  # fmt: skip
    code, modules = json.loads(answer.stderr.splitlines()[-1])
    return code, set(modules)


@pytest.mark.parametrize(
    "arguments", [["--help"], [], ["stock"], ["stock", "--lenses"], ["expiring"]]
)
def test_what_reckons_no_forecast_imports_nothing_heavy(desk: Desk, arguments: list[str]) -> None:
    code, modules = fresh(arguments, STOCKBOOK_BOOK=str(desk.path))
    assert code == 0
    assert "stockbook.cli.main" in modules
    assert [name for name in HEAVY if name in modules] == []


def test_a_page_for_a_pipe_loads_nothing_that_fits_it_to_a_screen(desk: Desk) -> None:
    _, modules = fresh(["stock"], STOCKBOOK_BOOK=str(desk.path))
    assert modules & {"shutil", "textwrap", "stockbook.reports.narrow"} == set()


def test_help_loads_no_command_and_no_ledger() -> None:
    _, modules = fresh([])
    assert [m for m in modules if m.startswith(("stockbook.ledger", "stockbook.jobs"))] == []
    assert "sqlite3" not in modules


def test_the_name_alone_fits_one_screen(desk: Desk) -> None:
    """A terminal of 24 lines by 80 columns, with one line left for the prompt."""
    lines = desk.ok("").splitlines()
    assert len(lines) <= 23
    assert max(len(line) for line in lines) <= 80
    for section, commands in SECTIONS.items():
        assert any(line.lower().startswith(section.lower()) for line in lines)
        assert [name for name in commands if not any(name in line for line in lines)] == []


def test_the_sections_are_the_people(desk: Desk) -> None:
    page = desk.ok("--help")
    for section, commands in SECTIONS.items():
        assert f"{section}:" in page
        for words in commands.values():
            assert words.split()[0] in page


def loaded(name: str) -> click.Command:
    command = main.get_command(click.Context(main), name)
    assert command is not None
    return command


def all_commands() -> list[tuple[str, click.Command]]:
    """Every command with its path, groups and their commands."""
    found = []
    for name in NAMES:
        command = loaded(name)
        found.append((name, command))
        if isinstance(command, click.Group):
            found += [(f"{name} {sub}", each) for sub, each in command.commands.items()]
    return found


@pytest.mark.parametrize("name", NAMES)
def test_a_commands_first_line_of_help_is_what_its_section_says(name: str) -> None:
    command = loaded(name)
    assert command.name == name
    words = next(w for commands in SECTIONS.values() for n, w in commands.items() if n == name)
    assert " ".join((command.help or "").split("\n\n")[0].split()) == words


@pytest.mark.parametrize(("path", "command"), all_commands(), ids=[p for p, _ in all_commands()])
def test_every_command_and_every_option_has_help(path: str, command: click.Command) -> None:
    assert command.help
    options = [p for p in command.params if isinstance(p, click.Option)]
    assert [option.opts[0] for option in options if not option.help] == []


@pytest.mark.parametrize("path", [path for path, _ in all_commands()])
def test_help_of_every_command_is_printed(desk: Desk, path: str) -> None:
    page = desk.ok(f"{path} --help")
    assert page.startswith(f"Usage: stockbook {path}")
    assert max(len(line) for line in page.splitlines()) <= 100


@pytest.mark.parametrize(
    ("path", "command"),
    [pair for pair in all_commands() if not isinstance(pair[1], click.Group)],
    ids=[p for p, c in all_commands() if not isinstance(c, click.Group)],
)
def test_the_book_may_be_named_after_every_verb(path: str, command: click.Command) -> None:
    names = {name for option in command.params for name in option.opts}
    assert "--book" in names
    if "--by" in names and path not in ("book new", "today"):
        assert {"--on", "--reason", "--comment", "--checked-by", "-n", "-q", "-y"} <= names


def test_the_version_is_told(desk: Desk) -> None:
    import stockbook

    assert stockbook.__version__ in desk.ok("--version")


@pytest.mark.parametrize(
    ("name", "near"), [("stok", "stock"), ("isue", "issue"), ("recieve", "receive")]
)
def test_an_unknown_command_gets_the_near_names(desk: Desk, name: str, near: str) -> None:
    said = desk.refused(name, 2)
    assert "Near:" in said
    assert near in said


@pytest.mark.parametrize("line", ["book verfy", "quarantine relese Q1", "stock --plase STORE"])
def test_an_unknown_word_after_the_verb_is_wrong_usage(desk: Desk, line: str) -> None:
    desk.refused(line, 2)
