"""A place brought to its levels: one table, one question, one entry."""

from dataclasses import replace

import pytest
from desk import Desk
from ledger.books import opened, signed

from jobs.pages import cells, line_with, moves
from jobs.shelves import give, keep_as, label, level
from stockbook.domain.facts import Case
from stockbook.errors import Refused
from stockbook.jobs.filling import fill_place, planned_filling
from stockbook.ledger.facts import find

FILL = "move --fill OT1 --by KE -y"
WORDS = "move --fill OT1 --by KE"


@pytest.mark.parametrize(("least", "units"), [(1, 0), (2, 5), (3, 5)])
def test_an_item_below_the_first_number_is_filled_to_the_second(
    desk: Desk, least: int, units: int
) -> None:
    """One VISC lies in OT1; it is filled to six."""
    give(desk, level("OT1", "VISC", least, 6))
    desk.ok(FILL)
    assert desk.on_hand("VISC", "OT1").get(("OT1", "V2"), 0) == units


@pytest.mark.parametrize(("most", "back"), [(2, 1), (3, 0), (4, 0)])
def test_what_lies_above_the_second_number_goes_back(desk: Desk, most: int, back: int) -> None:
    give(desk, level("OT1", "KNIFE", 0, most))
    desk.ok(FILL)
    assert desk.on_hand("KNIFE").get(("STORE", "K1"), 0) == back


def test_one_table_and_one_entry_of_kind_move_with_both_directions(desk: Desk) -> None:
    give(desk, level("OT1", "VISC", 4, 6), level("OT1", "KNIFE", 0, 2), level("OT1", "VIT", 1, 1),
         label("OT1", "VISC", "B2"), label("STORE", "VISC", "S-11"))  # fmt: skip
    page = desk.ok(FILL)
    assert line_with(page, "V2") == ("B2 VISC Viscoelastic 1 4 6 in 5 V2 2027-05-31 STORE S-11")
    assert line_with(page, "K1") == "KNIFE Knife 2.2 mm 3 0 2 back 1 K1 2028-01 STORE"
    assert "Within their levels: 1 item." in page
    assert moves(desk) == [
        ("V2", 5, 50000, "STORE", "OT1", None), ("K1", 1, 3333, "OT1", "STORE", None)
    ]  # fmt: skip
    assert desk.rows("SELECT kind, reason FROM entry ORDER BY number DESC LIMIT 1") == [
        ("move", "refill")
    ]
    desk.ok("book verify")


def test_several_lots_stand_below_each_other(desk: Desk) -> None:
    give(desk, level("OT1", "VISC", 9, 13))
    page = desk.ok(FILL)
    assert line_with(page, "V3") == "in 3 V3 2029-01 STORE"
    assert sum(desk.on_hand("VISC", "OT1").values()) == 13


def test_quarantined_units_count_for_nothing(desk: Desk) -> None:
    give(desk, level("OT1", "VISC", 1, 2))
    desk.ok("quarantine start --item VISC --lot V1 --reason cluster --by MA")
    desk.ok("quarantine start --item VISC --lot V2 --reason cluster --by MA")
    desk.ok(FILL)
    assert desk.on_hand("VISC", "OT1") == {("OT1", "V1"): 1, ("OT1", "V3"): 2}


def test_expired_units_neither_count_nor_move(desk: Desk) -> None:
    give(desk, level("OT1", "DYE", 1, 4))
    page = desk.ok(FILL)
    assert desk.on_hand("DYE") == {("OT1", "D1"): 3, ("STORE", "D0"): 2}
    assert "Still short in OT1: DYE 1." in page


def test_partly_short_moves_as_far_as_it_goes_and_nothing_at_all_is_refused(desk: Desk) -> None:
    give(desk, level("OT1", "DYE", 2, 5))
    page = desk.ok(FILL)
    assert cells(page, "D1")[-1] == "2"
    give(desk, level("OT1", "DYE", 9, 9))
    said = desk.refused(FILL, 3)
    assert line_with(said, "DYE", "expired") == "DYE 6 0 6 2 in STORE expired 2027-02-10"


def test_nothing_to_do_is_said(desk: Desk) -> None:
    give(desk, level("OT1", "VISC", 1, 2))
    last = desk.last()
    assert "nothing to move" in desk.ok(WORDS)
    assert desk.last() == last


def test_it_asks_before_anything_moves_and_a_dry_run_does_not(desk: Desk) -> None:
    give(desk, level("OT1", "VISC", 2, 6), level("OT1", "KNIFE", 0, 1))
    said = desk.refused(WORDS, 2)
    assert "Move 1 item into OT1 and 1 item back to STORE?" in said
    before = desk.path.read_bytes()
    assert "Dry run" in desk.ok(f"{WORDS} -n")
    assert desk.path.read_bytes() == before


def test_shelves_that_changed_under_the_question_are_looked_at_again(desk: Desk) -> None:
    give(desk, level("OT1", "VISC", 2, 6))
    with opened(desk.path) as book:
        agreed = planned_filling(book, signed(), "OT1")
    desk.ok("move VISC 8 --from STORE --to OT2 --by KE")
    last = desk.last()
    with opened(desk.path) as book, pytest.raises(Refused, match="shelves changed"):
        fill_place(book, signed(), "OT1", None, agreed)
    assert desk.last() == last


def test_one_store_may_be_named_and_what_is_too_much_goes_back_to_it(desk: Desk) -> None:
    desk.ok("place new SPARE --name Spare --kind store --by MA")
    desk.ok("move VISC 2 --from STORE --to SPARE --lot V3 --by KE")
    give(desk, level("OT1", "VISC", 2, 3), level("OT1", "KNIFE", 0, 0))
    desk.ok(f"{FILL} --from SPARE")
    assert {(m[0], m[3], m[4]) for m in moves(desk)} == {
        ("V3", "SPARE", "OT1"), ("K1", "OT1", "SPARE")
    }  # fmt: skip


def test_units_go_back_to_a_store_of_their_storage_class(desk: Desk) -> None:
    desk.ok("place new FRIDGE --name Fridge --kind store --by MA")
    desk.ok("place new ZSTORE --name More --kind store --by MA")
    keep_as(desk, "cold", item="KNIFE")
    keep_as(desk, "cold", place="ZSTORE")
    give(desk, level("OT1", "KNIFE", 0, 1))
    desk.ok(FILL)
    assert [m[4] for m in moves(desk)] == ["ZSTORE"]


def test_a_wrong_storage_class_is_part_of_the_one_question(desk: Desk) -> None:
    keep_as(desk, "cold", item="VISC")
    give(desk, level("OT1", "VISC", 2, 3))
    assert "VISC is to be kept cold" in desk.refused(WORDS, 2)
    assert "Warning: VISC is to be kept cold" in desk.ok(f"{FILL} -q")


# ------------------------------------------------------------------ what the next lists need


def test_a_level_by_lists_comes_from_the_kits_with_lens_and_standby(desk: Desk) -> None:
    """L1 in OT1: two paid cases (2 viscoelastic, 1 knife each; one with dye), one free (knife)."""
    items = ("VISC", "KNIFE", "DYE", "IODINE", "VIT", "RINGL+21.50")
    give(desk, *(level("OT1", item, lists=1) for item in items))
    page = desk.ok(FILL)
    assert line_with(page, "V2") == "VISC Viscoelastic 1 4 4 in 3 V2 2027-05-31 STORE"
    assert cells(page, "IODINE")[1:9] == ["Povidone-iodine", "20.5", "ml", "5", "ml", "5", "ml",
                                          "back"]  # fmt: skip
    assert cells(page, "DYE")[3:6] == ["0", "1", "1"]
    assert cells(page, "R1 / S1")[0] == "RINGL+21.50"
    assert "Within their levels: 2 items." in page, "three knives and one vitrector are there"
    assert "without a level here: FLATL+21.50, RINGL+21.00." in page


def test_what_is_issued_is_needed_no_more(desk: Desk) -> None:
    give(desk, level("OT1", "VISC", lists=1))
    desk.ok("issue C1 --by NU")
    page = desk.ok(FILL)
    assert cells(page, "VISC")[2:5] == ["0", "2", "2"]


@pytest.mark.parametrize(("lists", "need"), [(1, "4"), (2, "6"), (3, "6")])
def test_so_many_lists_of_that_theatre_from_today_on(desk: Desk, lists: int, need: str) -> None:
    row = "LN,{day},OT1,morning,{case},1,P-9,left,PHACO,paid,,SA,RINGL,+21.50,"
    head = "list,day,theatre,part,case,position,patient,eye,procedure,category,sponsor,surgeon,"
    text = f"{head}lens_model,power,needs\n{row.format(day='2027-03-02', case='C8')}\n"
    old = row.format(day="2027-02-28", case="C7").replace("LN", "LO")
    desk.ok(f"import lists {desk.file('more.csv', text + old)} --by MA")
    give(desk, level("OT1", "VISC", lists=lists))
    assert cells(desk.ok(f"{WORDS} -n"), "VISC")[3] == need


def test_cases_without_kit_or_power_are_named_and_left_out(desk: Desk) -> None:
    give(desk, level("OT2", "KNIFE", lists=1))
    with opened(desk.path) as book:
        case = find(book.db, Case, "C4")
    assert case is not None
    give(desk, replace(case, procedure="OTHER"))  # type: ignore[arg-type]
    page = desk.ok("move --fill OT2 --by KE -n")
    assert "Cases left out of them: C4 (no kit), C5 (no lens power)." in page


def test_a_surgeons_differences_count(desk: Desk) -> None:
    """C4 is operated by SB, who takes a cassette and no knife; C5 has no power."""
    give(desk, level("OT2", "KNIFE", lists=1), level("OT2", "VISC", lists=1))
    page = desk.ok("move --fill OT2 --by KE -n")
    assert cells(page, "VISC")[2:5] == ["0", "2", "2"]
    assert "Within their levels: 1 item." in page


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("move --fill OT1 --by KE -y", 2, "no levels"),
        ("move --fill NOWHERE --by KE -y", 2, "NOWHERE"),
        ("move --fill QUAR --by KE -y", 2, "QUAR"),
        ("move --fill STORE --by KE -y", 2, "no store besides it"),
        ("move --fill OT2 --from OT1 --by KE -y", 2, "OT1"),
        ("move --fill OT2 --by NU -y", 3, "keeper"),
        ("move --fill OT2 --by KE --reason whatever -y", 2, "refill"),
        ("move --fill OT2 --by KE --on 2027-03-02 -y", 2, "after today"),
        ("move VISC --fill OT2 --by KE", 2, "--fill"),
        ("move --fill OT2 --to OT1 --by KE", 2, "--fill"),
        ("move VISC 1 --to OT1 --by KE", 2, "--from"),
        ("move --by KE", 2, "--fill"),
    ],
)
def test_a_wrong_filling_is_refused(desk: Desk, line: str, code: int, said: str) -> None:
    give(desk, level("OT2", "VISC", 1, 1), level("STORE", "VISC", 1, 1))
    assert said in desk.refused(line, code)
