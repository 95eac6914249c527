"""Issuing a kit to a case: all of it or nothing."""

import json

import pytest
from desk import Desk

from jobs.pages import line_with, moves, value_at


def picks(desk: Desk) -> list[tuple[str, int, str]]:
    """Lot, steps and place of each pick of the last entry."""
    return sorted((m[0], m[1], m[3]) for m in moves(desk))


def missing(desk: Desk, case: str) -> dict[str, int]:
    """What the case did not get, by item in steps."""
    text = desk.rows("SELECT missing FROM theatre_case WHERE code = ?", case)[0][0]
    return {gap["item"]: gap["quantity"] for gap in json.loads(text)}


def test_a_kit_goes_to_the_trolley_theatre_first_then_store_soonest_expiry_first(
    desk: Desk,
) -> None:
    page = desk.ok("issue C1 --by NU")
    assert picks(desk) == [
        ("I1", 25, "OT1"),
        ("K1", 1, "OT1"),
        ("R1", 1, "STORE"),
        ("V1", 1, "OT1"),
        ("V2", 1, "STORE"),
    ]
    assert {m[4] for m in moves(desk)} == {"trolley/OT1"}
    assert "Check the lens in your hand against the signed lens plan" in page
    assert "Recorded as entry 10." in page


def test_a_requirement_of_the_case_or_of_the_command_adds_its_line(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --with dye")
    assert ("D1", 1, "STORE") in picks(desk)
    assert desk.rows("SELECT needs FROM theatre_case WHERE code = 'C1'") == [('["dye"]',)]
    desk.ok("issue C2 --by NU")
    assert ("D1", 1, "STORE") in picks(desk)


def test_a_requirement_no_line_answers_is_wrong_input(desk: Desk) -> None:
    assert "it knows: dye" in desk.refused("issue C1 --by NU --with hooks", 2)


def test_an_expired_lot_and_one_with_too_few_days_left_are_never_picked(desk: Desk) -> None:
    """D0 is past its day; the dye needs one day left at use."""
    desk.ok("issue C2 --by NU")
    assert [lot for lot, *_ in picks(desk) if lot.startswith("D")] == ["D1"]


@pytest.mark.parametrize(("left", "taken"), [(2, "V2"), (1, "W1")])
def test_one_of_falls_to_the_alternative_that_is_there_in_full(
    desk: Desk, left: int, taken: str
) -> None:
    desk.ok("discard VISC 1 --from OT1 --reason damaged --by KE")
    desk.ok("discard VISC 5 --from STORE --lot V3 --reason damaged --by KE")
    desk.ok(f"discard VISC {9 - left} --from STORE --lot V2 --reason damaged --by KE")
    desk.ok("issue C1 --by NU")
    assert [p for p in picks(desk) if p[0] in ("V2", "W1")] == [(taken, 2, "STORE")]


def test_a_missing_standby_line_warns_and_never_stops_the_issue(desk: Desk) -> None:
    assert "Warning" not in desk.ok("issue C1 --by NU -n")
    desk.ok("discard VIT 1 --from OT1 --reason damaged --by KE")
    page = desk.ok("issue C1 --by NU")
    line = line_with(page, "Warning: standby VIT")
    assert "0 usable, 1 wanted (OT1 and STORE)" in line


def test_a_standby_line_in_reach_stays_where_it_is(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    assert desk.on_hand("VIT") == {("OT1", "T1"): 1}


def test_the_lens_is_of_exactly_the_cases_power(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.ok("discard RINGL+21.50 1 --from STORE --reason damaged --by KE")
    desk.ok("reverse 10 --by NU --reason typing-error")
    desk.ok("discard RINGL+21.50 1 --from STORE --reason damaged --by KE")
    said = desk.refused("issue C1 --by NU", 3)
    assert line_with(said, "RINGL+21.50") == "C1 RINGL+21.50 1 0 1 none anywhere"


def test_a_case_without_model_or_power_is_refused(desk: Desk) -> None:
    assert "model or power unknown" in desk.refused("issue C5 --by NU", 3)


def test_what_is_missing_refuses_it_all_with_how_much_and_what_is_near(desk: Desk) -> None:
    said = desk.refused("issue C4 --by NU", 3)
    assert line_with(said, "Short", "Near") == "Case Item Wanted Usable Short Near"
    assert line_with(said, "IODINE") == "C4 IODINE 2.5 ml 0 ml 2.5 ml 20.5 ml in OT1"
    assert line_with(said, "CASS") == "C4 CASS 1 0 1 none anywhere"
    assert "--partial" in said


def test_what_lies_in_reach_but_must_not_be_used_is_named_as_near(desk: Desk) -> None:
    desk.ok("discard DYE 3 --from STORE --lot D1 --reason damaged --by KE")
    said = desk.refused("issue C2 --by NU", 3)
    assert line_with(said, "DYE") == "C2 DYE 1 0 1 2 in STORE expired 2027-02-10"


def test_partial_issues_what_there_is_and_the_case_keeps_what_was_missing(desk: Desk) -> None:
    page = desk.ok("issue C4 --by NU --partial")
    assert "MISSING, recorded with the case" in page
    assert missing(desk, "C4") == {"IODINE": 25, "CASS": 1}
    changes = desk.rows("SELECT kind, code FROM change WHERE entry = 10")
    assert changes == [("case", "C4")]


def test_the_rest_of_a_partial_issue_comes_later(desk: Desk) -> None:
    desk.ok("issue C4 --by NU --partial")
    assert line_with(desk.refused("issue C4 --by NU --rest", 3), "CASS").startswith("C4 CASS 1 0 1")
    desk.ok("move IODINE 2.5 --from OT1 --to STORE --by KE")
    desk.ok("receive ACME --note N --by KE --line CASS 1 C9 2029-01 60")
    desk.ok("issue C4 --by NU --rest")
    assert picks(desk) == [("C9", 1, "STORE"), ("I1", 25, "STORE")]
    assert missing(desk, "C4") == {}
    assert desk.rows("SELECT request_key FROM entry WHERE number = 13") == [("issue/C4/after/10",)]


def test_a_rest_in_parts_leaves_what_is_still_missing(desk: Desk) -> None:
    desk.ok("issue C4 --by NU --partial")
    desk.ok("receive ACME --note N --by KE --line CASS 1 C9 2029-01 60")
    desk.ok("issue C4 --by NU --rest --partial")
    assert missing(desk, "C4") == {"IODINE": 25}


def test_there_is_no_rest_where_nothing_was_missing(desk: Desk) -> None:
    assert "nothing is missing" in desk.refused("issue C1 --by NU --rest", 3)
    desk.ok("issue C1 --by NU")
    assert "nothing is missing" in desk.refused("issue C1 --by NU --rest", 3)


def test_a_named_lot_is_taken_instead_of_the_picked_one_and_is_seen(desk: Desk) -> None:
    page = desk.ok("issue C1 --by NU --lot VISC V3 --lot RINGL+21.50 S2")
    assert ("V3", 2, "STORE") in picks(desk)
    assert line_with(page, "S2").endswith("seen")
    seen = desk.rows("SELECT DISTINCT seen FROM movement JOIN lot ON code = lot "
                     "WHERE entry = 10 AND (number = 'V3' OR serial = 'S2')")  # fmt: skip
    assert seen == [(1,)]


def test_a_named_lot_may_come_together_with_picked_ones(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --lot VISC V1")
    gels = [p for p in picks(desk) if p[0].startswith("V")]
    assert gels == [("V1", 1, "OT1"), ("V2", 1, "STORE")]


@pytest.mark.parametrize(
    ("lot", "code", "words"),
    [
        ("DYE D0", 3, "must not be used: expired 2027-02-10"),
        ("KNIFE K7", 3, "no such lot"),
        ("CASS C9", 2, "needs none of it"),
        ("KNIVE K1", 2, "Near: KNIFE"),
    ],
)
def test_a_named_lot_that_must_not_be_used_or_is_not_there_is_refused(
    desk: Desk, lot: str, code: int, words: str
) -> None:
    assert words in desk.refused(f"issue C1 --by NU --with dye --lot {lot}", code)


def test_for_a_past_day_a_lot_that_broke_the_rule_is_recorded_with_reason_and_warning(
    desk: Desk,
) -> None:
    """Rule 6: the rules never stop recording what has already happened."""
    desk.ok("receive ACME --note N --by KE --line KNIFE 1 K9 2029-01 1")
    day = {"today": "2027-03-04"}
    line = "issue C2 --by NU --on 2027-03-02 --lot DYE D0"
    assert "--reason" in desk.refused(line, 3, **day)
    page = desk.ok(f"{line} --reason noticed-later", **day)
    assert "Warning: DYE lot D0 was expired 2027-02-10 (noticed-later)" in page


def test_a_found_unit_shown_at_another_place_is_moved_from_there(desk: Desk) -> None:
    desk.ok("move KNIFE 1 --from STORE --to OT2 --lot K2 --by KE")
    desk.ok("issue C1 --by NU --found KNIFE K2 2028-03 1")
    knives = [m for m in moves(desk) if m[0] == "K2"]
    assert [(m[1], m[3], m[5]) for m in knives] == [(1, "STORE", "found-at-use")]
    desk.ok("move KNIFE 3 --from STORE --to OT2 --by KE")
    desk.ok("issue C3 --by NU --found KNIFE K2 2028-03 1")
    assert ("K2", 1, "OT2") in picks(desk)


def test_a_found_unit_shown_nowhere_comes_from_difference_at_the_last_price_provisional(
    desk: Desk,
) -> None:
    page = desk.ok("issue C1 --by NU --found VISC V77 2028-09 1")
    assert ("V77", 1, "difference") in picks(desk)
    assert [m[2] for m in moves(desk) if m[0] == "V77"] == [10000]
    assert "Warning: VISC lot V77 was not in the book" in page
    rows = desk.rows("SELECT provisional, expires_on FROM lot WHERE number = 'V77'")
    assert rows == [(1, "2028-09-30")]


def test_a_found_unit_of_no_known_price_is_worth_nothing(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --extra CASS 1 --found CASS C9 2028-09 1")
    assert value_at(desk, "CASS", "C9") == 0


def test_a_found_unit_that_is_expired_must_not_be_issued(desk: Desk) -> None:
    said = desk.refused("issue C1 --by NU --found VISC V77 2027-02 1", 3)
    assert "expired 2027-02" in said


def test_an_extra_may_come_with_the_kit_or_after_it(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --extra KNIFE 1")
    assert ("K1", 2, "OT1") in picks(desk) or picks(desk).count(("K1", 1, "OT1")) == 2
    desk.ok("issue C1 --by NU --extra OPIATE 1")
    assert picks(desk) == [("O1", 1, "STORE")]
    assert desk.rows("SELECT request_key FROM entry WHERE number = 11") == [("issue/C1/after/10",)]


def test_an_extra_that_is_not_there_is_refused(desk: Desk) -> None:
    said = desk.refused("issue C1 --by NU --extra CASS 2", 3)
    assert line_with(said, "CASS") == "C1 CASS 2 0 2 none anywhere"


@pytest.mark.parametrize("quantity", ["0", "-1", "1.5", "99999999999999999"])
def test_an_extra_of_a_wrong_quantity_is_wrong_input(desk: Desk, quantity: str) -> None:
    assert quantity in desk.refused(f"issue C1 --by NU --extra KNIFE {quantity}", 2)


def test_the_surgeons_differences_replace_remove_and_add(desk: Desk) -> None:
    desk.ok("move IODINE 10 --from OT1 --to OT2 --by KE")
    desk.ok("receive ACME --note N --by KE --line CASS 1 C9 2029-01 60")
    desk.ok("issue C4 --by NU")
    lots = [lot for lot, *_ in picks(desk)]
    assert "C9" in lots
    assert not [lot for lot in lots if lot.startswith("K")]


def test_issuing_twice_answers_the_old_entry(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    last = desk.last()
    assert "Already recorded as entry 10" in desk.ok("issue C1 --by NU")
    assert desk.last() == last


def test_issuing_again_with_another_lot_named_is_refused(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    said = desk.refused("issue C1 --by NU --lot VISC V3", 3)
    assert "case C1 is issued already (entry 10)" in said


def test_the_same_issue_with_its_extra_twice_is_recorded_once(desk: Desk) -> None:
    line = "issue C1 --by NU --extra OPIATE 1 --with dye"
    desk.ok(line)
    assert "Already recorded as entry 10" in desk.ok(line)


def test_an_addition_typed_twice_is_recorded_once_and_another_one_has_a_comment(
    desk: Desk,
) -> None:
    line = "issue C1 --by NU --extra OPIATE 1"
    desk.ok("issue C1 --by NU")
    desk.ok(line)
    last = desk.last()
    assert "Already recorded as entry 11" in desk.ok(line)
    assert desk.last() == last
    desk.ok(f"{line} --comment second")
    assert "Already recorded as entry 12" in desk.ok(f"{line} --comment second")
    desk.ok(line)
    assert desk.last()[0] == 13


def test_an_addition_after_something_else_or_by_another_is_a_new_one(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.ok("issue C1 --by NU --extra OPIATE 1")
    desk.ok("issue C1 --by NU --extra KNIFE 1")
    desk.ok("issue C1 --by NU --extra OPIATE 1")
    desk.ok("issue C1 --by NU --extra OPIATE 1", today="2027-03-02")
    desk.ok("reverse 14 --reason wrong-case --by NU", today="2027-03-02")
    desk.ok("issue C1 --by NU --extra OPIATE 1", today="2027-03-02")
    assert desk.last()[0] == 16


def test_the_same_extra_as_the_kit_s_issue_named_is_another_one_with_a_comment(
    desk: Desk,
) -> None:
    desk.ok("issue C1 --by NU --extra OPIATE 1")
    assert "Already recorded as entry 10" in desk.ok("issue C1 --by NU --extra OPIATE 1")
    desk.ok("issue C1 --by NU --extra OPIATE 1 --comment second")
    assert desk.last()[0] == 11


def test_a_rest_that_is_still_missing_may_be_asked_again(desk: Desk) -> None:
    desk.ok("discard DYE 3 --from STORE --lot D1 --reason damaged --by KE")
    desk.ok("issue C2 --by NU --partial")
    desk.ok("receive ACME --by KE --line DYE 1 D7 2029-01 5.00")
    desk.ok("issue C2 --rest --by NU")
    assert "Already recorded as entry 13" in desk.ok("issue C2 --rest --by NU")


def test_a_requirement_that_comes_up_later_issues_its_line_alone(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.ok("issue C1 --by NU --with dye")
    assert picks(desk) == [("D1", 1, "STORE")]
    assert "issue/C1/after/10" in desk.ok("entries 11")


def test_a_reversed_issue_can_be_done_again(desk: Desk) -> None:
    desk.ok("issue C4 --by NU --partial")
    desk.ok("reverse 10 --by NU --reason wrong-case")
    assert missing(desk, "C4") == {}
    assert "Recorded as entry 12." in desk.ok("issue C4 --by NU --partial")


def test_nothing_more_is_issued_to_a_finished_case(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    assert "is finished (entry 11)" in desk.refused("issue C1 --by NU --extra KNIFE 1", 3)


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("issue C1 --by KE", 3, "nurse"),
        ("issue C1 --by AU", 3, "nurse"),
        ("issue C1 --by QQ", 2, "QQ"),
        ("issue C9 --by NU", 2, "Near: C"),
        ("issue --by NU", 2, "CASE or --list"),
        ("issue C1 --list L1 --by NU", 2, "CASE or --list"),
        ("issue --list L9 --by NU", 2, "Near: L"),
        ("issue --list L1 --with dye --by NU", 2, "--partial only"),
    ],
)
def test_roles_and_unknown_names_are_refused(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refused(line, code)


def test_a_dry_run_leaves_the_book_byte_identical(desk: Desk) -> None:
    before = desk.path.read_bytes()
    page = desk.ok("issue C1 --by NU -n")
    assert "it would be entry 10. Nothing was recorded." in page
    assert "V1" in page
    assert desk.path.read_bytes() == before
