"""How long a case had the theatre: given with the plan, afterwards, or by a file."""

import json

import pytest
from desk import LISTS, Desk

from jobs.pages import line_with
from jobs.proven import proven

WITH = LISTS.replace(",needs\n", ",needs,minutes\n")
C6 = "--list L2 --position 3 --patient P-6 --eye left --procedure PHACO --category free"


def file_with(desk: Desk, **minutes: str) -> str:
    """The lists' file with a column of minutes, empty where none are named."""
    head, *rows = WITH.splitlines()
    given = [f"{row},{minutes.get(row.split(',')[4], '')}" for row in rows]
    return desk.file("minutes.csv", "\n".join([head, *given]) + "\n")


def minutes(desk: Desk, case: str) -> int | None:
    return desk.rows("SELECT minutes FROM theatre_case WHERE code = ?", case)[0][0]


def test_minutes_are_part_of_the_plan(desk: Desk) -> None:
    desk.ok(f"case new C6 {C6} --minutes 18 --by NU")
    assert minutes(desk, "C6") == 18
    assert line_with(desk.ok("case show C6"), "Minutes") == "Minutes 18"
    (row,) = json.loads(desk.ok("case show C6 --json"))["case"]["rows"]
    assert row["minutes"] == 18
    rows = json.loads(desk.ok("list show L2 --json"))["list"]["rows"]
    assert [row["minutes"] for row in rows] == [None, None, 18]
    desk.ok("case change C6 --minutes none --by NU")
    assert minutes(desk, "C6") is None


def test_another_change_keeps_them(desk: Desk) -> None:
    desk.ok("case change C1 --minutes 18 --by NU")
    desk.ok("case change C1 --position 9 --by NU")
    assert minutes(desk, "C1") == 18


@pytest.mark.parametrize("typed", ["0", "-3", "1441", "9999", "12.5", "long", "1:20"])
def test_minutes_that_cannot_be_are_refused(desk: Desk, typed: str) -> None:
    said = desk.refused(["case", "change", "C1", f"--minutes={typed}", "--by", "NU"], 2)
    assert "minutes: found" in said
    told = desk.refused(f"import lists {file_with(desk, C1=typed)} --by MA -y", 2)
    assert line_with(told, f"'{typed}'").startswith("2 minutes")


@pytest.mark.parametrize("state", ["issue C1 --by NU", "finish C1 --as-kit --by NU -y"])
def test_they_are_given_and_changed_afterwards_without_a_reason(desk: Desk, state: str) -> None:
    desk.ok(state)
    desk.ok("case change C1 --minutes 18 --by NU")
    desk.ok("case change C1 --minutes 21 --by NU")
    assert minutes(desk, "C1") == 21
    proven(desk)


def test_with_another_change_of_a_finished_case_the_reason_is_still_asked(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU -y")
    said = desk.refused("case change C1 --minutes 18 --eye left --by NU", 2)
    assert "--reason" in said
    assert minutes(desk, "C1") is None


@pytest.mark.parametrize("taking", ["import lists {} --by MA -y", "list take {} --by NU -y"])
def test_a_file_brings_them_for_finished_cases_too(desk: Desk, taking: str) -> None:
    desk.ok("finish C1 --as-kit --by NU -y")
    desk.ok("issue C2 --by NU")
    said = desk.ok(taking.format(file_with(desk, C1="18", C2="25", C3="9")))
    assert "Stays" not in said
    assert [minutes(desk, code) for code in ("C1", "C2", "C3", "C4")] == [18, 25, 9, None]
    proven(desk)


def test_a_file_that_alters_more_of_an_issued_case_is_refused_as_before(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU -y")
    file_with(desk, C1="18")
    text = (desk.folder / "minutes.csv").read_text().replace(",P-1,right,", ",P-1,left,")
    said = desk.refused(f"import lists {desk.file('x.csv', text)} --by MA -y", 2)
    assert "units were issued to it" in said


def test_list_take_keeps_the_plan_and_takes_the_minutes(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU -y")
    file_with(desk, C1="18")
    text = (desk.folder / "minutes.csv").read_text().replace(",P-1,right,", ",P-1,left,")
    assert "Stays: case C1" in desk.ok(f"list take {desk.file('x.csv', text)} --by NU -y")
    assert desk.rows("SELECT eye, minutes FROM theatre_case WHERE code = 'C1'") == [("right", 18)]


def test_a_file_without_the_column_keeps_them(desk: Desk) -> None:
    desk.ok("case change C1 --minutes 18 --by NU")
    text = LISTS.replace("C2,2,P-2,left", "C2,2,P-2,right")
    desk.ok(f"import lists {desk.file('x.csv', text)} --by MA -y")
    assert minutes(desk, "C1") == 18
