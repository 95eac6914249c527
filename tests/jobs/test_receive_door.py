"""Conditions at the door: rejected, set aside in the quarantine area, a gift of a short life."""

import json

import pytest
from desk import Desk

from jobs.pages import line_with, moves

RECEIVE = "receive ACME --note N9 --by KE"


def test_what_is_rejected_is_recorded_and_not_taken_in(desk: Desk) -> None:
    before = desk.on_hand("VISC")
    said = desk.ok(
        f"{RECEIVE} --line KNIFE 5 K9 2029-01 10.00 --reject 19521101530008 2 V9 2029-01 damaged"
    )
    assert "Rejected, damaged: VISC lot V9, 20. Not taken in." in said
    assert desk.on_hand("VISC") == before
    assert desk.rows("SELECT item, quantity, reason, number, expires_on FROM rejection") == [
        ("VISC", 20, "damaged", "V9", "2029-01-31")
    ]
    desk.ok("book verify")


def test_the_suppliers_record_counts_rejects_until_the_delivery_is_reversed(desk: Desk) -> None:
    desk.ok(
        f"{RECEIVE} --line KNIFE 5 K9 2029-01 10.00 --reject VISC 2 V9 - wet "
        "--quarantine DYE 1 D9 2029-01 warm"
    )
    page = desk.ok("supplier show ACME")
    assert "Rejected at the door: 1 of 3 lines (wet 1)." in page
    assert "Set aside at the door: 1 lot (warm 1)." in page
    data = json.loads(desk.ok("supplier show ACME --json"))
    record = data["supplier_record"]["rows"][0]
    assert (record["lines_at_the_door"], record["lines_rejected"]) == (3, 1)
    assert record["lots_set_aside"] == 1
    desk.ok(f"reverse {desk.last()[0]} --reason typing-error --by KE")
    assert "at the door" not in desk.ok("supplier show ACME")


def test_a_delivery_that_is_rejected_as_a_whole_is_an_entry_and_can_be_reversed(
    desk: Desk,
) -> None:
    said = desk.ok(f"{RECEIVE} --reject 09528888888882 3 - - wrong-item")
    assert "Rejected, wrong-item: 09528888888882, 3 packs. Not taken in." in said
    assert moves(desk) == []
    assert "Already recorded" in desk.ok(f"{RECEIVE} --reject 09528888888882 3 - - wrong-item")
    desk.ok(f"reverse {desk.last()[0]} --reason typing-error --by KE")
    assert "Recorded as entry" in desk.ok(f"{RECEIVE} --reject 09528888888882 3 - - wrong-item")
    desk.ok("book verify")


def test_another_rejection_under_the_same_note_is_refused(desk: Desk) -> None:
    desk.ok(f"{RECEIVE} --line KNIFE 5 K9 2029-01 10.00 --reject VISC 2 V9 - wet")
    said = desk.refused(f"{RECEIVE} --line KNIFE 5 K9 2029-01 10.00 --reject VISC 3 V9 - wet", 3)
    assert "with other contents" in said


def test_what_is_set_aside_lies_in_the_quarantine_area_with_its_reason(desk: Desk) -> None:
    said = desk.ok(f"{RECEIVE} --quarantine VISC 2 V9 2027-02-01 expired")
    assert "set aside in QUAR: expired" in said
    assert desk.on_hand("VISC", "QUAR") == {("QUAR", "V9"): 2}
    (move,) = moves(desk)
    assert move[1:2] + move[3:] == (2, "supplier/ACME", "QUAR", "expired")
    assert "V9" not in desk.ok("issue C1 --by NU")


def test_what_is_set_aside_bears_its_share_of_freight_where_it_lies(desk: Desk) -> None:
    desk.ok(
        f"{RECEIVE} --line KNIFE 1 K9 2029-01 10.00 --quarantine KNIFE 1 K8 2029-01 wet "
        "--freight 3.00"
    )
    places = {(lot, to) for lot, _, _, _, to, _ in moves(desk)}
    assert places == {("K9", "STORE"), ("K8", "QUAR")}
    desk.ok("book verify")


def test_rejected_units_stay_to_come_on_their_order(desk: Desk) -> None:
    desk.ok("order new ACME --due 2027-03-10 --line-at KNIFE 10 10.00 --by KE")
    came = "--line KNIFE 4 K9 2029-01 - --reject KNIFE 6 K9 - wet"
    desk.ok(f"{RECEIVE} --order O-2027-001 {came}")
    assert line_with(desk.ok("order show O-2027-001"), "KNIFE").split()[-3:-1] == ["4", "6"]
    assert desk.rows("SELECT order_code FROM rejection") == [("O-2027-001",)]


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("--reject VISC 2 V9 - ugly", "--reject, reason: found 'ugly', wanted one of: damaged"),
        ("--reject VISC 0 V9 - wet", "wanted a number above zero"),
        ("--reject 09521101530002 1 - - wet", "the check digit of 09521101530002 should be 1"),
        ("--reject NOPE 1 - - wet", "item: NOPE is not in this book"),
        ("--quarantine VISC 2 - 2029-01 wet", "lot"),
        ("--quarantine VISC 2 V9 2029-01 wet --area STORE", "no place of this book that fits"),
        ("--quarantine VISC 2 V9 2029-01 needed-now", "--quarantine, reason"),
    ],
)
def test_wrong_words_at_the_door_are_refused(desk: Desk, words: str, wanted: str) -> None:
    assert wanted in desk.refused(f"{RECEIVE} {words}", 2)


def test_of_several_quarantine_areas_one_is_named(desk: Desk) -> None:
    desk.ok("place new COLDQ --name 'Cold quarantine' --kind quarantine --by MA")
    aside = f"{RECEIVE} --quarantine VISC 2 V9 2029-01 warm"
    assert "name one of COLDQ, QUAR" in desk.refused(aside, 2)
    desk.ok(f"{aside} --area COLDQ")
    assert desk.on_hand("VISC", "COLDQ") == {("COLDQ", "V9"): 2}


@pytest.mark.parametrize(
    ("expiry", "is_taken"), [("2028-02-28", False), ("2028-02-29", True), ("2028-03-01", True)]
)
def test_a_gift_of_less_than_a_year_is_accepted_in_somebodys_name(
    desk: Desk, expiry: str, *, is_taken: bool
) -> None:
    gift = f"{RECEIVE} --terms donated --line KNIFE 9 X2 {expiry} -"
    if is_taken:
        desk.ok(gift)
        return
    said = desk.refused(gift, 3)
    assert "a gift with 364 days left, fewer than 365" in said
    assert "left over at its expiry" in said
    desk.ok(f"{gift} --reason donation")
    assert moves(desk)[0][5] == "donation"


def test_how_long_a_gift_has_to_keep_is_a_setting(desk: Desk) -> None:
    desk.ok("book settings gift_least_days 30 --by MA")
    desk.ok(f"{RECEIVE} --terms donated --line KNIFE 9 X2 2027-12-01 -")


def test_without_a_price_the_suppliers_terms_come_before_the_last_price(desk: Desk) -> None:
    desk.file("terms.csv", "supplier,item,pack,price,lead_days\nACME,KNIFE,5,60.00,7\n")
    desk.ok("import supply-terms terms.csv --by MA")
    desk.ok(f"{RECEIVE} --line KNIFE 10 K9 2029-01 -")
    assert moves(desk)[0][2] == 12000
