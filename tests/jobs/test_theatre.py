"""A sitting in theatre: by scanner alone, kept when the terminal dies, true in the book."""

import pytest
from desk import Desk

from jobs.pages import moves

VISC_V2 = "]d20109521101530001" + "10V2"
VISC_V3 = "]d20109521101530001" + "10V3"


def sit(desk: Desk, *scans: str, by: str = "NU", code: int = 0, more: str = "") -> str:
    """Scans given one after the other on the command line; all that was said."""
    answer = desk.run(["theatre", "L1", *scans, "--by", by, *more.split()])
    assert answer.code == code, f"{answer.out}\n{answer.err}"
    return answer.out + answer.err


def ended(desk: Desk) -> list[tuple[str, int, str, str | None, int]]:
    """Lot, steps, where to, why and whether seen, of what left the trolley in the last entry."""
    return sorted(
        (m[0], m[1], m[4], m[5], seen)
        for m, seen in zip(moves(desk), _seen(desk), strict=True)
        if m[3].startswith("trolley/")
    )


def _seen(desk: Desk) -> list[int]:
    rows = desk.rows("SELECT seen FROM movement WHERE entry = ? ORDER BY line", desk.last()[0])
    return [seen for (seen,) in rows]


@pytest.fixture
def issued(desk: Desk) -> Desk:
    desk.ok("issue C1 --by NU")
    return desk


def test_a_case_without_deviation_is_three_scans(issued: Desk) -> None:
    said = sit(issued, "CASE/C1", "RINGL+21.50 S1", "NEXT")
    assert "as presumed" in said
    assert "C1 finished, entry 11." in said
    assert ("R1", 1, "used/paid", None, 1) in ended(issued)
    assert "Lenses: 1 out = 1 implanted + 0 spoiled + 0 back." in said
    assert issued.rows("SELECT COUNT(*) FROM on_hand WHERE place LIKE 'trolley/%'") == [(0,)]
    issued.ok("book verify")


def test_the_current_case_stands_in_large_letters_with_its_lens(issued: Desk) -> None:
    said = sit(issued, "CASE/C1")
    assert "RINGL +21.50" in said
    assert "reference P-1" in said
    assert "##" in said
    assert "Check the lens in your hand against the signed lens plan" in said


def test_a_scanned_lot_is_seen_and_the_rest_stays_presumed(issued: Desk) -> None:
    """The kit took one of V1 and one of V2; only the pack that was scanned is certain."""
    sit(issued, "CASE/C1", VISC_V2, "NEXT")
    seen = {lot: seen for lot, _, _, _, seen in ended(issued)}
    assert seen["V2"] == 1
    assert seen["V1"] == 0


def test_another_lot_takes_the_place_of_the_presumed_one(issued: Desk) -> None:
    said = sit(issued, "CASE/C1", VISC_V3, VISC_V3, "NEXT")
    assert "instead of the presumed lot" in said
    assert ("V3", 2, "used/paid", None, 1) in ended(issued)
    assert sum(issued.on_hand("VISC").values()) == 13
    issued.ok("book verify")


def test_one_more_than_the_kit_is_used_besides(issued: Desk) -> None:
    said = sit(issued, "CASE/C1", VISC_V2, VISC_V2, VISC_V2, "NEXT")
    assert "besides the kit" in said
    used = sum(n for lot, n, to, _, _ in ended(issued) if lot.startswith("V") and "used" in to)
    assert used == 3
    assert "The proof holds." in issued.ok("cost --month 2027-03")


@pytest.mark.parametrize(
    ("act", "to", "reason"),
    [
        ("ACT/OPENED", "waste/paid", "opened-not-used"),
        ("DROPPED", "waste/paid", "dropped"),
        ("returned", "STORE", None),
    ],
)
def test_an_act_is_about_the_next_pack(issued: Desk, act: str, to: str, reason: str | None) -> None:
    sit(issued, "CASE/C1", act, VISC_V2, "NEXT")
    assert ("V2", 1, to, reason, 1) in ended(issued)


def test_a_pack_scanned_first_as_used_and_then_dropped_is_one_pack(issued: Desk) -> None:
    sit(issued, "CASE/C1", "KNIFE K1", "ACT/DROPPED", "KNIFE K1", "NEXT")
    knives = [m for m in ended(issued) if m[0] == "K1"]
    assert knives == [("K1", 1, "waste/paid", "dropped", 1)]


def test_a_dropped_knife_and_the_one_taken_instead(issued: Desk) -> None:
    sit(issued, "CASE/C1", "ACT/DROPPED", "KNIFE K1", "KNIFE K1", "NEXT")
    knives = [m for m in ended(issued) if m[0] == "K1"]
    assert knives == [("K1", 1, "used/paid", None, 1), ("K1", 1, "waste/paid", "dropped", 1)]


def test_undo_takes_the_last_scan_back(issued: Desk) -> None:
    said = sit(issued, "CASE/C1", VISC_V2, VISC_V2, VISC_V2, "ACT/UNDO", "DROPPED", "UNDO", "NEXT")
    assert "taken back" in said
    assert [m for m in ended(issued) if m[0] == "V2"] == [("V2", 2, "used/paid", None, 1)]


def test_what_was_scanned_is_there_again_when_the_terminal_died(issued: Desk) -> None:
    sit(issued, "CASE/C1", VISC_V2, "ACT/DROPPED")
    said = sit(issued, VISC_V2, "NEXT")
    assert "Resumed: 1 scan not recorded yet; current case: C1." in said
    assert ("V2", 1, "waste/paid", "dropped", 1) in ended(issued)


def test_the_wrong_lens_is_refused_loudly_and_nothing_is_kept(issued: Desk) -> None:
    said = sit(issued, "CASE/C1", "RINGL+21.00 S3", code=2)
    assert "NOT THE LENS of case C1: RINGL+21.00 in the hand, planned is RINGL +21.50" in said
    assert "Waits to be recorded" not in said


def test_an_expired_lot_is_refused(issued: Desk) -> None:
    issued.ok("issue C2 --by NU")
    assert "MUST NOT BE USED: expired 2027-02-10" in sit(issued, "C2", "DYE D0", code=2)


@pytest.mark.parametrize(
    ("scans", "words"),
    [
        (["KNIFE K1"], "no case is current"),
        (["NEXT"], "no case is current"),
        (["CASE/C4"], "case C4 is of list L2, not of L1"),
        (["CASE/C9"], "not in this book"),
        (["C1", "DROPPED", "NEXT"], "DROPPED waits for what it is about"),
        (["C1", "UNDO"], "nothing of this case is left"),
        (["C1", "09521101530002"], "check digit"),
        (["C1", "SHELF/OT1/KNIFE"], "no case, pack or act"),
        (["C1", "SHELF/OT9/KNIFE"], "not in this book"),
        (["C1", "STAFF/KE"], "NU sits here"),
        (["C1", "09528888888882"], "no item of this book has this identifier"),
    ],
)
def test_what_does_not_fit_is_refused_by_name_and_changes_nothing(
    issued: Desk, scans: list[str], words: str
) -> None:
    last = issued.last()
    assert words in sit(issued, *scans, code=2)
    assert issued.last() == last


def test_a_finished_case_is_not_taken_again(issued: Desk) -> None:
    sit(issued, "C1", "NEXT")
    assert "case C1 is finished (entry 11)" in sit(issued, "C1", code=2)


def test_a_case_that_was_never_issued_is_issued_and_finished_by_next(desk: Desk) -> None:
    sit(desk, "C1", "NEXT")
    assert desk.rows("SELECT kind FROM entry WHERE number > 9") == [("issue",), ("finish",)]


def test_a_pack_the_book_lacks_is_found_at_use_with_its_printed_expiry(issued: Desk) -> None:
    sit(issued, "C1", "]d20109521101530001" + "17290131" + "10V77", "ACT/UNDO", code=0)
    sit(issued, "C1", "VISC V77 2029-01-31", "VISC V77", "VISC V77", "NEXT")
    found = issued.rows("SELECT number, expires_on, provisional FROM lot WHERE number = 'V77'")
    assert found == [("V77", "2029-01-31", 1)]
    assert issued.rows("SELECT COUNT(*) FROM on_hand WHERE place LIKE 'trolley/%'") == [(0,)]
    issued.ok("book verify")


def test_another_person_is_asked_before_taking_a_sitting_over(issued: Desk) -> None:
    sit(issued, "C1", VISC_V2)
    issued.file("staff.csv", "staff,name,role\nNV,Nina Nurse,nurse\n")
    issued.ok("import staff staff.csv --by MA -y")
    answer = issued.run(["theatre", "L1", "NEXT", "--by", "NV"])
    assert answer.code == 2
    assert "NU has a sitting on list L1 with 1 scan not recorded. Take it over?" in answer.err
    said = sit(issued, "NEXT", by="NV", more="-y")
    assert "C1 finished" in said


def test_a_list_of_another_day_is_asked_about(issued: Desk) -> None:
    answer = issued.run(["theatre", "L1", "C1", "--by", "NU"], today="2027-03-02")
    assert answer.code == 2
    assert "List L1 is planned for 2027-03-01. Is it really operated on 2027-03-02?" in answer.err


def test_only_a_nurse_sits_down(issued: Desk) -> None:
    assert issued.run(["theatre", "L1", "C1", "--by", "KE"]).code == 3


def test_the_end_of_a_list_names_what_is_open(issued: Desk) -> None:
    said = sit(issued, "C1", VISC_V2)
    assert "Waits to be recorded: C1 VISC lot V2" in said
    assert "Not finished: C2" in said
    assert "1 still on the trolley" in said


def test_a_finish_without_a_scanned_lens_is_named_at_the_end(issued: Desk) -> None:
    assert "Lens not scanned (presumed): C1." in sit(issued, "C1", "NEXT")


RESCUE = """procedure,category,kind,item,quantity,requirement
PHACO,paid,lens,,1,
PHACO,paid,always,KNIFE,1,
PHACO,paid,standby,VIT,1,rupture
PHACO,paid,per-list,IODINE,5,
PHACO,paid,when,DYE,1,dye
SICS,paid,lens,,1,
SICS,paid,always,KNIFE,1,
SICS,paid,always,VISC-B,1,
"""


@pytest.fixture
def rescue(desk: Desk) -> Desk:
    """A rescue kit, another procedure and something that the whole list uses."""
    desk.ok(f"import kits {desk.file('rescue.csv', RESCUE)} --by MA -y")
    return desk


def trolley(desk: Desk) -> list[tuple]:
    return desk.rows("SELECT * FROM on_hand WHERE place LIKE 'trolley/%'")


def test_a_rescue_kit_comes_in_one_action_and_unopened_packs_go_back(rescue: Desk) -> None:
    rescue.ok("issue C1 --by NU")
    said = sit(rescue, "C1", "ACT/RESCUE", "RETURNED", "VIT T1", "NEXT")
    assert "Rescue kit of C1, entry" in said
    assert ("T1", 1, "OT1", None, 1) in ended(rescue)
    assert "C1" in rescue.ok("today --role nurse")


def test_a_case_is_converted_by_two_scans(rescue: Desk) -> None:
    rescue.ok("issue C1 --by NU")
    said = sit(rescue, "C1", "ACT/CONVERT", "KIT/SICS", "NEXT")
    assert "C1 is SICS now" in said
    assert ("W1", 1, "used/paid", None, 0) in ended(rescue)
    rescue.ok("book verify")


@pytest.mark.parametrize(
    ("scans", "words"),
    [
        (["C1", "KIT/SICS"], "scan CONVERT before"),
        (["C1", "CONVERT", "KNIFE K1"], "CONVERT waits for the kit"),
        (["C1", "CONVERT", "KIT/XYZ"], "there is no kit XYZ/paid"),
        (["C1", "convert XYZ"], "XYZ"),
    ],
)
def test_a_conversion_needs_the_word_and_the_kit(
    rescue: Desk, scans: list[str], words: str
) -> None:
    rescue.ok("issue C1 --by NU")
    last = rescue.last()
    assert words in sit(rescue, *scans, code=2)
    assert rescue.last() == last


def test_a_cancelled_case_wastes_what_was_scanned_and_gives_back_the_rest(rescue: Desk) -> None:
    rescue.ok("issue C1 --by NU")
    said = sit(rescue, "C1", "KNIFE K1", "CANCEL")
    assert "C1 cancelled, entry" in said
    assert "1 pack wasted" in said
    assert ("K1", 1, "waste/paid", "cancelled", 1) in ended(rescue)
    assert rescue.rows("SELECT cancelled FROM theatre_case WHERE code = 'C1'") == [(1,)]
    assert "case C1 is cancelled" in sit(rescue, "C1", code=2)


def test_with_the_last_case_ends_what_the_list_used_in_common(rescue: Desk) -> None:
    rescue.ok("issue C1 --by NU")
    rescue.ok("case cancel C3 --by NU")
    sit(rescue, "C1", "NEXT")
    assert trolley(rescue) != [], "the list's own case waits for the last one"
    said = sit(rescue, "C2", "NEXT")
    assert "L1 finished" in said
    assert trolley(rescue) == []
    rescue.ok("book verify")
