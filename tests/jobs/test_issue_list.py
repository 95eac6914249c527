"""Issuing a whole list: every kit or none."""

from desk import Desk

from jobs.pages import line_with, moves
from jobs.test_issue import missing


def test_every_case_of_a_list_has_its_own_entry_in_the_lists_order(desk: Desk) -> None:
    page = desk.ok("issue --list L1 --by NU")
    rows = desk.rows("SELECT number, document, request_key FROM entry WHERE number > 9")
    assert rows == [(10, "C1", "issue/C1/0"), (11, "C2", "issue/C2/0"), (12, "C3", "issue/C3/0")]
    assert "Recorded as entries 10 to 12." in page
    assert line_with(page, "C2", "RINGL +21.00").endswith("entry 11")


def test_one_shelf_serves_the_whole_list(desk: Desk) -> None:
    desk.ok("issue --list L1 --by NU")
    assert [m[:2] for m in moves(desk, 11) if m[0].startswith("V")] == [("V2", 2)]
    assert desk.on_hand("VISC")["STORE", "V2"] == 6


def test_one_missing_kit_refuses_the_whole_list(desk: Desk) -> None:
    desk.ok("discard DYE 3 --from STORE --lot D1 --reason damaged --by KE")
    said = desk.refused("issue --list L1 --by NU", 3)
    assert "1 of 3 cases" in said
    assert line_with(said, "DYE").startswith("C2 DYE 1 0 1")


def test_what_the_first_cases_take_is_missing_for_the_last(desk: Desk) -> None:
    desk.ok("discard KNIFE 5 --from STORE --reason damaged --by KE")
    desk.ok("discard KNIFE 1 --from OT1 --reason damaged --by KE")
    said = desk.refused("issue --list L1 --by NU", 3)
    assert line_with(said, "KNIFE").startswith("C3 KNIFE 1 0 1")


def test_partial_issues_the_list_and_keeps_what_each_case_lacked(desk: Desk) -> None:
    desk.ok("discard DYE 3 --from STORE --lot D1 --reason damaged --by KE")
    page = desk.ok("issue --list L1 --by NU --partial")
    assert "MISSING DYE 1" in line_with(page, "C2")
    assert [missing(desk, case) for case in ("C1", "C2", "C3")] == [{}, {"DYE": 1}, {}]


def test_cases_issued_before_are_left_alone(desk: Desk) -> None:
    desk.ok("issue C2 --by NU")
    assert "Recorded as entries 11 to 12." in desk.ok("issue --list L1 --by NU")


def test_a_list_issued_in_full_says_so(desk: Desk) -> None:
    desk.ok("issue --list L1 --by NU")
    assert "every one of its 3 cases" in desk.refused("issue --list L1 --by NU", 3)


def test_a_list_with_a_case_of_unknown_lens_is_refused(desk: Desk) -> None:
    assert "case C5" in desk.refused("issue --list L2 --by NU --partial", 3)


def test_a_dry_run_of_a_list_leaves_the_book_byte_identical(desk: Desk) -> None:
    before = desk.path.read_bytes()
    assert "it would be entries 10 to 12" in desk.ok("issue --list L1 --by NU -n")
    assert desk.path.read_bytes() == before
