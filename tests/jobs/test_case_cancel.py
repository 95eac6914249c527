"""Cancelling: opened is waste, all else goes back; a cancelled case is served no more."""

import pytest
from desk import Desk

from jobs.pages import line_with, moves
from jobs.proven import of_case, on_trolleys, proven


@pytest.fixture
def issued(desk: Desk) -> Desk:
    desk.ok("issue C1 --by NU")
    return desk


def test_before_the_issue_it_is_a_change_alone(desk: Desk) -> None:
    assert "Nothing of it was on a trolley." in desk.ok("case cancel C1 --by NU")
    assert desk.rows("SELECT kind, movement_count FROM entry WHERE number = 10") == [("cancel", 0)]
    assert desk.ok("case show C1").startswith("Case C1: cancelled")


def test_after_the_issue_everything_unopened_goes_back_where_it_was_drawn(issued: Desk) -> None:
    before = {item: issued.on_hand(item) for item in ("VISC", "KNIFE", "IODINE", "RINGL+21.50")}
    issued.ok("case cancel C1 --by NU")
    assert on_trolleys(issued) == []
    assert of_case(issued, "C1") == {}
    assert issued.on_hand("VISC") == {("OT1", "V1"): 1, ("STORE", "V2"): 9, ("STORE", "V3"): 5}
    assert before != {item: issued.on_hand(item) for item in before}
    proven(issued)


def test_what_was_opened_is_waste_of_the_category_with_its_reason(issued: Desk) -> None:
    issued.ok("case cancel C1 --wasted KNIFE 1 dropped --wasted IODINE 0.5 cancelled --by NU")
    assert of_case(issued, "C1") == {
        ("waste/paid", "K1"): (1, 3333),
        ("waste/paid", "I1"): (5, 100),
    }
    assert issued.on_hand("IODINE") == {("OT1", "I1"): 200}
    proven(issued)


def test_all_opened_wastes_all_but_what_is_named_as_returned(issued: Desk) -> None:
    page = issued.ok("case cancel C1 --all-opened --returned RINGL+21.50 1 --by NU")
    assert line_with(page, "R1 / S1").endswith("trolley/OT1 STORE")
    wasted = [m for m in moves(issued) if m[4] == "waste/paid"]
    assert {m[5] for m in wasted} == {"cancelled"}
    assert {m[0] for m in wasted} == {"K1", "I1", "V1", "V2"}
    assert on_trolleys(issued) == []
    proven(issued)


def test_consigned_units_opened_for_a_cancelled_case_are_charged(desk: Desk) -> None:
    desk.ok(["receive", "LENSCO", "--lines", desk.file("d.csv", (
        "item,units,lot,expiry,terms,agreed\nFLATL+21.00,1,X1,2029-01,consigned,900\n"
    )), "--to", "OT2", "--by", "KE"])  # fmt: skip
    desk.ok("issue C4 --partial --lot FLATL+21.00 X1 --by NU")
    desk.ok("case cancel C4 --wasted FLATL+21.00 1 cancelled --by NU")
    assert of_case(desk, "C4")[("waste/paid", "X1")] == (1, 90000)
    proven(desk)


def test_a_cancelled_case_is_not_issued_finished_or_counted_on(desk: Desk) -> None:
    desk.ok("case cancel C1 --by NU")
    for line in ("issue C1 --by NU", "finish C1 --as-kit --by NU"):
        assert "case C1 is cancelled. Take it back with 'case change C1 --again'" in desk.refused(
            line, 3
        )
    page = desk.ok("issue --list L1 --by NU")
    assert "C1 " not in page
    desk.ok("finish --list L1 --as-kit --by NU")
    assert of_case(desk, "C1") == {}
    proven(desk)


def test_a_cancelled_case_needs_nothing_on_the_shelf(desk: Desk) -> None:
    desk.file("v.csv", "place,item,keep_at_least,fill_to,lists\nOT1,KNIFE,,,1\n")
    desk.ok("import levels v.csv --by MA")
    desk.ok("discard KNIFE 1 --from OT1 --reason damaged --by KE")
    assert "KNIFE" in desk.ok("move --fill OT1 --from STORE --by KE -n")
    desk.ok("case cancel C1 --by NU")
    assert "KNIFE" not in line_or_empty(desk.ok("move --fill OT1 --from STORE --by KE -n"))


def line_or_empty(page: str) -> str:
    return "\n".join(line for line in page.splitlines() if "KNIFE" in line and "STORE" in line)


def test_cancelling_twice_answers_the_old_entry_and_other_contents_are_refused(
    issued: Desk,
) -> None:
    issued.ok("case cancel C1 --wasted KNIFE 1 dropped --by NU")
    last = issued.last()
    said = issued.ok("case cancel C1 --wasted KNIFE 1 dropped --by NU")
    assert "Already recorded as entry 11; nothing was added." in said
    assert issued.last() == last
    assert "cancel/C1/0 was recorded as entry 11" in issued.refused("case cancel C1 --by NU", 3)


def test_a_finished_case_is_not_cancelled(issued: Desk) -> None:
    issued.ok("finish C1 --as-kit --by NU")
    said = issued.refused("case cancel C1 --by NU", 3)
    assert "case C1 is finished (entry 11), so it took place" in said


@pytest.mark.parametrize("option", ["--wasted KNIFE 2 dropped", "--returned KNIFE 2"])
def test_no_more_is_named_than_lies_on_the_trolley(issued: Desk, option: str) -> None:
    assert "more of KNIFE" in issued.refused(f"case cancel C1 {option} --by NU", 3)


def test_nothing_is_named_where_nothing_is_on_the_trolley(desk: Desk) -> None:
    said = desk.refused("case cancel C1 --wasted KNIFE 1 dropped --by NU", 2)
    assert "nothing of it is on a trolley" in said


# Taken back


def test_a_case_taken_back_is_issued_anew_from_another_shelf_if_need_be(issued: Desk) -> None:
    issued.ok("case cancel C1 --wasted RINGL+21.50 1 dropped --by NU")
    assert "is cancelled" in issued.refused("case change C1 --position 5 --by NU", 3)
    issued.ok("case change C1 --again --list L1 --by NU")
    assert issued.ok("case show C1").startswith("Case C1: planned")
    issued.ok("issue C1 --by NU")
    assert "Already recorded as entry 13" in issued.ok("issue C1 --by NU")
    issued.ok("finish C1 --as-kit --by NU")
    assert of_case(issued, "C1")[("used/paid", "S2")] == (1, 240000)
    assert of_case(issued, "C1")[("waste/paid", "S1")] == (1, 240000)
    proven(issued)


def test_a_case_that_is_not_cancelled_is_not_taken_back(desk: Desk) -> None:
    assert "is not cancelled" in desk.refused("case change C1 --again --by NU", 3)


def test_a_case_moves_to_another_theatre_by_cancelling_and_taking_it_back(issued: Desk) -> None:
    issued.ok("case cancel C1 --by NU")
    issued.ok("case change C1 --again --list L2 --by NU")
    issued.ok("move IODINE 5 --from OT1 --to OT2 --by KE")
    issued.ok("issue C1 --by NU")
    assert {place for place, *_ in on_trolleys(issued)} == {"trolley/OT2"}
    proven(issued)


def test_a_cancellation_can_be_reversed_and_the_kit_waits_as_before(issued: Desk) -> None:
    issued.ok("case cancel C1 --wasted KNIFE 1 dropped --by NU")
    issued.ok("reverse 11 --reason wrong-case --by NU")
    assert issued.ok("case show C1").startswith("Case C1: issued")
    assert "Already recorded as entry 10" in issued.ok("issue C1 --by NU")
    issued.ok("finish C1 --as-kit --by NU")
    proven(issued)


def test_a_cancellation_is_not_reversed_once_the_case_was_issued_again(issued: Desk) -> None:
    issued.ok("case cancel C1 --by NU")
    issued.ok("case change C1 --again --by NU")
    issued.ok("issue C1 --by NU")
    said = issued.refused("reverse 11 --reason wrong-case --by NU", 3)
    assert "case C1 has the later issue 13. Reverse that first." in said


def test_a_list_given_again_by_import_leaves_a_cancelled_case_cancelled(desk: Desk) -> None:
    desk.ok("case cancel C1 --by NU")
    desk.ok("import lists lists.csv --by MA -y")
    assert desk.rows("SELECT cancelled FROM theatre_case WHERE code = 'C1'") == [(1,)]
