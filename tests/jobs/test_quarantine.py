"""Quarantine: a condition under which stock must not be used."""

import pytest
from desk import Desk

from jobs.pages import line_with, moves

START = "quarantine start --reason suspected-defect --by MA"


def test_staged_kits_are_shown_first_with_their_case(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    page = desk.ok(f"{START} --lot V2")
    lines = [line for line in page.splitlines() if " V2 " in line]
    assert [" ".join(line.split()) for line in lines] == [
        "ON TROLLEY, C1 VISC V2 2027-05-31 1",
        "STORE VISC V2 2027-05-31 8",
    ]


def test_what_is_in_quarantine_is_neither_picked_nor_issued_by_hand(desk: Desk) -> None:
    desk.ok(f"{START} --lot V2")
    assert "in quarantine Q1" in desk.refused("issue C1 --by NU --lot VISC V2", 3)
    desk.ok("issue C1 --by NU")
    assert {m[0] for m in moves(desk) if m[0].startswith("V")} == {"V1", "V3"}


def test_what_is_in_quarantine_moves_to_no_theatre(desk: Desk) -> None:
    desk.ok(f"{START} --lot V2")
    said = desk.refused("move VISC 1 --from STORE --to OT1 --lot V2 --by KE", 3)
    assert "in quarantine Q1" in said
    desk.ok("move VISC 9 --from STORE --to QUAR --lot V2 --by KE")


def test_a_condition_meets_later_deliveries_too(desk: Desk) -> None:
    desk.ok(f"{START} --item CASS --lot C9")
    desk.ok("receive ACME --note N --by KE --line CASS 1 C9 2029-01 60")
    assert line_with(desk.ok("quarantine show"), "C9", "STORE") == "STORE CASS C9 2029-01 1"
    assert "quarantine Q1" in desk.refused("issue C1 --by NU --extra CASS 1", 3)


@pytest.mark.parametrize(
    ("condition", "lots"),
    [
        ("--item KNIFE", {"K1", "K2"}),
        ("--lot D1", {"D1"}),
        ("--serial S1", {"R1"}),
        ("--place OT2", {"F2"}),
        ("--expires-from 2028-03-30 --expires-through 2028-03-31", {"K2"}),
        ("--expires-from 2028-04-01 --item KNIFE", set()),
        ("--expires-through 2028-03-30 --item KNIFE", {"K1"}),
        ("--item VISC --place STORE", {"V2", "V3"}),
    ],
)
def test_each_part_of_a_condition_narrows_it(desk: Desk, condition: str, lots: set[str]) -> None:
    page = desk.ok(f"{START} {condition}")
    known = {row[0] for row in desk.rows("SELECT number FROM lot")}
    assert {word for word in page.partition("===")[2].split() if word in known} == lots


def test_a_supplier_is_a_condition(desk: Desk) -> None:
    desk.ok("receive ACME --note N --by KE --line CASS 1 C9 2029-01 60")
    desk.ok("receive CART --note N --by KE --line CASS 1 C8 2029-01 60")
    page = desk.ok(f"{START} --supplier CART")
    assert "C8" in page
    assert "C9" not in page


def test_a_serial_in_quarantine_leaves_its_neighbours_of_the_lot_usable(desk: Desk) -> None:
    desk.ok(f"{START} --serial S1")
    desk.ok("issue C1 --by NU")
    assert desk.on_hand("RINGL+21.50") == {("STORE", "S1"): 1, ("trolley/OT1", "S2"): 1}


def test_a_release_needs_two_people_and_a_comment(desk: Desk) -> None:
    desk.ok(f"{START} --lot V2")
    release = "quarantine release Q1 --by MA"
    assert "--comment" in desk.refused(f"{release} --checked-by MB", 2)
    assert "second person" in desk.refused(f"{release} --comment fit", 3)
    assert "cannot check their own" in desk.refused(f"{release} --comment fit --checked-by MA", 3)
    desk.ok(f"{release} --comment fit --checked-by MB")
    row = desk.rows("SELECT kind, by, checked_by, comment FROM entry WHERE number = 11")
    assert row == [("release", "MA", "MB", "fit")]


def test_what_is_released_is_usable_again_and_only_once_released(desk: Desk) -> None:
    desk.ok(f"{START} --lot V2")
    release = "quarantine release Q1 --by MA --checked-by MB --comment fit"
    desk.ok(release)
    assert "released already" in desk.refused(release, 3)
    desk.ok("issue C1 --by NU --lot VISC V2")
    assert desk.ok("quarantine show") == "No quarantine stands.\n"
    assert "Q1" in desk.ok("quarantine show --released")


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        (START, 2, "nothing named"),
        ("quarantine start --lot V2 --by MA", 2, "no reason"),
        ("quarantine start --lot V2 --reason odd --by MA", 2, "recall-notice"),
        (f"{START} --lot V99", 2, "never here"),
        (f"{START} --item VISK", 2, "Near: VISC"),
        (f"{START} --expires-from 2027-02-30", 2, "calendar"),
        (f"{START} --place SHED", 2, "SHED"),
        (f"{START} --supplier ACNE", 2, "Near: ACME"),
        ("quarantine start --lot V2 --reason cluster --by KE", 3, "manager"),
        ("quarantine release Q9 --by MA --checked-by MB --comment fit", 2, "Q9"),
    ],
)
def test_a_wrong_quarantine_is_refused(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refused(line, code)


def test_a_serial_that_was_never_here_needs_its_item(desk: Desk) -> None:
    """As with a lot: a slip of the finger must not look like a stop."""
    assert "S99" in desk.refused(f"{START} --serial S99", 2)


def test_an_expiry_range_turned_round_is_wrong_input(desk: Desk) -> None:
    desk.refused(f"{START} --expires-from 2028-03-31 --expires-through 2028-03-01", 2)
