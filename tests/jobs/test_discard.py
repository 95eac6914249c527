"""Discarding from a shelf, with a reason."""

import pytest
from desk import Desk

from jobs.pages import moves


def test_what_is_discarded_is_common_waste_with_its_value_and_reason(desk: Desk) -> None:
    desk.ok("discard VISC 2 --from STORE --lot V3 --reason wet --by KE")
    assert moves(desk) == [("V3", 2, 26000, "STORE", "waste/common", "wet")]


def test_the_reason_expired_takes_what_is_past_its_day_and_nothing_else(desk: Desk) -> None:
    desk.ok("discard DYE 2 --from STORE --reason expired --by KE")
    assert moves(desk) == [("D0", 2, 5000, "STORE", "waste/common", "expired")]
    assert "1 asked, 0 there" in desk.refused(
        "discard DYE 1 --from STORE --reason expired --by KE", 3
    )


@pytest.mark.parametrize(("day", "code"), [("2027-05-30", 3), ("2027-05-31", 3), ("2027-06-01", 0)])
def test_a_lot_is_expired_from_the_day_after_its_expiry(desk: Desk, day: str, code: int) -> None:
    line = "discard VISC 9 --from STORE --reason expired --by KE -y"
    assert desk.run(line, today=day).code == code


def test_without_a_reason_or_with_a_strange_one_nothing_is_discarded(desk: Desk) -> None:
    assert "no reason" in desk.refused("discard VISC 1 --from STORE --by KE", 2)
    said = desk.refused("discard VISC 1 --from STORE --reason old --by KE", 2)
    assert "'old'" in said
    assert "remainder" in said


def test_a_controlled_item_needs_another_person(desk: Desk) -> None:
    line = "discard OPIATE 1 --from STORE --reason damaged --by KE"
    assert "needs a second person" in desk.refused(line, 3)
    assert "cannot check their own entry" in desk.refused(f"{line} --checked-by KE", 3)
    assert "XX" in desk.refused(f"{line} --checked-by XX", 2)
    desk.ok(f"{line} --checked-by NU")
    assert desk.rows("SELECT by, checked_by FROM entry WHERE number = 10") == [("KE", "NU")]


def test_an_item_that_is_not_controlled_needs_nobody_else(desk: Desk) -> None:
    desk.ok("discard VISC 1 --from STORE --reason damaged --by KE")
    assert desk.rows("SELECT checked_by FROM entry WHERE number = 10") == [(None,)]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("VISC 1 --from STORE --reason wet --by NU", 3, "keeper"),
        ("VISC 15 --from STORE --reason wet --by KE", 3, "15 asked, 14 there"),
        ("VISC 1 --from STORE --lot V9 --reason wet --by KE", 3, "V9"),
        ("VISC 0 --from STORE --reason wet --by KE", 2, "above zero"),
        ("VISK 1 --from STORE --reason wet --by KE", 2, "Near: VISC"),
    ],
)
def test_a_wrong_discard_is_refused(desk: Desk, words: str, code: int, said: str) -> None:
    assert said in desk.refused(f"discard {words}", code)


def test_quarantined_stock_may_be_discarded_by_its_lot(desk: Desk) -> None:
    desk.ok("quarantine start --lot V2 --reason suspected-defect --by MA")
    desk.ok("discard VISC 9 --from STORE --lot V2 --reason recalled --by KE")
    assert desk.on_hand("VISC", "STORE") == {("STORE", "V3"): 5}
