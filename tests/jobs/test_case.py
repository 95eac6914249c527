"""One case: shown, made, changed; what may change hangs on where it stands."""

import json

import pytest
from desk import Desk

from jobs.pages import line_with
from jobs.proven import of_case, proven

NEW = (
    "case new C9 --list L1 --position 4 --patient P-9 --eye left --procedure PHACO "
    "--category paid --lens RINGL --power +21.50 --by NU"
)


@pytest.fixture
def issued(desk: Desk) -> Desk:
    desk.ok("issue C1 --by NU")
    return desk


@pytest.fixture
def finished(issued: Desk) -> Desk:
    issued.ok("finish C1 --as-kit --by NU")
    return issued


# Shown


def test_a_planned_case_shows_its_plan(desk: Desk) -> None:
    page = desk.ok("case show C2")
    assert page.startswith("Case C2: planned\n")
    assert line_with(page, "List") == "List L1, 2027-03-01, OT1, morning, position 2"
    assert line_with(page, "Lens") == "Lens RINGL +21.00"
    assert line_with(page, "Needs") == "Needs dye"
    assert "Nothing was issued to it" in page


def test_a_finished_case_shows_units_lots_value_and_entries(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    assert line_with(desk.ok("case show C1"), "on the trolley", "KNIFE")
    desk.ok("finish C1 --as-kit --wasted KNIFE 1 dropped --by NU --at 11:20")
    page = desk.ok("case show C1")
    assert page.startswith("Case C1: finished\n")
    assert line_with(page, "KNIFE") == "wasted KNIFE K1 2028-01 1 33.33 presumed dropped"
    assert "Used INR 2,605.00, wasted 33.33." in page
    assert line_with(page, "11:20") == "11 finish 2027-03-01 11:20 NU C1"


def test_a_case_as_data_has_its_plan_its_units_and_its_entries(issued: Desk) -> None:
    found = json.loads(issued.ok("case show C1 --json"))
    (plan,) = found["case"]["rows"]
    assert (plan["state"], plan["power_hundredths"], plan["theatre"]) == ("issued", 2150, "OT1")
    assert {unit["where"] for unit in found["units"]["rows"]} == {"on the trolley"}
    assert [entry["kind"] for entry in found["entries"]["rows"]] == ["facts", "issue"]
    assert issued.ok("case show C1 --csv").startswith("case,state,list,day,theatre,part,position")


def test_an_unknown_case_gets_the_near_names(desk: Desk) -> None:
    assert "Near: C" in desk.refused("case show C7", 2)


# New


def test_a_new_case_is_on_its_list_and_is_served_like_any_other(desk: Desk) -> None:
    assert "Case C9 is on list L1." in desk.ok(NEW)
    assert line_with(desk.ok("list show L1"), "C9").startswith("4 C9 planned P-9 left PHACO paid")
    desk.ok("issue C9 --by NU")
    proven(desk)


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        (NEW.replace("C9", "C1"), 3, "in the book already"),
        (NEW.replace("--patient P-9 ", ""), 2, "give also --patient"),
        (NEW.replace("L1", "L7"), 2, "L7 is not in this book"),
        (NEW.replace("+21.50", "21.50"), 2, "a signed power such as +21.50"),
        (NEW.replace("+21.50", "+21.25"), 2, "half dioptres; no RINGL here has quarters"),
        (NEW.replace("--power +21.50 ", ""), 2, "both or neither"),
        (f"{NEW} --needs pupil", 2, "no line for pupil"),
        (NEW.replace("RINGL", "OTHER"), 2, "FLATL, RINGL"),
        (NEW.replace("P-9", "'Jo Name'"), 2, "a reference like"),
        (NEW.replace("NU", "KE"), 3, "KE is keeper"),
    ],
)
def test_a_new_case_that_cannot_be_is_refused(desk: Desk, line: str, code: int, words: str) -> None:
    said = desk.refused(line, code)
    assert words in said
    assert len(said.strip().splitlines()) == 1


# Changed before the issue


@pytest.mark.parametrize(
    ("option", "field", "becomes"),
    [
        ("--list L2", "list", "L2"), ("--position 7", "position", 7), ("--eye left", "eye", "left"),
        ("--category free", "category", "free"), ("--sponsor CAMP", "sponsor", "CAMP"),
        ("--surgeon SB", "surgeon", "SB"), ("--lens FLATL", "lens_model", "FLATL"),
        ("--power +21.00", "power", 2100), ("--power -0.50", "power", -50),
        ("--needs dye", "needs", '["dye"]'), ("--patient P-77", "patient", "P-77"),
        ("--procedure LENSX", "procedure", "LENSX"),
    ],
)  # fmt: skip
def test_before_the_issue_a_case_changes_by_a_change_alone(
    desk: Desk, option: str, field: str, becomes: object
) -> None:
    desk.ok(f"case change C1 {option} --by NU")
    assert desk.rows(f"SELECT {field} FROM theatre_case WHERE code = 'C1'") == [(becomes,)]
    assert desk.rows("SELECT kind, movement_count, change_count, document FROM entry "
                     "WHERE number = 10") == [("case", 0, 1, "C1")]  # fmt: skip


def test_an_optional_field_is_emptied_by_none(desk: Desk) -> None:
    desk.ok("case change C2 --needs none --lens none --power none --surgeon none --by NU")
    assert desk.rows("SELECT needs, lens_model, power, surgeon FROM theatre_case "
                     "WHERE code = 'C2'") == [("[]", None, None, None)]  # fmt: skip


def test_a_change_to_what_is_already_so_records_nothing(desk: Desk) -> None:
    last = desk.last()
    assert "nothing changed" in desk.ok("case change C1 --power +21.50 --by NU")
    assert desk.last() == last
    assert "nothing was given" in desk.refused("case change C1 --by NU", 2)


def test_a_dry_run_of_a_change_leaves_the_book_byte_identical(desk: Desk) -> None:
    before = desk.path.read_bytes()
    assert "it would be entry 10" in desk.ok("case change C1 --power +21.00 --by NU -n")
    assert desk.path.read_bytes() == before


# Changed with the kit on the trolley


@pytest.mark.parametrize("option", ["--position 9", "--patient P-77", "--surgeon SC", "--eye left"])
def test_with_the_kit_on_the_trolley_what_leaves_it_right_may_change(
    issued: Desk, option: str
) -> None:
    issued.ok(f"case change C1 {option} --by NU")
    issued.ok("finish C1 --as-kit --by NU")
    proven(issued)


@pytest.mark.parametrize(
    "option",
    ["--power +21.00", "--lens FLATL", "--procedure LENSX", "--category free", "--surgeon SB",
     "--needs dye"],
)  # fmt: skip
def test_with_the_kit_on_the_trolley_what_would_make_it_wrong_is_refused(
    issued: Desk, option: str
) -> None:
    said = issued.refused(f"case change C1 {option} --by NU", 3)
    assert "its kit is on trolley/OT1 (entry 10) and would be wrong" in said
    assert "case convert C1" in said
    assert "case cancel C1" in said


def test_a_staged_case_moves_within_its_theatre_and_not_to_another(issued: Desk) -> None:
    said = issued.refused("case change C1 --list L2 --by NU", 3)
    assert "its kit is on trolley/OT1 (entry 10). To operate in another theatre" in said
    issued.ok("list change L2 --theatre OT1 --by NU")
    issued.ok("case change C1 --list L2 --by NU")
    issued.ok("finish C1 --as-kit --by NU")
    proven(issued)


def test_a_staged_lot_that_its_terms_keep_from_the_new_sponsor_stops_the_change(
    desk: Desk,
) -> None:
    desk.ok(["receive", "ACME", "--lines", desk.file("d.csv", (
        "item,units,lot,expiry,terms,shadow,sponsors\nFLATL+21.50,1,G1,2029-01,donated,100,CAMP\n"
    )), "--by", "KE"])  # fmt: skip
    desk.ok("issue C3 --lot FLATL+21.50 G1 --by NU")
    said = desk.refused("case change C3 --sponsor OTHER --by NU", 3)
    assert "FLATL+21.50 lot G1 is donated for CAMP only" in said
    desk.ok("finish C3 --as-kit --by NU")
    page = desk.ok("case change C3 --sponsor OTHER --by NU")
    assert "Warning: FLATL+21.50 lot G1 is donated for CAMP only." in page
    assert desk.rows("SELECT movement_count FROM entry ORDER BY number DESC LIMIT 1") == [(0,)]
    proven(desk)


def test_what_was_used_is_said_only_once_the_case_is_finished(issued: Desk) -> None:
    said = issued.refused("case change C1 --used KNIFE 1 --by NU --reason written-late", 3)
    assert "case C1 is issued, not finished" in said


# The second eye


@pytest.fixture
def second(desk: Desk) -> Desk:
    """P-1's right eye is finished; the left one is planned for the same day."""
    desk.ok("issue C1 --by NU")
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok(NEW.replace("P-9", "P-1"))
    return desk


def test_the_second_eye_shows_what_the_first_one_got(second: Desk) -> None:
    words = "Other eye: case C1, right, 2027-03-01, RINGL +21.50; IODINE I1."
    assert words in second.ok("case show C9")
    assert words in second.ok("issue C9 --by NU")


def test_on_the_same_day_a_shared_lot_of_fluids_is_warned_about(second: Desk) -> None:
    page = second.ok("issue C9 --by NU")
    assert "Warning: IODINE lot I1 went to the other eye today (case C1)" in page
    assert "VISC" not in line_with(page, "Warning")
    assert "Warning: IODINE lot I1" in second.ok("case show C9")


def test_another_lot_or_another_day_needs_no_warning(second: Desk) -> None:
    second.ok("receive ACME --note N1 --line IODINE 10 I2 2029-01 1.00 --by KE")
    assert "Warning" not in second.ok("issue C9 --lot IODINE I2 --by NU -n")
    second.ok("list change L2 --day 2027-03-08 --theatre OT1 --by NU")
    second.ok("case change C9 --list L2 --by NU")
    page = second.ok("issue C9 --by NU", today="2027-03-08")
    assert "Other eye: case C1" in page
    assert "went to the other eye" not in page


def test_the_same_eye_and_a_cancelled_case_are_no_other_eye(second: Desk) -> None:
    second.ok("case change C9 --eye right --by NU")
    assert "Other eye" not in second.ok("issue C9 --by NU")


# Late, from paper


def test_a_late_issue_keeps_its_time_and_is_judged_as_at_its_day(desk: Desk) -> None:
    """VISC lot V2 may be used through 2027-05-31; the sheet is typed in the day after."""
    desk.ok("issue C1 -y --by NU --on 2027-05-31 --at 09:40", today="2027-06-01")
    assert desk.rows("SELECT happened_on, happened_at, recorded_at FROM entry WHERE kind = 'issue'"
                     ) == [("2027-05-31", "09:40", "2027-06-01T08:00:00Z")]  # fmt: skip
    assert ("trolley/OT1", "V2") in desk.on_hand("VISC")


def test_an_issue_of_today_leaves_out_what_expired_yesterday(desk: Desk) -> None:
    desk.ok("issue C1 -y --by NU", today="2027-06-01")
    assert ("trolley/OT1", "V2") not in desk.on_hand("VISC")


def test_a_late_finish_and_a_late_change_keep_their_time(issued: Desk) -> None:
    issued.ok("finish C1 --as-kit --by NU --on 2027-03-01 --at 10:15", today="2027-03-02")
    issued.ok("case change C1 --used KNIFE 1 --reason written-late --by NU --on yesterday "
              "--at 10:20", today="2027-03-02")  # fmt: skip
    rows = issued.rows("SELECT kind, happened_on, happened_at FROM entry WHERE number > 10")
    assert rows == [("finish", "2027-03-01", "10:15"), ("correction", "2027-03-01", "10:20")]


def test_a_quarantine_that_began_later_does_not_judge_what_happened_before(desk: Desk) -> None:
    """VISC lot V2 is picked first in the store; it is stopped on the day after the power cut."""
    desk.ok("quarantine start --item VISC --lot V2 --reason recall-notice --by MA",
            today="2027-03-02")  # fmt: skip
    desk.ok("issue C1 --by NU --on yesterday", today="2027-03-02")
    assert ("trolley/OT1", "V2") in of_case(desk, "C1")
    desk.ok("finish C1 --as-kit --by NU --on yesterday", today="2027-03-02")
    desk.ok("issue C2 --by NU", today="2027-03-02")
    assert ("trolley/OT1", "V3") in of_case(desk, "C2")
    assert ("trolley/OT1", "V2") not in of_case(desk, "C2")


def test_what_is_not_on_hand_now_is_not_issued_late_either(desk: Desk) -> None:
    desk.ok("discard KNIFE 3 --from OT1 --reason damaged --by KE", today="2027-03-02")
    desk.ok("discard KNIFE 5 --from STORE --reason damaged --by KE", today="2027-03-02")
    assert "KNIFE" in desk.refused("issue C1 --by NU --on 2027-03-01", 3, today="2027-03-02")
