"""The harness itself: a wrong, skipped or unknown figure is never passed over."""

import json
import shutil
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from published.checks import CHECKS
from published.tables import SHARED, Figures, Row, agrees, published, run

ROW = Row("X1", "doubling", {"a": 2}, {"b": 4, "c": 5}, "exact", "A book, p. 3", "own")
EVERY_ROW = [(name, row) for name in CHECKS for row in published(name)]


def _compares_both(figures: Figures, folder: Path) -> None:
    (a,) = figures.given("a")
    figures.equal("b", 2 * a)
    figures.equal("c", 2 * a + 1)


def _skips_one(figures: Figures, folder: Path) -> None:
    figures.equal("b", 4)


def _leaves_one_out(figures: Figures, folder: Path) -> None:
    figures.equal("b", 4)
    figures.leave_out("c", "not ours")


def _compares_none(figures: Figures, folder: Path) -> None:
    figures.leave_out("b", "not ours")
    figures.leave_out("c", "not ours")


def _leaves_out_what_is_not_there(figures: Figures, folder: Path) -> None:
    _compares_both(figures, folder)
    figures.leave_out("d", "not ours")


@pytest.mark.parametrize("check", [_compares_both, _leaves_one_out])
def test_a_row_whose_figures_are_compared_or_left_out_by_name_passes(
    check: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(ROW, {"doubling": check}, tmp_path)
    assert "A book, p. 3" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("check", "words"),
    [
        (_skips_one, r"accounted for \['b'\], published \['b', 'c'\]"),
        (_compares_none, "no figure was compared"),
        (_leaves_out_what_is_not_there, r"accounted for \['b', 'c', 'd'\]"),
    ],
)
def test_a_figure_nobody_accounts_for_fails(check: Any, words: str, tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match=words):
        run(ROW, {"doubling": check}, tmp_path)


def test_an_unknown_topic_fails_and_is_named(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="no check for the topic 'doubling'"):
        run(ROW, {"halving": _compares_both}, tmp_path)


def test_a_row_that_gives_more_than_its_check_uses_fails(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match=r"X1 .A book, p[.] 3; own.: inputs"):
        run(replace(ROW, inputs={"a": 2, "z": 1}), {"doubling": _compares_both}, tmp_path)


def _altered(value: Any) -> Any:
    """A figure that is not the published one."""
    match value:
        case bool():
            return not value
        case int() | Decimal():
            return value + 1
        case str():
            return value + "0"
        case list():
            return value[:-1]
    return {**value, "altered": 1}


@pytest.mark.parametrize(
    ("name", "row"), EVERY_ROW, ids=[f"{name}-{row.name}" for name, row in EVERY_ROW]
)
def test_a_row_with_any_one_figure_altered_fails_with_its_source(
    name: str, row: Row, tmp_path: Path
) -> None:
    for number, field in enumerate(sorted(_run_apart(row, name, tmp_path / "right").compared)):
        wrong = replace(row, expected=row.expected | {field: _altered(row.expected[field])})
        with pytest.raises(AssertionError) as failed:
            _run_apart(wrong, name, tmp_path / str(number))
        assert row.source in str(failed.value), field


def _run_apart(row: Row, name: str, folder: Path) -> Figures:
    folder.mkdir()
    return run(row, CHECKS[name], folder)


def test_a_row_added_to_a_table_adds_a_check(tmp_path: Path) -> None:
    shutil.copytree(SHARED, tmp_path / "shared")
    table = tmp_path / "shared" / "scans.csv"
    cell = json.dumps({"ok": True, "gtin14": "09521101530001"}).replace('"', '""')
    with table.open("a", encoding="utf-8", newline="") as file:
        file.write(f'09521101530001,bare GTIN-14,"{cell}",GS1 demonstration prefix,own\n')
    rows = published("scans.csv", tmp_path / "shared")
    assert len(rows) == len(published("scans.csv")) + 1
    run(rows[-1], CHECKS["scans.csv"], tmp_path)


@pytest.mark.parametrize(("found", "agreed"), [(9.5, True), (10.5, True), (10.75, False)])
def test_a_tolerance_is_an_absolute_distance(found: float, agreed: bool) -> None:  # noqa: FBT001
    assert agrees(found, 10, "0.5") is agreed


@pytest.mark.parametrize(
    ("found", "agreed"),
    [({"a": [1, 2]}, True), ({"a": [1, 3]}, False), ({"a": [1]}, False), ({"b": [1, 2]}, False)],
)
def test_a_tolerance_reaches_into_lists_and_names(found: Any, agreed: bool) -> None:  # noqa: FBT001
    assert agrees(found, {"a": [Decimal(1), Decimal("2.04")]}, "0.05 days") is agreed


def test_exact_allows_no_distance() -> None:
    assert agrees([[75, 27]], [[75, 27]], "exact")
    assert not agrees(10.000001, 10, "exact")


def test_a_tolerance_in_words_fails_until_it_has_a_rule() -> None:
    with pytest.raises(ValueError, match="as rounded"):
        agrees(1, 1, "as rounded")
