"""Sending back: units leave with their exact value, from the right shelf, to the right supplier."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from desk import Desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.pages import line_with, moves, value_at
from jobs.proven import proven
from stockbook.domain.reasons import SEND_BACK


@pytest.fixture
def came(desk: Desk) -> Desk:
    """Ten VISC-B at 10.00 each and freight of 3.00, lot X1 of ACME under N1; in the store."""
    desk.ok("receive ACME --note N1 --line VISC-B 10 X1 2029-05 10.00 --freight 3.00 --by KE")
    return desk


def back(desk: Desk, what: str, note: str = "R1", reason: str = "damaged") -> str:
    return desk.ok(f"send-back ACME --note {note} {what} --reason {reason} --by KE")


def proof_of(desk: Desk) -> dict[str, Any]:
    found = json.loads(desk.ok("cost --month 2027-03 --json"))
    return {row["figure"]: row["value_minor"] for row in found["proof"]["rows"]}


# What leaves


def test_units_leave_with_their_part_of_the_value_and_the_reason(came: Desk) -> None:
    page = back(came, "--line VISC-B 3 X1")
    assert line_with(page, "X1") == "VISC-B X1 2029-05 STORE 3 30.90"
    assert "Sent back to ACME, note R1: damaged" in page
    assert "Value in all: INR 30.90" in page
    assert moves(came) == [("X1", 3, 3090, "STORE", "sent-back", "damaged")]
    assert came.on_hand("VISC-B", "STORE") == {("STORE", "W1"): 6, ("STORE", "X1"): 7}
    assert came.rows("SELECT kind, document, request_key FROM entry WHERE number = 11") == [
        ("send-back", "ACME/R1", "send-back/ACME/R1/0")
    ]
    proven(came)


def test_the_proof_and_the_statement_have_it_in_their_row(came: Desk) -> None:
    back(came, "--line VISC-B 3 X1")
    assert line_with(came.ok("cost --month 2027-03"), "- sent back") == "- sent back -30.90"
    statement = came.ok("period show --open 2027-03")
    assert "30.90" in line_with(statement, "viscoelastic")
    assert line_with(statement, "sent-back") == "sent-back sent back 30.90"
    assert "The proof holds." in statement


def test_a_whole_lot_goes_from_quarantine_areas_and_stores_together(came: Desk) -> None:
    came.ok("move VISC-B 4 --from STORE --to QUAR --lot X1 --by KE")
    back(came, "--lot X1")
    assert [(m[1], m[2], m[3]) for m in moves(came)] == [(4, 4120, "QUAR"), (6, 6180, "STORE")]
    assert came.on_hand("VISC-B") == {("STORE", "W1"): 6}


def test_a_quarantine_area_goes_as_a_whole_and_only_what_is_the_suppliers(came: Desk) -> None:
    came.ok("receive CART --note N2 --line DYE 2 Y1 2029-05 5.00 --to QUAR --by KE")
    came.ok("move VISC-B 10 --from STORE --to QUAR --lot X1 --by KE")
    came.ok("move DYE 3 --from STORE --to QUAR --lot D1 --by KE")
    back(came, "--from QUAR")
    assert [m[:2] for m in moves(came)] == [("X1", 10)]
    assert came.rows("SELECT seen FROM movement WHERE entry = ?", came.last()[0]) == [(0,)]
    assert came.on_hand("DYE", "QUAR") == {("QUAR", "Y1"): 2, ("QUAR", "D1"): 3}


def test_a_named_place_is_the_only_one_that_gives(came: Desk) -> None:
    came.ok("move VISC-B 4 --from STORE --to OT1 --lot X1 --by KE")
    back(came, "--line VISC-B 3 X1 --from OT1")
    assert moves(came)[0][3] == "OT1"
    back(came, "--lot X1 --from ot1", "R2")
    assert moves(came)[0][1:4] == (1, 1030, "OT1")
    assert came.on_hand("VISC-B") == {("STORE", "W1"): 6, ("STORE", "X1"): 6}


def test_several_lines_of_one_note_are_one_entry(came: Desk) -> None:
    came.ok("receive ACME --note N2 --line DYE 4 Y1 2029-05 5.00 --by KE")
    page = back(came, "--line VISC-B 1 X1 --line DYE 2 Y1 --line VISC-B 2 X1")
    assert [m[:3] for m in moves(came)] == [("X1", 1, 1030), ("Y1", 2, 1000), ("X1", 2, 2060)]
    assert "Value in all: INR 40.90" in page


def test_what_is_expired_or_in_quarantine_may_go_back(came: Desk) -> None:
    came.ok("quarantine start --lot X1 --reason suspected-defect --by MA")
    back(came, "--line VISC-B 1 X1", reason="faulty")
    page = came.ok(
        "send-back ACME --note R2 --line VISC-B 2 X1 --reason expired --by KE -y",
        today="2029-06-02",
    )
    assert "2029-05" in page
    assert came.on_hand("VISC-B")[("STORE", "X1")] == 7


def test_what_is_recalled_goes_back_as_recalled_alone_and_with_a_caution(came: Desk) -> None:
    came.ok("quarantine start --lot X1 --reason recall-notice --by MA")
    line = "send-back ACME --note R1 --lot X1 --by KE --reason"
    said = came.refused(f"{line} damaged", 3)
    assert "VISC-B lot X1 is recalled (recall-notice, quarantine Q1)" in said
    assert "--reason recalled" in said
    page = came.ok(f"{line} recalled")
    assert "CAUTION, recalled: follow the recall notice" in page
    assert "In force: Q1." in page
    assert "CAUTION" not in back(came, "--line VISC 1 V3", "R2")


def test_a_lot_of_opening_stock_goes_back_on_trust_and_that_is_said(desk: Desk) -> None:
    page = back(desk, "--line VISC 2 V3", reason="surplus")
    assert "VISC lot V3: the book does not know who delivered it" in page
    assert moves(desk) == [("V3", 2, 26000, "STORE", "sent-back", "surplus")]
    proven(desk)


def test_consigned_units_leave_at_no_value_and_the_rest_costs_its_part(desk: Desk) -> None:
    """Three consigned, 90.00 agreed: one goes back, two are discarded: 60.00."""
    rows = "item,units,lot,expiry,terms,agreed\nCASS,3,Z1,2029-05,consigned,90.00\n"
    desk.ok(f"receive ACME --note N1 --lines {desk.file('d.csv', rows)} --by KE")
    back(desk, "--line CASS 1 Z1", reason="surplus")
    assert moves(desk) == [("Z1", 1, 0, "STORE", "sent-back", "surplus")]
    desk.ok("discard CASS 2 --from STORE --lot Z1 --reason wet --by KE")
    assert sum(m[2] for m in moves(desk)) == 6000
    proven(desk)


def test_a_serial_sent_back_and_delivered_again_is_a_new_lot(desk: Desk) -> None:
    line = "receive LENSCO --note N{} --line RINGL+21.50 1 SN9 2029-05 2400.00 --by KE"
    desk.ok(line.format(1))
    assert "would be on hand twice" in desk.refused(line.format(2), 3)
    desk.ok("send-back LENSCO --note R1 --lot SN9 --reason wrong-item --by KE")
    desk.ok(line.format(2))
    assert desk.rows("SELECT COUNT(*) FROM lot WHERE serial = 'SN9'") == [(2,)]
    assert desk.on_hand("RINGL+21.50")[("STORE", "SN9")] == 1
    proven(desk)


def test_a_trace_shows_where_the_lot_went(came: Desk) -> None:
    back(came, "--lot X1")
    assert "sent-back" in line_with(came.ok("trace X1"), "send-back")


def test_a_closed_day_is_booked_on_the_first_open_one(came: Desk) -> None:
    closed = came.ok("period close --from 2027-02-01 --to 2027-03-01 --by FI -y")
    came.today = "2027-03-10"
    came.ok("send-back ACME --note R1 --line VISC-B 3 X1 --reason wet --on 2027-03-01 --by KE")
    row = "SELECT happened_on, booked_on FROM entry ORDER BY number DESC LIMIT 1"
    assert came.rows(row) == [("2027-03-01", "2027-03-02")]
    assert came.ok("period show 1").strip() == closed.partition("Recorded as")[0].strip()


# Once, dry, and undone


def test_the_same_note_is_recorded_once_and_with_other_contents_refused(came: Desk) -> None:
    back(came, "--lot X1")
    last = came.last()
    assert "Already recorded as entry 11; nothing was added." in back(came, "--lot X1")
    assert came.last() == last
    for other in ("--line VISC-B 10 X1 --reason damaged", "--lot X1 --reason wet"):
        said = came.refused(f"send-back ACME --note R1 {other} --by KE", 3)
        assert "send-back/ACME/R1/0 was recorded as entry 11" in said
        assert "with other contents" in said


def test_a_dry_run_shows_all_and_records_nothing(came: Desk) -> None:
    before = came.path.read_bytes()
    page = came.ok("send-back ACME --note R1 --lot X1 --reason wet --by KE -n")
    assert "103.00" in page
    assert "Dry run: it would be entry 11." in page
    assert came.path.read_bytes() == before


def test_reversed_the_units_are_back_with_their_value_and_the_note_is_free(came: Desk) -> None:
    back(came, "--lot X1")
    came.ok("reverse 11 --reason did-not-happen --by KE")
    assert value_at(came, "VISC-B", "X1") == 10300
    assert came.on_hand("VISC-B")[("STORE", "X1")] == 10
    back(came, "--line VISC-B 1 X1")
    assert came.rows("SELECT request_key FROM entry WHERE number = 13") == [
        ("send-back/ACME/R1/1",)
    ]
    assert proof_of(came)["sent_back"] == 1030
    proven(came)


def test_what_an_invoice_brought_to_the_units_meanwhile_comes_back_with_them(came: Desk) -> None:
    back(came, "--lot X1")
    came.ok("invoice ACME F1 --line VISC-B 10 120.00 --by FI")
    assert proof_of(came)["sent_back"] == 12300
    came.ok("reverse 11 --reason did-not-happen --by KE")
    assert value_at(came, "VISC-B", "X1") == 12300
    assert proof_of(came)["sent_back"] == 0
    proven(came)


# Refused


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("ACME --note R1 --line VISC-B 11 X1 --reason wet --by KE", 3, "11 asked, 10 there"),
        ("ACME --note R1 --line VISC-B 6 X1 --line VISC-B 5 X1 --reason wet --by KE", 3,
         "5 asked, 4 there"),
        ("ACME --note R1 --line VISC-B 1 X9 --reason wet --by KE", 2, "Near: X1"),
        ("ACME --note R1 --line VISC 1 X1 --reason wet --by KE", 2, "VISC lot X1 is not in"),
        ("ACME --note R1 --lot X9 --reason wet --by KE", 2, "lot X9 is not in this book"),
        ("CART --note R1 --lot X1 --reason wet --by KE", 3,
         "delivered by ACME (2027-03-01, note N1), not by CART"),
        ("CART --note R1 --line VISC-B 1 X1 --reason wet --by KE", 3, "not by CART"),
        ("NOBODY --note R1 --lot X1 --reason wet --by KE", 2, "NOBODY is not in this book"),
        ("ACME --note R1 --lot V1 --reason wet --by KE", 3, "1 in OT1"),
        ("ACME --note R1 --line VISC-B 1 X1 --from OT1 --reason wet --by KE", 3, "10 in STORE"),
        ("ACME --note R1 --from STORE --reason wet --by KE", 2, "only a quarantine area"),
        ("ACME --note R1 --from QUAR --reason wet --by KE", 3, "Nothing that ACME delivered"),
        ("ACME --note R1 --from trolley --lot X1 --reason wet --by KE", 2, "OT1, OT2, QUAR"),
        ("ACME --note R1 --reason wet --by KE", 2, "nothing named"),
        ("ACME --note R1 --lot X1 --by KE", 2, "no reason"),
        ("ACME --note R1 --lot X1 --reason bored --by KE", 2, "not-ordered"),
        ("ACME --note R1 --line VISC-B 0 X1 --reason wet --by KE", 2, "above zero"),
        ("ACME --note ' ' --lot X1 --reason wet --by KE", 2, "--note"),
        ("ACME --lot X1 --reason wet --by KE", 2, "--note"),
        ("ACME --note R1 --lot X1 --reason wet --by NU", 3, "NU is nurse"),
        ("ACME --note R1 --lot X1 --reason wet --on 2027-02-28 --by KE", 3,
         "came on 2027-03-01; it cannot have gone back on 2027-02-28"),
    ],
)  # fmt: skip
def test_what_cannot_go_back_is_refused(came: Desk, words: str, code: int, said: str) -> None:
    assert said in came.refused(f"send-back {words}", code)


def test_units_staged_on_a_trolley_stay_and_their_case_is_named(came: Desk) -> None:
    came.ok("move VISC-B 10 --from STORE --to OT1 --lot X1 --by KE")
    came.ok("discard VISC-B 6 --from STORE --lot W1 --reason wet --by KE")
    came.ok("move VISC 1 --from OT1 --to STORE --lot V1 --by KE")
    came.ok("discard VISC 15 --from STORE --reason wet --by KE")
    came.ok("issue C1 --by NU -y")
    assert came.on_hand("VISC-B", "trolley/OT1") == {("trolley/OT1", "X1"): 2}
    said = came.refused("send-back ACME --note R1 --lot X1 --reason wet --by KE", 3)
    assert "2 in trolley/OT1 for C1" in said
    said = came.refused("send-back ACME --note R1 --line VISC-B 9 X1 --reason wet --by KE", 3)
    assert "8 in OT1" in said
    said = came.refused(
        "send-back ACME --note R1 --line VISC-B 9 X1 --from OT1 --reason wet --by KE", 3
    )
    assert "9 asked, 8 there" in said
    back(came, "--lot X1 --from OT1")
    said = came.refused("send-back ACME --note R2 --lot X1 --reason wet --by KE", 3)
    assert "2 in trolley/OT1 for C1. What is staged is finished or cancelled first" in said
    proven(came)


def test_a_number_of_two_items_is_named_with_its_item(came: Desk) -> None:
    came.ok("receive ACME --note N2 --line DYE 2 X1 2029-05 5.00 --by KE")
    said = came.refused("send-back ACME --note R1 --lot X1 --reason wet --by KE", 3)
    assert "DYE, VISC-B: name each with --line" in said


def test_two_suppliers_of_one_number_are_told_apart(came: Desk) -> None:
    came.ok("receive CART --note N2 --line VISC-B 5 X1 2029-05 20.00 --by KE")
    back(came, "--lot X1")
    assert moves(came) == [("X1", 10, 10300, "STORE", "sent-back", "damaged")]
    said = came.refused("send-back ACME --note R2 --line VISC-B 1 X1 --reason wet --by KE", 3)
    assert "delivered by CART" in said


def test_what_is_controlled_takes_two_people(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line OPIATE 4 Z1 2029-05 20.00 --by KE")
    line = "send-back ACME --note R1 --line OPIATE 1 Z1 --reason damaged --by KE"
    assert "needs a second person" in desk.refused(line, 3)
    desk.ok(f"{line} --checked-by NU")


@pytest.mark.parametrize("reason", SEND_BACK)
def test_every_reason_of_the_list_is_taken_and_kept(came: Desk, reason: str) -> None:
    back(came, "--line VISC-B 1 X1", reason=reason)
    assert came.rows("SELECT reason FROM entry ORDER BY number DESC LIMIT 1") == [(reason,)]


# Whatever went back in whatever parts


parts_sent = st.lists(st.integers(1, 9), min_size=1, max_size=5)


def check_exact(folder: Path, units: int, total: int, parts: list[int]) -> None:
    """What leaves is exact in sum, and reversed from the end everything is as it was."""
    desk = Desk(folder)
    line = f"item,units,lot,expiry,total\nVISC-B,{units},X1,2029-05,{total / 100:.2f}\n"
    desk.ok(f"receive ACME --note N1 --lines {desk.file('d.csv', line)} --by KE")
    states = [desk.rows("SELECT * FROM on_hand ORDER BY place, lot")]
    left = units
    for number, part in enumerate(parts):
        if part <= left:
            back(desk, f"--line VISC-B {part} X1", f"R{number}")
            left -= part
            states.append(desk.rows("SELECT * FROM on_hand ORDER BY place, lot"))
            gone = desk.rows("SELECT SUM(value) FROM movement WHERE to_place = 'sent-back'")
            assert gone[0][0] + value_at(desk, "VISC-B", "X1") == total
            assert left or gone == [(total,)]
    proven(desk)
    last = desk.last()[0]
    for number in range(last, last - len(states) + 1, -1):
        assert states.pop() == desk.rows("SELECT * FROM on_hand ORDER BY place, lot")
        desk.ok(f"reverse {number} --reason typing-error --by KE")
    assert states == [desk.rows("SELECT * FROM on_hand ORDER BY place, lot")]
    proven(desk)


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(1, 12), st.integers(0, 99_999), parts_sent)
def test_what_leaves_is_exact_and_reversed_it_is_as_it_was(
    moved_in: Path, tmp_path_factory: pytest.TempPathFactory, units: int, total: int,
    parts: list[int],
) -> None:  # fmt: skip
    folder = tmp_path_factory.mktemp("back") / "desk"
    shutil.copytree(moved_in, folder)
    check_exact(folder, units, total, parts)
    shutil.rmtree(folder.parent)
