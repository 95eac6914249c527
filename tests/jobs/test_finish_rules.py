"""Finishing what should not have been used, and finishing before the day of the list (rule 6)."""

import pytest
from desk import Desk

STOP = "quarantine start --item VISC --lot V2 --reason recall-notice --by MA"


@pytest.fixture
def staged(desk: Desk) -> Desk:
    """Case C1 on the trolley with one VISC of lot V1 and one of V2."""
    desk.ok("issue C1 --by NU")
    return desk


def test_a_lot_stopped_after_the_issue_is_finished_only_with_a_reason(staged: Desk) -> None:
    staged.ok(STOP)
    said = staged.refused("finish C1 --as-kit --by NU", 3)
    assert "VISC lot V2 was not to be used: in quarantine Q1" in said
    page = staged.ok("finish C1 --as-kit --by NU --reason noticed-later")
    assert "Warning: VISC lot V2 was in quarantine Q1 (noticed-later)." in page
    assert "noticed-later" in staged.ok("entries 12")


def test_what_is_returned_of_a_stopped_lot_needs_no_reason(staged: Desk) -> None:
    staged.ok(STOP)
    page = staged.ok("finish C1 --as-kit --returned VISC 2 --by NU")
    assert "Warning" not in page
    assert staged.on_hand("VISC", "STORE")[("STORE", "V2")] == 9


@pytest.mark.parametrize(("day", "code"), [("2027-05-30", 0), ("2027-05-31", 0), ("2027-06-01", 3)])
def test_a_lot_that_expired_on_the_trolley_is_finished_only_with_a_reason(
    staged: Desk, day: str, code: int
) -> None:
    """V2 may be used through 2027-05-31."""
    answer = staged.run("finish C1 --as-kit --by NU -y", today=day)
    assert answer.code == code
    assert ("VISC lot V2 was not to be used: expired 2027-05-31" in answer.err) is (code == 3)


def test_a_case_finished_before_its_day_is_asked_about(staged: Desk) -> None:
    words = "case C1 is planned for 2027-03-01. Was it really finished on 2027-02-28?"
    line = "finish C1 --as-kit --by NU --on 2027-02-28"
    assert words in staged.refused(line, 2)
    staged.ok(f"{line} -y")


def test_a_list_finished_before_its_day_is_asked_about(staged: Desk) -> None:
    line = "finish --list L1 --as-kit --by NU --on yesterday"
    assert "is planned for 2027-03-01" in staged.refused(line, 2)
    assert "C3" in staged.ok(f"{line} -y")


def test_a_lot_in_hand_after_the_issue_says_how_to_add_it(staged: Desk) -> None:
    said = staged.refused("issue C1 --found VISC V9 2029-01 1 --by NU", 3)
    assert "issued already (entry 10)" in said
    assert "--extra ITEM QTY" in said
    staged.ok("issue C1 --extra VISC 1 --found VISC V9 2029-01 1 --by NU")


def test_what_two_cases_exchange_over_a_shelf_is_valued_in_order(desk: Desk) -> None:
    """Rule 4: the shelf holds a unit of that lot with another odd minor unit."""
    rows = "item,units,lot,expiry,total\nKNIFE,3,K3,2027-12,1.00\n"
    desk.ok(f"receive ACME --lines {desk.file('d.csv', rows)} --by KE")
    desk.ok("discard KNIFE 2 --from OT1 --reason damaged --by KE")
    desk.ok("issue C1 --by NU")
    desk.ok("issue C2 --by NU")
    desk.ok("move KNIFE 1 --from STORE --to OT1 --by KE")
    desk.ok("finish C1 --as-kit --lot KNIFE K3 --by NU")
    assert "The book is sound" in desk.ok("book verify")
