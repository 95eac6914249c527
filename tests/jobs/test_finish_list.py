"""Finishing a whole list by exception."""

import pytest
from desk import Desk

from jobs.pages import line_with, moves

EXCEPTIONS = """case,what,item,quantity,reason
C1,wasted,KNIFE,1,dropped
C2,returned,VISC,1,
C2,extra,OPIATE,1,
"""
LIST = "finish --list L1 --as-kit --by NU"


def test_a_list_ends_as_its_kits_say_but_for_what_is_named(desk: Desk) -> None:
    desk.ok("issue --list L1 --by NU")
    desk.file("e.csv", EXCEPTIONS)
    page = desk.ok(f"{LIST} --exceptions e.csv")
    assert "Recorded as entries 13 to 15." in page
    assert ("K1", 1, "waste/paid", "dropped") in [(m[0], m[1], *m[4:]) for m in moves(desk, 13)]
    assert ("V2", 1, "STORE") in [(m[0], m[1], m[4]) for m in moves(desk, 14)]
    assert ("O1", 1, "used/paid") in [(m[0], m[1], m[4]) for m in moves(desk, 14)]
    assert "wasted 33.33" in line_with(page, "C1 ")
    assert desk.rows("SELECT * FROM on_hand WHERE place LIKE 'trolley/%'") == []


def test_cases_never_issued_are_issued_first(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.ok(LIST)
    kinds = desk.rows("SELECT kind, document FROM entry WHERE number > 10 ORDER BY number")
    assert kinds == [("finish", "C1"), ("issue", "C2"), ("finish", "C2"), ("issue", "C3"),
                     ("finish", "C3")]  # fmt: skip


def test_a_case_that_is_left_out_stays_as_it_is(desk: Desk) -> None:
    desk.ok("issue --list L1 --by NU")
    desk.ok(f"{LIST} --leave C2")
    staged = desk.rows("SELECT DISTINCT case_code FROM case_balance WHERE place = 'trolley/OT1'")
    assert staged == [("C2",)]


def test_cases_finished_before_are_left_alone(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok(LIST)
    finishes = "SELECT document FROM entry WHERE kind = 'finish' ORDER BY number"
    assert desk.rows(finishes) == [("C1",), ("C2",), ("C3",)]
    assert "finished already" in desk.refused(LIST, 3)


def test_one_case_that_cannot_end_stops_the_whole_list(desk: Desk) -> None:
    desk.ok("issue --list L1 --by NU")
    desk.file("e.csv", "case,what,item,quantity\nC3,returned,KNIFE,2\n")
    assert "case C3" in desk.refused(f"{LIST} --exceptions e.csv", 3)


def test_an_exception_for_a_case_that_is_finished_is_not_lost_in_silence(desk: Desk) -> None:
    """What somebody wrote down is recorded or refused, never dropped."""
    desk.ok("finish C1 --as-kit --by NU")
    desk.file("e.csv", EXCEPTIONS)
    assert "C1" in desk.refused(f"{LIST} --exceptions e.csv", 3)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("C9,returned,KNIFE,1,\n", "C9 is not a case of it"),
        ("C1,lost,KNIFE,1,\n", "extra, returned, wasted"),
        ("C1,wasted,KNIFE,1,\n", "dropped"),
        ("C1,returned,KNIVE,1,\n", "Near: KNIFE"),
        ("C1,returned,KNIFE,0,\n", "above zero"),
    ],
)
def test_wrong_exceptions_are_wrong_input(desk: Desk, rows: str, words: str) -> None:
    desk.ok("issue --list L1 --by NU")
    desk.file("e.csv", f"case,what,item,quantity,reason\n{rows}")
    assert words in desk.refused(f"{LIST} --exceptions e.csv", 2)


@pytest.mark.parametrize("quantity", ["0", "many"])
def test_a_bad_quantity_is_named_with_its_row(desk: Desk, quantity: str) -> None:
    desk.file(
        "e.csv", f"case,what,item,quantity\nC1,returned,VISC,1\nC2,returned,VISC,{quantity}\n"
    )
    said = desk.refused(f"{LIST} --exceptions e.csv", 2)
    assert "e.csv" in said
    assert line_with(said, "quantity", repr(quantity)).startswith("3 ")


def test_a_case_to_leave_has_to_be_of_the_list(desk: Desk) -> None:
    assert "C4 is not a case of it" in desk.refused(f"{LIST} --leave C4", 2)


def test_leaving_every_case_finishes_nothing(desk: Desk) -> None:
    desk.refused(f"{LIST} --leave C1 --leave C2 --leave C3", 3)


def test_a_list_asks_without_as_kit_and_takes_no_options_of_one_case(desk: Desk) -> None:
    assert "used as issued" in desk.refused("finish --list L1 --by NU", 2)
    assert "--exceptions" in desk.refused(f"{LIST} --returned VISC 1", 2)
