"""Finishing a case: used, wasted, returned; nothing stays on the trolley."""

import pytest
from desk import Desk

from jobs.pages import line_with, moves


def ended(desk: Desk) -> list[tuple[str, int, str, str | None]]:
    """Lot, steps, where to and why of each movement off the trolley in the last entry."""
    return sorted((m[0], m[1], m[4], m[5]) for m in moves(desk) if m[3].startswith("trolley/"))


def units_by_place(desk: Desk, item: str) -> dict[str, int]:
    sums: dict[str, int] = {}
    for (place, _), quantity in desk.on_hand(item).items():
        sums[place] = sums.get(place, 0) + quantity
    return sums


@pytest.fixture
def issued(desk: Desk) -> Desk:
    desk.ok("issue C1 --by NU")
    return desk


def test_as_kit_uses_all_that_was_issued(issued: Desk) -> None:
    page = issued.ok("finish C1 --as-kit --by NU")
    assert ended(issued) == [
        ("I1", 25, "used/paid", None),
        ("K1", 1, "used/paid", None),
        ("R1", 1, "used/paid", None),
        ("V1", 1, "used/paid", None),
        ("V2", 1, "used/paid", None),
    ]
    assert "All as issued." in page
    assert "Used: INR 2,638.33" in page
    assert issued.rows("SELECT * FROM on_hand WHERE place LIKE 'trolley/%'") == []


def test_a_free_case_ends_in_its_own_category(desk: Desk) -> None:
    desk.ok("finish C3 --as-kit --by NU")
    assert {m[2] for m in ended(desk)} == {"used/free"}


def test_without_as_kit_it_asks_and_yes_answers(issued: Desk) -> None:
    said = issued.refused("finish C1 --by NU", 2)
    assert "Was everything else used as issued?" in said
    assert "Recorded as entry 11." in issued.ok("finish C1 --by NU -y")


def test_a_case_that_was_never_issued_is_issued_first(desk: Desk) -> None:
    page = desk.ok("finish C1 --as-kit --by NU")
    assert "Recorded as entry 10." in page
    assert "Recorded as entry 11." in page
    assert desk.rows("SELECT kind FROM entry WHERE number > 9") == [("issue",), ("finish",)]


def test_a_case_whose_kit_is_missing_is_neither_issued_nor_finished(desk: Desk) -> None:
    assert line_with(desk.refused("finish C4 --as-kit --by NU", 3), "CASS").startswith("C4 CASS 1")


def test_an_extra_passes_the_trolley_in_the_same_entry(issued: Desk) -> None:
    issued.ok("finish C1 --as-kit --extra OPIATE 1 --by NU")
    assert [m[3:5] for m in moves(issued) if m[0] == "O1"] == [
        ("STORE", "trolley/OT1"),
        ("trolley/OT1", "used/paid"),
    ]


def test_an_extra_the_book_lacks_is_refused_with_what_is_near(issued: Desk) -> None:
    said = issued.refused("finish C1 --as-kit --extra CASS 1 --by NU", 3)
    assert line_with(said, "CASS") == "C1 CASS 1 0 1 none anywhere"
    assert "--found" in said


def test_an_extra_in_the_hand_comes_from_difference(issued: Desk) -> None:
    page = issued.ok("finish C1 --as-kit --found CASS C9 2028-01 1 --by NU")
    assert [m[3:5] for m in moves(issued) if m[0] == "C9"] == [
        ("difference", "trolley/OT1"),
        ("trolley/OT1", "used/paid"),
    ]
    assert "Warning: CASS lot C9 was not in the book" in page


def test_returned_units_go_back_to_where_they_were_drawn_the_last_picked_first(
    issued: Desk,
) -> None:
    page = issued.ok("finish C1 --as-kit --returned VISC 1 --by NU")
    assert ("V2", 1, "STORE", None) in ended(issued)
    assert line_with(page, "V2") == "VISC V2 1 trolley/OT1 STORE presumed"


def test_returning_all_of_an_item_restores_every_place(issued: Desk) -> None:
    issued.ok("finish C1 --as-kit --returned VISC 2 --returned IODINE 2.5 --by NU")
    assert issued.on_hand("VISC") == {("OT1", "V1"): 1, ("STORE", "V2"): 9, ("STORE", "V3"): 5}
    assert issued.on_hand("IODINE") == {("OT1", "I1"): 205}


def test_wasted_units_end_as_waste_of_the_category_with_their_reason(issued: Desk) -> None:
    issued.ok("finish C1 --as-kit --wasted KNIFE 1 dropped --wasted IODINE 0.5 leaked --by NU")
    assert ("K1", 1, "waste/paid", "dropped") in ended(issued)
    assert ("I1", 5, "waste/paid", "leaked") in ended(issued)
    assert ("I1", 20, "used/paid", None) in ended(issued)


def test_a_wrong_reason_is_wrong_input_with_the_whole_list(issued: Desk) -> None:
    said = issued.refused("finish C1 --as-kit --wasted KNIFE 1 lost --by NU", 2)
    assert "'lost'" in said
    assert "opened-not-used" in said


@pytest.mark.parametrize(
    "option",
    [
        "--returned KNIFE 2",
        "--wasted KNIFE 2 dropped",
        "--returned CASS 1",
        "--returned KNIFE 1 --wasted KNIFE 1 dropped",
    ],
)
def test_no_case_gives_back_or_wastes_more_than_it_took(issued: Desk, option: str) -> None:
    assert "more of" in issued.refused(f"finish C1 --as-kit {option} --by NU", 3)


@pytest.mark.parametrize("quantity", ["0", "-1", "1.5", "99999999999999999"])
def test_a_wrong_quantity_is_wrong_input(issued: Desk, quantity: str) -> None:
    line = f"finish C1 --as-kit --returned KNIFE {quantity} --by NU"
    assert quantity in issued.refused(line, 2)


def test_a_presumed_lot_that_is_named_is_seen_from_then_on(issued: Desk) -> None:
    issued.ok("finish C1 --as-kit --lot VISC V2 --by NU")
    seen = issued.rows("SELECT number, seen FROM movement JOIN lot ON code = lot "
                       "WHERE entry = 11 AND item = 'VISC' ORDER BY 1")  # fmt: skip
    assert seen == [("V1", 0), ("V2", 1)]


def test_another_lot_is_exchanged_and_no_place_changes_its_count(issued: Desk) -> None:
    before = units_by_place(issued, "VISC")
    issued.ok("finish C1 --as-kit --lot VISC V3 --by NU")
    assert {p: before[p] for p in ("OT1", "STORE") if p in before} == units_by_place(issued, "VISC")
    assert ("V2", 1, "STORE", "lots-exchanged") in ended(issued)
    assert ("V3", 1, "used/paid", None) in ended(issued)


def test_a_lot_of_another_theatre_is_exchanged_with_that_theatre(issued: Desk) -> None:
    issued.ok("move VISC 5 --from STORE --to OT2 --lot V3 --by KE")
    issued.ok("finish C1 --as-kit --lot VISC V3 --by NU")
    assert units_by_place(issued, "VISC") == {"STORE": 8, "OT2": 5}
    assert issued.on_hand("VISC") == {("OT2", "V2"): 1, ("OT2", "V3"): 4, ("STORE", "V2"): 8}


def test_a_lot_another_case_presumes_on_this_trolley_is_exchanged_with_that_case(
    issued: Desk,
) -> None:
    """Seen or presumed: first on this trolley, with the case that presumed it."""
    issued.ok("issue C2 --by NU")
    issued.ok("finish C2 --as-kit --lot VISC V1 --by NU")
    assert issued.on_hand("VISC", "trolley/OT1") == {("trolley/OT1", "V2"): 2}
    assert ("V1", 1, "used/paid", None) in ended(issued)
    assert issued.on_hand("VISC")["STORE", "V2"] == 6


@pytest.mark.parametrize(
    ("lot", "code", "words"),
    [("VISC V77", 3, "no place holds"), ("CASS C9", 2, "presumed"), ("KNIVE K", 2, "Near: KNIFE")],
)
def test_a_lot_no_place_holds_is_refused(issued: Desk, lot: str, code: int, words: str) -> None:
    assert words in issued.refused(f"finish C1 --as-kit --lot {lot} --by NU", code)


def test_an_expired_lot_that_was_used_is_recorded_with_reason_and_warning(desk: Desk) -> None:
    desk.ok("issue C2 --by NU")
    line = "finish C2 --as-kit --lot DYE D0 --by NU"
    said = desk.refused(line, 3)
    assert "expired 2027-02-10" in said
    assert "--reason: found-at-use, only-one-there" in said
    assert "'tired'" in desk.refused(f"{line} --reason tired", 2)
    page = desk.ok(f"{line} --reason only-one-there")
    assert "Warning: DYE lot D0 was expired 2027-02-10 (only-one-there)." in page
    assert ("D0", 1, "used/paid", None) in ended(desk)


def test_finishing_twice_answers_the_old_entry_and_other_contents_are_refused(
    issued: Desk,
) -> None:
    issued.ok("finish C1 --as-kit --by NU")
    last = issued.last()
    assert "Already recorded as entry 11" in issued.ok("finish C1 --as-kit --by NU")
    assert issued.last() == last
    said = issued.refused("finish C1 --as-kit --returned VISC 1 --by NU", 3)
    assert "finish/C1/0 was recorded as entry 11 by NU" in said


def test_a_partial_issue_finishes_with_what_it_got(desk: Desk) -> None:
    desk.ok("issue C4 --by NU --partial")
    desk.ok("finish C4 --as-kit --by NU")
    assert ended(desk) == [("F2", 1, "used/paid", None), ("V2", 2, "used/paid", None)]


def test_a_dry_run_of_a_finish_leaves_the_book_byte_identical(issued: Desk) -> None:
    before = issued.path.read_bytes()
    assert "it would be entry 11" in issued.ok("finish C1 --as-kit --by NU -n")
    assert issued.path.read_bytes() == before


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("finish C1 --as-kit --by KE", 3, "nurse"),
        ("finish C9 --as-kit --by NU", 2, "C9"),
        ("finish --as-kit --by NU", 2, "CASE or --list"),
        ("finish C1 --as-kit --leave C2 --by NU", 2, "go with --list"),
    ],
)
def test_roles_and_unknown_names_are_refused(
    issued: Desk, line: str, code: int, words: str
) -> None:
    assert words in issued.refused(line, code)
