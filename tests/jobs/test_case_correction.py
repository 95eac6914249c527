"""A finished case corrected by an entry of differences: category, units, lots (rules 5, 6, 8)."""

import pytest
from desk import Desk

from jobs.pages import cells, line_with, moves
from jobs.proven import of_case, on_trolleys, proven

WHY = "--reason typed-wrongly --by NU"


@pytest.fixture
def finished(desk: Desk) -> Desk:
    """C1 finished in entry 11, half a millilitre of iodine leaked, one lot scanned."""
    desk.ok("issue C1 --by NU")
    desk.ok("finish C1 --as-kit --wasted IODINE 0.5 leaked --lot VISC V2 --by NU")
    return desk


def seen(desk: Desk) -> dict[tuple[str, str], int]:
    """Whether each lot's last movement to an end was seen, by place."""
    rows = desk.rows(
        "SELECT to_place, COALESCE(serial, lot.number), seen FROM movement "
        "JOIN lot ON lot.code = lot WHERE case_code = 'C1' AND movement.quantity > 0 "
        "AND (to_place LIKE 'used/%' OR to_place LIKE 'waste/%') ORDER BY entry"
    )
    return {(place, lot): flag for place, lot, flag in rows}


# The category


def test_another_category_takes_used_and_wasted_units_and_value_along(finished: Desk) -> None:
    before = of_case(finished, "C1")
    finished.ok("case change C1 --category free --reason payer-changed --by NU")
    after = of_case(finished, "C1")
    assert after == {
        (place.replace("paid", "free"), lot): there for (place, lot), there in before.items()
    }
    assert finished.rows("SELECT category FROM theatre_case WHERE code = 'C1'") == [("free",)]
    assert finished.rows("SELECT kind, reason, request_key, document FROM entry "
                         "WHERE number = 12") == [
        ("correction", "payer-changed", "correction/C1/after/11", "C1")
    ]  # fmt: skip
    proven(finished)


def test_what_was_seen_stays_seen_and_waste_keeps_its_reason(finished: Desk) -> None:
    finished.ok("case change C1 --category free --reason payer-changed --by NU")
    found = seen(finished)
    assert found[("used/free", "V2")] == found[("used/paid", "V2")] == 1
    assert found[("used/free", "V1")] == found[("used/paid", "V1")] == 0
    assert ("I1", 5, 100, "waste/paid", "waste/free", "leaked") in moves(finished)
    assert line_with(finished.ok("cost C1"), "I1", "leaked")


def test_the_case_is_counted_in_its_new_category_alone(finished: Desk) -> None:
    finished.ok("case change C1 --category free --reason payer-changed --by NU")
    page = finished.ok("cost --month 2027-03")
    assert cells(page, "Cases") == ["Cases", "1", "0"]
    assert cells(page, "Used")[2] == "0.00"


def test_a_category_corrected_in_a_later_month_leaves_the_earlier_page_as_it_was(
    finished: Desk,
) -> None:
    """Rule 7: what is booked later shows as earlier cases."""
    before = finished.ok("cost --month 2027-03").partition("Proof")[0]
    finished.ok("case change C1 --category free --reason payer-changed --by NU", today="2027-04-02")
    assert finished.ok("cost --month 2027-03").partition("Proof")[0] == before
    page = finished.ok("cost --month 2027-04")
    free, paid = cells(page, "All that ended here")[4:6]
    assert paid == f"-{free}"
    assert "The proof holds." in page


def test_there_and_back_again_ends_where_it_began(finished: Desk) -> None:
    before = of_case(finished, "C1")
    finished.ok("case change C1 --category free --reason payer-changed --by NU")
    finished.ok("case change C1 --category paid --reason payer-changed --by NU")
    assert of_case(finished, "C1") == before
    finished.ok("case change C1 --category free --reason payer-changed --by NU")
    finished.ok("reverse 14 --reason typing-error --by NU")
    assert of_case(finished, "C1") == before
    assert finished.rows("SELECT category FROM theatre_case WHERE code = 'C1'") == [("paid",)]
    proven(finished)


def test_a_charge_that_came_without_units_goes_along(desk: Desk) -> None:
    desk.ok(["receive", "LENSCO", "--lines", desk.file("d.csv", (
        "item,units,lot,expiry,terms,agreed\nFLATL+21.00,1,X1,2029-01,consigned,900\n"
    )), "--to", "OT2", "--by", "KE"])  # fmt: skip
    desk.ok("issue C4 --partial --lot FLATL+21.00 X1 --by NU")
    desk.ok("finish C4 --as-kit --by NU")
    desk.ok("case change C4 --category free --reason payer-changed --by NU")
    assert of_case(desk, "C4")[("used/free", "X1")] == (1, 90000)
    proven(desk)


def test_both_changes_warn_where_a_lots_terms_no_longer_allow_the_case(desk: Desk) -> None:
    desk.ok(["receive", "ACME", "--lines", desk.file("d.csv", (
        "item,units,lot,expiry,terms,shadow,categories\n"
        "FLATL+21.50,1,G1,2029-01,donated,100,free\n"
    )), "--by", "KE"])  # fmt: skip
    desk.ok("issue C3 --lot FLATL+21.50 G1 --by NU")
    desk.ok("finish C3 --as-kit --by NU")
    page = desk.ok("case change C3 --category paid --reason payer-changed --by NU")
    assert "Warning: FLATL+21.50 lot G1 is donated for free only." in page
    assert "donated for free only" in desk.ok("case change C3 --sponsor OTHER --by NU")
    proven(desk)


def test_a_sponsor_changes_alone_and_needs_no_reason(finished: Desk) -> None:
    before = of_case(finished, "C1")
    finished.ok("case change C1 --sponsor CAMP --by NU")
    assert of_case(finished, "C1") == before
    assert finished.rows("SELECT kind, movement_count FROM entry WHERE number = 12") == [
        ("case", 0)
    ]


def test_the_plan_of_a_finished_case_is_corrected_with_a_reason(finished: Desk) -> None:
    assert "--reason: found no reason" in finished.refused("case change C1 --eye left --by NU", 2)
    finished.ok("case change C1 --eye left --reason plan-changed --by NU")
    assert "'tired'" in finished.refused("case change C1 --eye right --reason tired --by NU", 2)


# What was used


def test_what_was_used_besides_is_picked_by_the_rule_and_passes_the_trolley(
    finished: Desk,
) -> None:
    finished.ok(f"case change C1 --used KNIFE 1 {WHY}")
    assert [m[3:5] for m in moves(finished)] == [
        ("OT1", "trolley/OT1"),
        ("trolley/OT1", "used/paid"),
    ]
    assert of_case(finished, "C1")[("used/paid", "K1")] == (2, 6667)
    proven(finished)


def test_what_was_not_used_goes_back_where_it_was_drawn(finished: Desk) -> None:
    """Presumed units first: V1 came from the theatre, V2 was scanned."""
    finished.ok(f"case change C1 --not-used VISC 1 {WHY}")
    assert ("used/paid", "V1") not in of_case(finished, "C1")
    assert finished.on_hand("VISC")[("OT1", "V1")] == 1
    finished.ok(f"case change C1 --not-used VISC 1 {WHY} --comment 'the other one too'")
    assert finished.on_hand("VISC") == {("OT1", "V1"): 1, ("STORE", "V2"): 9, ("STORE", "V3"): 5}
    proven(finished)


def test_not_used_and_wasted_is_waste_and_nothing_is_drawn(finished: Desk) -> None:
    before = finished.on_hand("KNIFE")
    finished.ok(f"case change C1 --not-used KNIFE 1 --wasted KNIFE 1 opened-not-used {WHY}")
    assert finished.on_hand("KNIFE") == before
    assert of_case(finished, "C1")[("waste/paid", "K1")] == (1, 3333)
    assert ("used/paid", "K1") not in of_case(finished, "C1")
    proven(finished)


def test_what_was_wasted_besides_is_drawn_and_ends_as_waste(finished: Desk) -> None:
    finished.ok(f"case change C1 --wasted DYE 1 dropped {WHY}")
    assert of_case(finished, "C1")[("waste/paid", "D1")] == (1, 3333)
    assert finished.on_hand("DYE")[("STORE", "D1")] == 2
    proven(finished)


def test_another_lot_was_used_and_no_place_changes_its_count(finished: Desk) -> None:
    finished.ok("case change C1 --lot RINGL+21.50 S2 --reason wrong-lot --by NU")
    assert of_case(finished, "C1")[("used/paid", "S2")] == (1, 240000)
    assert finished.on_hand("RINGL+21.50") == {("STORE", "S1"): 1}
    assert seen(finished)[("used/paid", "S2")] == 1
    assert on_trolleys(finished) == []
    proven(finished)


def test_a_presumed_lot_that_is_named_is_seen_from_then_on(finished: Desk) -> None:
    finished.ok("case change C1 --lot KNIFE K1 --reason written-late --by NU")
    assert seen(finished)[("used/paid", "K1")] == 1
    assert line_with(finished.ok("trace K1"), "CERTAIN").endswith("1 case")
    proven(finished)


def test_a_lot_that_was_scanned_wrongly_can_be_exchanged_too(finished: Desk) -> None:
    finished.ok("case change C1 --not-used VISC 1 " + WHY)
    finished.ok("case change C1 --lot VISC V3 --reason wrong-lot --by NU")
    assert of_case(finished, "C1")[("used/paid", "V3")][0] == 1
    assert ("used/paid", "V2") not in of_case(finished, "C1")
    proven(finished)


def test_a_consigned_unit_that_was_not_used_gives_its_charge_back(desk: Desk) -> None:
    """Rule 11: the unit lies on the shelf at no value and is charged when it is used again."""
    desk.ok(["receive", "LENSCO", "--lines", desk.file("d.csv", (
        "item,units,lot,expiry,terms,agreed\nFLATL+21.00,1,X1,2029-01,consigned,900\n"
    )), "--to", "OT2", "--by", "KE"])  # fmt: skip
    desk.ok("issue C4 --partial --lot FLATL+21.00 X1 --by NU")
    desk.ok("finish C4 --as-kit --by NU")
    desk.ok(f"case change C4 --not-used FLATL+21.00 1 {WHY}")
    assert desk.rows("SELECT on_hand.value FROM on_hand JOIN lot ON code = lot "
                     "WHERE number = 'X1'") == [(0,)]  # fmt: skip
    desk.ok(f"case change C4 --used FLATL+21.00 1 --lot FLATL+21.00 X1 {WHY}")
    assert of_case(desk, "C4")[("used/paid", "X1")] == (1, 90000)
    desk.ok(f"case change C4 --not-used FLATL+21.00 1 --wasted FLATL+21.00 1 dropped {WHY}")
    assert of_case(desk, "C4")[("waste/paid", "X1")] == (1, 90000)
    proven(desk)


def test_a_late_correction_is_judged_as_at_its_day_and_drawn_from_stock_as_it_is(
    finished: Desk,
) -> None:
    """VISC lot V2 expires 2027-05-31; on 2027-06-01 it may be recorded for the day before."""
    line = f"case change C1 --used VISC 1 --lot VISC V2 {WHY} -y"
    finished.ok(f"{line} --on 2027-05-31 --at 17:05", today="2027-06-01")
    assert finished.rows("SELECT happened_on, happened_at FROM entry WHERE number = 12") == [
        ("2027-05-31", "17:05")
    ]
    assert of_case(finished, "C1")[("used/paid", "V2")][0] == 2


def test_a_lot_that_was_not_to_be_used_is_recorded_with_a_reason_and_a_warning(
    finished: Desk,
) -> None:
    line = "case change C1 --used DYE 1 --lot DYE D0 --by NU"
    page = finished.ok(f"{line} --reason noticed-later")
    assert "Warning: DYE lot D0 was expired 2027-02-10 (noticed-later)." in page
    assert "entry 12" in finished.ok("today")


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        (f"--used KNIFE 1 {WHY.replace('--reason typed-wrongly ', '')}", 2, "found no reason"),
        (f"--not-used KNIFE 2 {WHY}", 3, "more of KNIFE than it used"),
        (f"--not-used OPIATE 1 {WHY}", 3, "more of OPIATE than it used"),
        (f"--used CASS 1 {WHY}", 3, "the book has no such extra"),
        (f"--used KNIFE 0 {WHY}", 2, "above zero"),
        (f"--wasted KNIFE 1 lost {WHY}", 2, "opened-not-used"),
        (f"--lot VISC V77 {WHY}", 3, "no place holds"),
        (f"--used KNIFE 1 --category free {WHY}", 2, "change --category by itself"),
        (f"--used KNIFE 1 {WHY.replace('NU', 'KE')}", 3, "KE is keeper"),
    ],
)
def test_a_wrong_correction_is_refused_and_the_chain_stays(
    finished: Desk, options: str, code: int, words: str
) -> None:
    assert words in finished.refused(f"case change C1 {options}", code)


def test_a_correction_can_be_reversed(finished: Desk) -> None:
    before = of_case(finished, "C1")
    finished.ok(f"case change C1 --not-used VISC 1 --used KNIFE 1 --wasted DYE 1 dropped {WHY}")
    finished.ok("reverse 12 --reason wrong-case --by NU")
    assert of_case(finished, "C1") == before
    proven(finished)


def test_a_case_finished_twice_with_other_contents_points_to_the_correction(
    finished: Desk,
) -> None:
    said = finished.refused("finish C1 --as-kit --returned VISC 1 --by NU", 3)
    assert "finish/C1/0 was recorded as entry 11" in said


def test_a_correction_typed_twice_is_one_and_another_one_has_a_comment(finished: Desk) -> None:
    line = f"case change C1 --used KNIFE 1 {WHY}"
    finished.ok(line)
    number = finished.last()[0]
    assert f"Already recorded as entry {number}" in finished.ok(line)
    assert finished.last()[0] == number
    finished.ok(f"{line} --comment 'a second one'")
    finished.ok("case change C1 --used KNIFE 1 --reason written-late --by NU")
    finished.ok(line)
    assert finished.last()[0] == number + 3
    proven(finished)
