"""Receiving against an order: in parts, too much, otherwise than agreed, and taken back."""

import json

import pytest
from desk import Desk

from jobs.pages import line_with
from jobs.test_order import OUTER, lines_of, made, ordering

__all__ = ["ordering"]

ON = "receive ACME --by KE --order O-2027-001"


def test_what_came_is_told_line_by_line(ordering: Desk) -> None:
    made(ordering, "--line VISC 40 --line KNIFE 5")
    page = ordering.ok(f"{ON} --line VISC 30 V9 2029-01 100 --note N1")
    table = page[page.index("Order O-2027-001") :]
    assert table.startswith("Order O-2027-001, due 2027-03-15\n")
    assert line_with(table, "VISC") == "VISC 40 30 30 10"
    assert line_with(table, "KNIFE") == "KNIFE 5 0 5"
    assert "Warning" not in table
    rest = ordering.ok(f"{ON} --line VISC 10 V9 2029-01 100 --line KNIFE 5 K9 2029-01 12")
    assert "Order O-2027-001, complete" in rest
    codes = ordering.rows("SELECT DISTINCT order_code FROM lot WHERE received_on = '2027-03-01'")
    assert codes == [("O-2027-001",)]


@pytest.mark.parametrize(("units", "over"), [(19, 0), (20, 0), (21, 1)])
def test_what_comes_beyond_the_order_is_told_apart(ordering: Desk, units: int, over: int) -> None:
    made(ordering, "--line VISC 20")
    page = ordering.ok(f"{ON} --line VISC {units} V9 2029-01 100")
    assert ("Warning: VISC: 1 more than ordered." in page) == bool(over)
    found = lines_of(ordering)["VISC"]
    assert (found["received"], found["to_come"], found["over"]) == (
        min(units, 20), max(0, 20 - units), over,
    )  # fmt: skip


def test_bonus_units_beyond_the_order_are_named_as_such(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    ordering.file("d.csv", "item,units,bonus,lot,expiry,price\nVISC,20,2,V9,2029-01,100\n")
    page = ordering.ok(f"{ON} --lines d.csv")
    assert "Warning: VISC: 2 more than ordered, 2 of them bonus." in page
    assert "ordered at" not in page


@pytest.mark.parametrize(
    ("price", "words"),
    [
        ("101", "ordered at 100.00 for one, delivered at 101.00: 20.00 more for the line."),
        ("100", None),
        ("99.50", "ordered at 100.00 for one, delivered at 99.50: 10.00 less for the line."),
        ("-", None),
    ],
)
def test_another_price_is_told_and_recorded_all_the_same(
    ordering: Desk, price: str, words: str | None
) -> None:
    made(ordering, "--line VISC 20")
    page = ordering.ok(f"{ON} --line VISC 20 V9 2029-01 {price}")
    assert (words in page) if words else ("Warning" not in page)
    assert "Recorded as entry" in page


def test_a_line_without_a_price_takes_that_of_its_order_provisionally(ordering: Desk) -> None:
    made(ordering, "--line-at VISC 20 70")
    page = ordering.ok(f"{ON} --line VISC 10 V9 2029-01 -")
    assert line_with(page, "V9") == "VISC 10 V9 2029-01 700.00 price provisional"


def test_a_pack_of_another_size_than_the_terms_say_is_told(ordering: Desk) -> None:
    ordering.ok("order new CART --line VISC 24 --by KE")
    said = "Warning: VISC lot V9: packs of 10, the terms say 12."
    line = f"receive CART --order O-2027-001 --by KE --line {OUTER} 1 V9 2029-01 750"
    assert said in ordering.ok(line)
    single = "receive CART --order O-2027-001 --by KE --line 09521101530001 2 V8 2029-01 75"
    assert "packs of" not in ordering.ok(single)


def test_an_item_that_was_not_ordered_is_told_and_recorded(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    page = ordering.ok(f"{ON} --line DYE 1 D9 2029-01 5")
    assert "Warning: DYE was not ordered with O-2027-001." in page
    assert ordering.on_hand("DYE")["STORE", "D9"] == 1
    assert "Capsule dye (not ordered)" in ordering.ok("order show O-2027-001")


def test_a_file_may_name_an_order_for_each_line(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    made(ordering, "--line KNIFE 5")
    rows = "VISC,20,V9,2029-01,100,\nKNIFE,5,K9,2029-01,12,o-2027-002\n"
    ordering.file("d.csv", f"item,units,lot,expiry,price,order\n{rows}")
    page = ordering.ok(f"{ON} --lines d.csv --note N1")
    assert "Order O-2027-001, complete" in page
    assert "Order O-2027-002, complete" in page


def test_the_same_note_on_another_order_is_other_contents(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    made(ordering, "--line VISC 30")
    line = "--by KE --note N1 --line VISC 20 V9 2029-01 100"
    ordering.ok(f"receive ACME --order O-2027-001 {line}")
    assert "Already recorded" in ordering.ok(f"receive ACME --order O-2027-001 {line}")
    said = ordering.refused(f"receive ACME --order O-2027-002 {line}", 3)
    assert "other contents" in said


def test_without_an_order_the_open_ones_for_these_items_are_named(ordering: Desk) -> None:
    made(ordering, "--line VISC 20 --line KNIFE 5")
    page = ordering.ok("receive ACME --by KE --line VISC 2 V9 2029-01 100")
    assert "On order of this supplier: O-2027-001 (VISC: 20 to come)." in page
    assert "--order O-2027-001" in page
    for line in ("receive CART --by KE --line VISC 2", "receive ACME --by KE --line DYE 2"):
        assert "On order" not in ordering.ok(f"{line} X9 2029-01 100")
    assert lines_of(ordering)["VISC"]["to_come"] == 20


def test_a_reversed_delivery_gives_its_units_back_to_what_is_to_come(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    ordering.ok(f"{ON} --line VISC 20 V9 2029-01 100 --note N1")
    assert "None is open." in ordering.ok("order show")
    ordering.ok("reverse 12 --reason typing-error --by KE")
    assert lines_of(ordering)["VISC"]["to_come"] == 20
    assert "What came" not in ordering.ok("order show O-2027-001")
    ordering.ok(f"{ON} --line VISC 20 V9 2029-01 100 --note N1")
    assert lines_of(ordering)["VISC"]["to_come"] == 0


def test_what_was_used_since_still_came(ordering: Desk) -> None:
    ordering.ok("order new CART --line CASS 2 --due 2027-03-09 --by KE")
    ordering.ok("receive CART --by KE --order O-2027-001 --line CASS 2 C9 2029-01 5")
    ordering.ok("discard CASS 2 --from STORE --reason damaged --by KE")
    assert lines_of(ordering)["CASS"]["received"] == 2


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("receive CART --order O-2027-001 --by KE", 3, "is of ACME (Acme Supplies)"),
        ("receive ACME --order O-2027-002 --by KE", 3, "is closed"),
        ("receive ACME --order O-2027-009 --by KE", 2, "not in this book"),
        ("receive ACME --order 'O 1' --by KE", 2, "--order"),
        ("receive ACME --order O-2027-001 --by KE --on 2027-02-28", 3, "after this delivery"),
        ("receive ACME --order O-2027-001 --by NU", 3, "keeper"),
    ],
)
def test_an_order_that_cannot_be_meant_is_refused(
    ordering: Desk, line: str, code: int, words: str
) -> None:
    made(ordering, "--line VISC 20")
    made(ordering, "--line VISC 30")
    ordering.ok("order close O-2027-002 --reason not-needed --by KE")
    assert words in ordering.refused(f"{line} --line VISC 2 V9 2029-01 100", code)


# The supplier's record


def test_the_record_has_every_lead_time_the_fill_and_the_short_dated(ordering: Desk) -> None:
    made(ordering, "--line VISC 20 --line KNIFE 5")
    assert "Orders: 2 lines ordered, 0 due by now or whole." in ordering.ok("supplier show ACME")
    ordering.ok("order change O-2027-001 --due 2027-04-20 --by KE")
    ordering.ok(f"{ON} --line VISC 12 V9 2029-01 100", today="2027-03-11")
    ordering.ok(
        f"{ON} --line VISC 3 V7 2027-05 100 --line VISC 5 V8 2029-01 100 --reason needed-now",
        today="2027-03-21",
    )
    page = ordering.ok("supplier show ACME", today="2027-03-22")
    assert line_with(page, "O-2027-001", "2027-03-11") == "O-2027-001 VISC 2027-03-11 12 10 14"
    assert line_with(page, "O-2027-001", "2027-03-21") == "O-2027-001 VISC 2027-03-21 8 20 14"
    assert "Came in full: 1 of 2, by the day first agreed 0." in page
    assert "mean of these lines: 50.0 %, by the day first agreed 30.0 %." in page
    assert "Short-dated (fewer than 180 days) when received: 1 of 3 lots." in page
    found = json.loads(ordering.ok("supplier show ACME --json", today="2027-03-22"))
    assert [row["days"] for row in found["lead_times"]["rows"]] == [10, 20]
    assert found["supplier_record"]["rows"][0]["fill_in_time_per_10000"] == 3000
    assert found["supply_terms"]["rows"][0]["item"] == "KNIFE"


def test_a_supplier_without_orders_has_no_record(ordering: Desk) -> None:
    assert "Orders" not in ordering.ok("supplier show LENSCO")
    assert ordering.ok("supplier show ACME --csv") == "supplier,name\nACME,Acme Supplies\n"
