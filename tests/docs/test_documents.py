"""The documents are true: what they show is what comes out, and they name every command."""

import re
from pathlib import Path

import pytest
from console import DOCUMENTS, ROOT, agrees, blocks, prepare, run, steps

from stockbook.cli.main import SECTIONS


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_console_block_shows_what_really_comes_out(document: str, tmp_path: Path) -> None:
    prepare(tmp_path)
    found = blocks(document)
    assert found, f"{document} shows nothing"
    for block in found:
        for step in steps(block):
            printed = run(step.command, tmp_path)
            assert agrees(step.shown, printed), "\n".join(
                [f"{document}: $ {step.command}", "shows:", *step.shown, "prints:", *printed]
            )


def test_the_comparison_itself_can_fail() -> None:
    assert agrees(("a", "...", "z"), ("a", "b", "c", "z"))
    assert not agrees(("a", "...", "z"), ("a", "b", "c"))
    assert not agrees(("a",), ("a", "b"))


def test_the_readme_names_every_command() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    missing = [
        name for commands in SECTIONS.values() for name in commands
        if not re.search(rf"stockbook {name}\b", text)
    ]  # fmt: skip
    assert not missing


def test_the_readme_begins_with_one_paragraph_that_states_the_job() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    title, paragraph = text.split("\n\n")[:2]
    assert title == "# Stockbook"
    assert not paragraph.startswith(("#", "```", "-"))
    assert "case" in paragraph


def test_every_table_of_facts_in_the_developers_map_is_a_real_place() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"`((?:stockbook|tests|shared|seed_inventory)/[\w/.-]*)`", text)
    assert named
    assert [path for path in named if not (ROOT / path).exists()] == []
