"""Operating lists: shown with where their cases stand, moved as a whole."""

import json

import pytest
from desk import Desk

from jobs.pages import cells, line_with
from jobs.proven import proven


def test_the_lists_to_come_count_their_cases_by_state(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("issue C2 --by NU")
    desk.ok("case cancel C3 --by NU")
    page = desk.ok("list show")
    assert cells(page, "L1") == ["L1", "2027-03-01", "OT1", "morning", "0", "1", "1", "1"]
    assert cells(page, "L2")[4:] == ["2", "0", "0", "0"]
    assert "None." in desk.ok("list show", today="2027-03-02")


def test_one_list_shows_its_cases_in_order(desk: Desk) -> None:
    page = desk.ok("list show L1")
    assert page.startswith("List L1, 2027-03-01, OT1, morning\n")
    assert line_with(page, "C2") == "2 C2 planned P-2 left PHACO paid SA RINGL +21.00 dye"
    assert page.index("C1") < page.index("C2") < page.index("C3")
    assert "no lens planned" in line_with(desk.ok("list show L2"), "C5")


def test_lists_are_answered_as_data(desk: Desk) -> None:
    found = json.loads(desk.ok("list show L1 --json"))["list"]
    assert (found["day"], found["theatre"]) == ("2027-03-01", "OT1")
    assert [row["power_hundredths"] for row in found["rows"]] == [2150, 2100, 2150]
    assert desk.ok("list show --csv").splitlines()[1] == "L1,2027-03-01,OT1,morning,3,0,0,0"


def test_an_unknown_list_gets_the_near_names(desk: Desk) -> None:
    assert "Near: L" in desk.refused("list show L9", 2)


@pytest.mark.parametrize(
    ("option", "wanted"),
    [
        ("--day 2027-03-02", ("2027-03-02", "OT1", "morning")),
        ("--day yesterday", ("2027-02-28", "OT1", "morning")),
        ("--theatre OT2", ("2027-03-01", "OT2", "morning")),
        ("--part evening", ("2027-03-01", "OT1", "evening")),
    ],
)
def test_a_whole_list_moves_by_a_change_alone(desk: Desk, option: str, wanted: tuple) -> None:
    desk.ok(f"list change L1 {option} --by NU")
    assert desk.rows("SELECT day, theatre, part FROM theatre_list WHERE code = 'L1'") == [wanted]
    assert desk.rows("SELECT kind, movement_count FROM entry WHERE number = 10") == [("list", 0)]


def test_a_list_changed_to_what_it_is_records_nothing(desk: Desk) -> None:
    last = desk.last()
    assert "nothing changed" in desk.ok("list change L1 --theatre OT1 --by NU")
    assert desk.last() == last


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("list change L1 --by NU", 2, "give --day, --theatre or --part"),
        ("list change L1 --theatre STORE --by NU", 2, "STORE is no place"),
        ("list change L1 --part night --by NU", 2, "morning, afternoon, evening, day"),
        ("list change L1 --day 2027-02-30 --by NU", 2, "a day that the calendar has"),
        ("list change L1 --day 2027-03-02 --by KE", 3, "KE is keeper"),
    ],
)
def test_a_wrong_change_of_a_list_is_refused(desk: Desk, line: str, code: int, words: str) -> None:
    said = desk.refused(line, code)
    assert words in said
    assert len(said.strip().splitlines()) == 1


def test_a_list_does_not_leave_the_theatre_whose_trolley_has_its_kits(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    said = desk.refused("list change L1 --theatre OT2 --by NU", 3)
    assert "kits lie on the trolley of OT1 (C1)" in said
    desk.ok("list change L1 --day 2027-03-02 --by NU")
    desk.ok("case cancel C1 --by NU")
    desk.ok("list change L1 --theatre OT2 --by NU")
    proven(desk)


def test_a_list_with_finished_cases_keeps_its_day(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    said = desk.refused("list change L1 --day 2027-03-02 --by NU", 3)
    assert "finished in OT1 on 2027-03-01: C1" in said
    desk.ok("list change L1 --part day --by NU")
