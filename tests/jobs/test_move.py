"""Moving stock from one place to another."""

import pytest
from desk import Desk

from jobs.pages import line_with, moves


def test_without_a_lot_the_soonest_usable_expiry_is_moved(desk: Desk) -> None:
    page = desk.ok("move VISC 10 --from STORE --to OT1 --by KE")
    assert moves(desk) == [
        ("V2", 9, 90000, "STORE", "OT1", None),
        ("V3", 1, 13000, "STORE", "OT1", None),
    ]
    assert line_with(page, "V2") == "V2 2027-05-31 9 900.00"


def test_value_leaves_in_proportion_and_the_last_unit_takes_the_rest(desk: Desk) -> None:
    """Rule 4: three units worth 100.00 leave as 33.33, 33.34, 33.33."""
    values = []
    for _ in range(3):
        desk.ok("move KNIFE 1 --from OT1 --to OT2 --by KE")
        values.append(moves(desk)[0][2])
    assert values == [3333, 3334, 3333]


def test_a_named_lot_is_moved_and_seen(desk: Desk) -> None:
    desk.ok("move VISC 2 --from STORE --to OT1 --lot V3 --by KE")
    assert desk.on_hand("VISC")["OT1", "V3"] == 2
    assert desk.rows("SELECT seen FROM movement WHERE entry = 10") == [(1,)]


@pytest.mark.parametrize(("asked", "code"), [(13, 0), (14, 0), (15, 3)])
def test_no_more_moves_than_is_there(desk: Desk, asked: int, code: int) -> None:
    line = f"move VISC {asked} --from STORE --to OT1 --by KE"
    if code == 0:
        desk.ok(line)
        return
    said = desk.refused(line, code)
    assert "15 asked, 14 there" in said
    assert line_with(said, "Short")


def test_what_must_not_be_used_moves_by_its_lot_to_quarantine_but_never_to_a_theatre(
    desk: Desk,
) -> None:
    assert "expired 2027-02-10" in desk.refused(
        "move DYE 1 --from STORE --to OT1 --lot D0 --by KE", 3
    )
    said = desk.refused("move DYE 4 --from STORE --to OT1 --by KE", 3)
    assert "2 of lot D0" in said
    desk.ok("move DYE 2 --from STORE --to QUAR --lot D0 --by KE")
    assert desk.on_hand("DYE", "QUAR") == {("QUAR", "D0"): 2}


def test_from_a_quarantine_area_nothing_is_picked(desk: Desk) -> None:
    desk.ok("move VISC 9 --from STORE --to QUAR --lot V2 --by KE")
    desk.ok("move VISC 5 --from STORE --to QUAR --lot V3 --by KE")
    desk.ok("issue C1 --by NU")
    lots = {m[0] for m in moves(desk)}
    assert not lots & {"V2", "V3"}


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("VISC 1 --from STORE --to STORE --by KE", 2, "both STORE"),
        ("VISC 1 --from STOR --to OT1 --by KE", 2, "STORE"),
        ("VISC 1 --from trolley/OT1 --to OT1 --by KE", 2, "place"),
        ("VISC 0 --from STORE --to OT1 --by KE", 2, "above zero"),
        ("VISC -1 --from STORE --to OT1 --by KE", 2, "-1"),
        ("VISC 0.5 --from STORE --to OT1 --by KE", 2, "a whole number"),
        ("IODINE 0.05 --from OT1 --to OT2 --by KE", 2, "at most 1 decimal"),
        ("VISC 99999999999999999 --from STORE --to OT1 --by KE", 2, "99999999999999999"),
        ("VISK 1 --from STORE --to OT1 --by KE", 2, "Near: VISC"),
        ("VISC 1 --from STORE --to OT1 --lot V9 --by KE", 3, "V9"),
        ("VISC 1 --from STORE --to OT1 --by NU", 3, "keeper"),
    ],
)
def test_a_wrong_move_is_refused(desk: Desk, words: str, code: int, said: str) -> None:
    assert said in desk.refused(f"move {words}", code)


def test_a_reason_is_a_word_of_a_fixed_list(desk: Desk) -> None:
    """Rule 7: why, from a fixed list; `move` has none, so a free word is wrong input."""
    desk.refused("move VISC 1 --from STORE --to OT1 --by KE --reason whatever", 2)


def test_a_dry_run_moves_nothing(desk: Desk) -> None:
    before = desk.path.read_bytes()
    assert "Nothing was recorded" in desk.ok("move VISC 1 --from STORE --to OT1 --by KE -n")
    assert desk.path.read_bytes() == before
