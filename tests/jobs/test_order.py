"""Orders: made, shown, put off, closed; what is late; the supplier's page."""

import csv
import io
import json

import pytest
from desk import Desk

from jobs.pages import line_with

TERMS = """supplier,item,pack,price,lead_days,least_packs,preferred,break_packs,break_price
ACME,VISC,10,1000.00,14,2,yes,5,900.00
ACME,VISC,10,1000.00,14,2,yes,10,800.00
ACME,KNIFE,5,60.00,7,,,,
CART,VISC,12,900.00,3,,no,,
"""
OUTER = "19521101530008"


@pytest.fixture
def ordering(desk: Desk) -> Desk:
    """The small site with supply terms."""
    desk.ok(f"import supply-terms {desk.file('terms.csv', TERMS)} --by MA")
    return desk


def lines_of(desk: Desk, code: str = "O-2027-001") -> dict[str, dict[str, object]]:
    """An order's lines with what came of them, by item."""
    found = json.loads(desk.ok(f"order show {code} --json"))["order_lines"]["rows"]
    return {row["item"]: row for row in found}


def made(desk: Desk, what: str, **at: str) -> str:
    return desk.ok(f"order new ACME --by KE {what}", **at)


# Made


def test_an_order_takes_price_and_day_from_the_terms(ordering: Desk) -> None:
    page = made(ordering, "--line VISC 40 --line KNIFE 5")
    assert page.startswith("Order O-2027-001 to ACME, due 2027-03-15\n")
    assert line_with(page, "VISC") == "VISC Viscoelastic 40 0 40 4,000.00"
    assert "Value in all: INR 4,060.00" in page
    assert ordering.rows("SELECT movement_count FROM entry ORDER BY number DESC LIMIT 1") == [(0,)]


@pytest.mark.parametrize(
    ("units", "value"), [(49, "4,900.00"), (50, "4,500.00"), (99, "8,910.00"), (100, "8,000.00")]
)
def test_a_price_break_holds_from_its_quantity_on(ordering: Desk, units: int, value: str) -> None:
    assert line_with(made(ordering, f"--line VISC {units}"), "VISC").endswith(value)


def test_an_identifier_orders_packs_and_its_price_is_that_of_a_pack(ordering: Desk) -> None:
    page = made(ordering, f"--line-at {OUTER} 3 950")
    assert line_with(page, "VISC") == "VISC Viscoelastic 30 0 30 2,850.00"


def test_an_item_is_ordered_in_units_at_the_price_of_one(ordering: Desk) -> None:
    page = made(ordering, "--line-at IODINE 2.5 4.00 --due 2027-03-09")
    assert line_with(page, "IODINE") == "IODINE Povidone-iodine 2.5 ml 0 ml 2.5 ml 10.00"


def test_what_a_supplier_may_object_to_is_said_and_recorded(ordering: Desk) -> None:
    page = made(ordering, "--line VISC 12 --line DYE 1")
    assert "Warning: VISC: 12 are no whole packs of 10." in page
    assert "Warning: VISC: the terms say at least 20." in page
    assert "Warning: DYE: no price is agreed." in page
    assert "; without a price: DYE" in page
    assert "Recorded as entry" in page


def test_orders_are_numbered_through_the_book_by_year(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    assert "Order O-2027-002 to CART" in ordering.ok("order new CART --line VISC 24 --by KE")
    made(ordering, "--line VISC 20 --code O-2027-040")
    assert "O-2027-041" in made(ordering, "--line VISC 30")
    assert "O-2028-001" in made(ordering, "--line VISC 30 -y", today="2028-01-03")


def test_the_same_code_with_the_same_lines_is_recorded_once(ordering: Desk) -> None:
    made(ordering, "--line VISC 20 --code A-1")
    last = ordering.last()
    assert "Already recorded" in made(ordering, "--line VISC 20 --code A-1")
    assert ordering.last() == last
    said = ordering.refused("order new ACME --line VISC 30 --code A-1 --by KE", 3)
    assert said.startswith("order A-1 is in the book already, with other contents.")


def test_a_like_order_of_the_same_day_is_asked_about(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    said = ordering.refused("order new ACME --line VISC 20 --by KE", 2)
    assert "Order O-2027-001 of ACME on 2027-03-01 has the same lines" in said
    assert "O-2027-002" in made(ordering, "--line VISC 20 -y")


def test_a_dry_run_shows_the_order_and_leaves_the_book_alone(ordering: Desk) -> None:
    before = ordering.path.read_bytes()
    assert "Nothing was recorded." in made(ordering, "--line VISC 20 -n")
    assert ordering.path.read_bytes() == before


BAD = [
    ("order new ACNE --line VISC 20 --by KE", 2, "Near: ACME"),
    ("order new ACME --line VISK 20 --by KE", 2, "Near: VISC"),
    ("order new ACME --line VISC 0 --by KE", 2, "above zero"),
    ("order new ACME --line VISC -2 --by KE", 2, "above zero"),
    (f"order new ACME --line {OUTER} 1.5 --by KE", 2, "whole number"),
    ("order new ACME --line VISC 9999999999999999 --by KE", 2, "9999999999999999"),
    ("order new ACME --line VISC 900000000000000 --by KE", 2, "can be real"),
    ("order new ACME --line-at VISC 2 -1 --by KE", 2, "nothing or more"),
    ("order new ACME --line VISC 2 --line-at VISC 1 5 --by KE", 2, "each item once"),
    ("order new ACME --by KE", 2, "no lines"),
    ("order new ACME --line DYE 2 --by KE", 2, "Give --due DAY"),
    ("order new ACME --line VISC 2 --due 2027-02-28 --by KE", 2, "before the day of the order"),
    ("order new ACME --line VISC 2 --due yesterday --by KE", 2, "before the day of the order"),
    ("order new ACME --line VISC 2 --due 2027-02-30 --by KE", 2, "calendar"),
    ("order new ACME --line VISC 2 --on 2027-03-02 --by KE", 2, "after today"),
    ("order new ACME --line VISC 2 --code 'A 1' --by KE", 2, "--code"),
    ("order new ACME --line VISC 2 --reason not-needed --by KE", 2, "takes no reason"),
    ("order new ACME --line VISC 2 --by NU", 3, "keeper"),
    ("order new ACME --line VISC 2 --by MA", 3, "keeper"),
    ("order new ACME --line VISC 2", 2, "--by"),
    ("order show O-2027-009", 2, "not in this book"),
    ("order show --no-prices", 2, "ORDER"),
    ("order change O-2027-009 --due 2027-03-09 --by KE", 2, "not in this book"),
    ("order close O-2027-009 --reason not-needed --by KE", 2, "not in this book"),
    ("order late --as-of 2030-01-01", 2, "2030-01-01"),
]


@pytest.mark.parametrize(("line", "code", "words"), BAD)
def test_what_cannot_be_ordered_is_refused(
    ordering: Desk, line: str, code: int, words: str
) -> None:
    assert words in ordering.refused(line, code)


def test_an_order_typed_in_late_is_late_at_once(ordering: Desk) -> None:
    made(ordering, "--line VISC 20 --on 2027-02-10 --due 2027-02-28")
    assert line_with(ordering.ok("order late"), "VISC") == (
        "O-2027-001 ACME 2027-02-28 1 VISC 20 20"
    )


# Put off, closed


def test_an_order_put_off_keeps_its_lines_and_both_entries(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    page = ordering.ok("order change O-2027-001 --due 2027-03-20 --by KE")
    assert page.startswith("Order O-2027-001 of ACME: due 2027-03-20.\nRecorded as entry 12.")
    assert line_with(ordering.ok("order show O-2027-001"), "Entries") == "Entries 11, 12"
    assert "nothing changed" in ordering.ok("order change O-2027-001 --due 2027-03-20 --by KE")
    said = ordering.refused("order change O-2027-001 --due 2027-02-20 --by KE", 2)
    assert "before the day of the order (2027-03-01)" in said
    assert "keeper" in ordering.refused("order change O-2027-001 --due 2027-03-21 --by FI", 3)


def test_closing_gives_up_what_has_not_come(ordering: Desk) -> None:
    made(ordering, "--line VISC 20 --line KNIFE 5")
    ordering.ok("receive ACME --order O-2027-001 --line VISC 8 V9 2029-01 100 --by KE")
    said = ordering.refused("order close O-2027-001 --by KE", 2)
    assert "not-available" in said
    assert "'because'" in ordering.refused("order close O-2027-001 --reason because --by KE", 2)
    assert "keeper" in ordering.refused("order close O-2027-001 --reason not-needed --by NU", 3)
    close = "order close O-2027-001 --reason not-available --by KE"
    assert "Given up: VISC 12, KNIFE 5" in ordering.ok(close)
    found = lines_of(ordering)["VISC"]
    assert (found["received"], found["to_come"], found["given_up"]) == (8, 0, 12)
    assert "Given up" in ordering.ok("order show O-2027-001")
    assert "None is open." in ordering.ok("order show")
    assert line_with(ordering.ok("order show --all"), "VISC").startswith("O-2027-001 ACME closed")


def test_a_closed_order_is_closed_once(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    close = "order close O-2027-001 --by KE --reason"
    ordering.ok(f"{close} not-needed")
    assert "Already recorded as entry 12" in ordering.ok(f"{close} not-needed")
    assert "is closed already" in ordering.refused(f"{close} typing-error", 3)
    assert "is closed" in ordering.refused("order change O-2027-001 --due 2027-04-01 --by KE", 3)


def test_a_complete_order_has_nothing_to_change_or_to_close(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    ordering.ok("receive ACME --order O-2027-001 --line VISC 20 V9 2029-01 100 --by KE")
    said = ordering.refused("order close O-2027-001 --reason not-needed --by KE", 3)
    assert "is complete" in said
    assert "is complete" in ordering.refused("order change O-2027-001 --due 2027-04-01 --by KE", 3)
    assert line_with(ordering.ok("order show O-2027-001"), "State") == "State complete"


def test_how_finely_an_item_is_counted_is_fixed_once_it_is_ordered(ordering: Desk) -> None:
    ordering.ok("item new PAD --name Pad --class other --by MA")
    made(ordering, "--line PAD 3 --due 2027-03-09")
    assert "orders" in ordering.refused("item change PAD --unit-places 1 --by MA -y", 2)


def test_an_order_is_not_reversed_but_closed(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    said = ordering.refused("reverse 11 --reason typing-error --by KE", 3)
    assert "moved nothing" in said


# Asked


def test_late_means_due_before_the_day_and_not_whole(ordering: Desk) -> None:
    made(ordering, "--line VISC 20 --due 2027-03-03")
    for day, late in (("2027-03-03", False), ("2027-03-04", True)):
        assert ("O-2027-001" in ordering.ok("order late", today=day)) == late
    receive = "receive ACME --order O-2027-001 --by KE --line VISC"
    ordering.ok(f"{receive} 19 V9 2029-01 100", today="2027-03-04")
    assert line_with(ordering.ok("order late", today="2027-03-05"), "VISC").endswith("2 VISC 20 1")
    ordering.ok(f"{receive} 1 V9 2029-01 100", today="2027-03-05")
    assert "Nothing is late." in ordering.ok("order late", today="2027-03-06")
    then = ordering.ok("order late --as-of 2027-03-04", today="2027-03-06")
    assert line_with(then, "VISC").endswith("1 VISC 20 1")
    assert "Nothing is late" in ordering.ok("order late --as-of 2027-03-03", today="2027-03-06")


def test_late_as_of_an_entry_knows_nothing_of_later_ones(ordering: Desk) -> None:
    made(ordering, "--line VISC 20 --on 2027-02-10 --due 2027-02-20")
    ordering.ok("order close O-2027-001 --reason not-available --by KE")
    assert "Nothing is late." in ordering.ok("order late")
    assert "O-2027-001" in ordering.ok("order late --as-of-entry 11")
    assert "Nothing is late." in ordering.ok("order late --as-of-entry 10")


def test_orders_travel_with_a_backup(ordering: Desk) -> None:
    made(ordering, "--line VISC 20")
    ordering.ok("receive ACME --order O-2027-001 --line VISC 8 V9 2029-01 100 --by KE")
    out = ordering.folder / "copy.stockbook"
    ordering.ok(["book", "backup", str(out)])
    copy = Desk(ordering.folder, name="copy.stockbook")
    assert lines_of(copy) == lines_of(ordering)
    assert "The book is sound" in copy.ok("book verify")


def test_what_is_on_order_is_told_by_item_and_on_the_stock_page(ordering: Desk) -> None:
    assert "On order" not in ordering.ok("stock --per item")
    made(ordering, "--line VISC 20 --line KNIFE 5")
    ordering.ok("order new CART --line VISC 12 --by KE")
    page = ordering.ok("order show --per item")
    assert line_with(page, "VISC") == "VISC Viscoelastic 32 2027-03-04 O-2027-002, O-2027-001"
    assert line_with(ordering.ok("stock --per item"), "VISC ") == (
        "VISC Viscoelastic 3 15 32 1,650.00"
    )
    rows = json.loads(ordering.ok("stock --per item --json"))["stock_per_item"]["rows"]
    assert {row["item"]: row["on_order"] for row in rows}["KNIFE"] == 5
    assert "On order" not in ordering.ok("stock --per item --as-of 2027-02-20")


def test_today_tells_keeper_and_manager_what_is_due_and_late(ordering: Desk) -> None:
    made(ordering, "--line VISC 20 --due 2027-03-02")
    for role in ("keeper", "manager"):
        due = ordering.ok(f"today --role {role}", today="2027-03-02")
        assert "Orders due today: 1" in due
        assert "Orders late: none" in due
        late = ordering.ok(f"today --role {role}", today="2027-03-03")
        assert "Orders late: 1" in late
        assert line_with(late, "O-2027-001") == (
            "O-2027-001 2027-03-02 ACME 1 day late VISC 20 to come"
        )
    assert "Orders" not in ordering.ok("today --role nurse", today="2027-03-03")


def test_ready_names_what_is_on_order_instead_of_ordering(ordering: Desk) -> None:
    assert "order 1: not in the house" in lack(ordering, "L1", "RINGL+21.00")
    ordering.ok("order new CART --line RINGL+21.00 3 --due 2027-03-02 --by KE")
    said = lack(ordering, "L1", "RINGL+21.00")
    assert said.endswith("C2 on order: 3 due 2027-03-02 (O-2027-001)")


def test_ready_names_what_is_short_even_after_the_order(ordering: Desk) -> None:
    ordering.ok("order new CART --line IODINE 1 --due 2027-03-02 --by KE")
    ordering.ok("discard IODINE 20.5 --from OT1 --lot I1 --reason damaged --by KE")
    said = lack(ordering, "L2", "IODINE")
    assert "on order: 1 ml due 2027-03-02 (O-2027-001); order 1.5 ml more" in said


def lack(desk: Desk, what: str, item: str) -> str:
    """The line of an item in the table of what is missing."""
    page = desk.run(f"ready {what}").out
    return line_with(page[page.index("Missing in total") :], item)


# For the supplier


def test_the_csv_of_one_order_is_the_supplier_s_in_packs(ordering: Desk) -> None:
    made(ordering, "--line VISC 50 --line KNIFE 7")
    rows = {
        r["item"]: r
        for r in csv.DictReader(io.StringIO(ordering.ok("order show O-2027-001 --csv")))
    }
    visc, knife = rows["VISC"], rows["KNIFE"]
    assert (visc["identifier"], visc["packs"], visc["pack"], visc["units"]) == (
        OUTER,
        "5",
        "10",
        "50",
    )
    assert (visc["pack_price"], visc["price"]) == ("900.00", "4500.00")
    assert (knife["packs"], knife["units"], knife["price"]) == ("", "7", "84.00")
    made(ordering, "--line VISC 21")
    other = next(csv.DictReader(io.StringIO(ordering.ok("order show O-2027-002 --csv"))))
    assert (other["identifier"], other["packs"]) == ("09521101530001", "")
    plain = ordering.ok("order show O-2027-001 --no-prices --csv")
    assert "price" not in plain


def test_the_page_for_the_supplier_names_site_number_and_packs(ordering: Desk) -> None:
    made(ordering, "--line VISC 50")
    out = ordering.folder / "order.html"
    ordering.ok(["order", "show", "O-2027-001", "-o", str(out)])
    page = out.read_text(encoding="utf-8")
    for words in (
        "Small Site",
        "Order O-2027-001",
        "Acme Supplies",
        OUTER,
        "4,500.00",
        "2027-03-15",
    ):
        assert words in page
    ordering.ok(["order", "show", "O-2027-001", "--no-prices", "-o", str(out)])
    assert "4,500.00" not in out.read_text(encoding="utf-8")
    assert "Price" not in out.read_text(encoding="utf-8")


def test_names_in_the_supplier_s_page_are_escaped(ordering: Desk) -> None:
    ordering.ok(["supplier", "change", "ACME", "--name", "A <b> & Co", "--by", "MA"])
    made(ordering, "--line VISC 50")
    out = ordering.folder / "order.html"
    ordering.ok(["order", "show", "O-2027-001", "-o", str(out)])
    assert "A &lt;b&gt; &amp; Co" in out.read_text(encoding="utf-8")
