"""What was recorded, entry by entry."""

import pytest
from desk import Desk

from jobs.pages import line_with


def numbers(page: str) -> list[int]:
    return [int(c[0]) for c in (line.split() for line in page.splitlines()) if c and c[0].isdigit()]


def test_the_newest_entries_are_listed_oldest_first(desk: Desk) -> None:
    assert numbers(desk.ok("entries")) == list(range(1, 10))
    assert numbers(desk.ok("entries --last 2")) == [8, 9]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("--kind opening", [9]),
        ("--document C1", [10, 11]),
        ("--kind finish --document C1", [11]),
        ("--happened 2027-03-01", [10, 11]),
        ("--happened today", [10, 11]),
        ("--happened yesterday", []),
        ("--document C2", []),
    ],
)
def test_the_filters_narrow_the_list(desk: Desk, words: str, found: list[int]) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    assert numbers(desk.ok(f"entries {words}")) == found


def test_a_line_names_kind_day_person_document_and_checksum(desk: Desk) -> None:
    line = line_with(desk.ok("entries"), "opening-stock.csv")
    checksum = desk.last()[1][:12]
    assert line == f"9 opening 2027-02-01 MA opening-stock.csv 16 + 16 {checksum}"


def test_one_entry_is_shown_with_all_its_lines_and_its_whole_checksum(desk: Desk) -> None:
    desk.ok("discard OPIATE 1 --from STORE --reason damaged --by KE --checked-by NU --comment box")
    page = desk.ok("entries 10")
    assert "by KE (Ken Keeper), checked by NU" in page
    assert line_with(page, "O1").startswith("OPIATE O1 1 20.00 STORE waste/common")
    assert "Reason damaged" in page
    assert "Comment box" in page
    assert f"Checksum {desk.last()[1]}" in page


def test_an_entry_of_facts_shows_each_change(desk: Desk) -> None:
    assert "pack size" in desk.ok("entries 6")


def test_a_reversal_and_what_it_undid_name_each_other(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.ok("reverse 10 --by NU --reason wrong-case")
    assert "Reverses entry 10" in desk.ok("entries 11")
    assert "Reversed by entry 11" in desk.ok("entries 10")


@pytest.mark.parametrize("number", ["10", "0", "-- -1", "99999999999999999999"])
def test_an_entry_that_is_not_there_is_wrong_input(desk: Desk, number: str) -> None:
    assert "the last is 9" in desk.refused(f"entries {number}", 2)


@pytest.mark.parametrize("words", ["--last 0", "--last -1", "--happened 2027-02-30", "nine"])
def test_a_wrong_question_is_wrong_input(desk: Desk, words: str) -> None:
    desk.refused(f"entries {words}", 2)


def test_a_kind_nobody_knows_is_wrong_input(desk: Desk) -> None:
    """A mistyped kind must not look like nothing recorded."""
    assert "delivery" in desk.refused("entries --kind deliveries", 2)
