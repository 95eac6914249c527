"""Receiving a delivery by lot, typed at the desk."""

import pytest
from desk import PACK_SIZES, Desk

from jobs.pages import line_with, moves, value_at

OUTER = next(row.split(",")[0] for row in PACK_SIZES.splitlines() if "outer" in row)
EACH = next(row.split(",")[0] for row in PACK_SIZES.splitlines() if "VISC,each" in row)
NOTE = "receive ACME --note N-1 --by KE"


def test_a_typed_line_of_units_lies_on_the_shelf_with_its_lot_expiry_and_value(desk: Desk) -> None:
    page = desk.ok(f"{NOTE} --line KNIFE 3 K9 2028-05-17 12.50")
    assert line_with(page, "K9") == "KNIFE 3 K9 2028-05-17 37.50"
    assert "Recorded as entry 10." in page
    assert desk.on_hand("KNIFE", "STORE")["STORE", "K9"] == 3
    assert desk.rows("SELECT expires_on FROM lot WHERE number = 'K9'") == [("2028-05-17",)]


@pytest.mark.parametrize(("identifier", "packs", "units"), [(OUTER, 2, 20), (EACH, 2, 2)])
def test_a_pack_identifier_counts_packs_and_prices_each_pack(
    desk: Desk, identifier: str, packs: int, units: int
) -> None:
    desk.ok(f"{NOTE} --line {identifier} {packs} V9 2029-03 1000")
    assert desk.on_hand("VISC")["STORE", "V9"] == units
    assert value_at(desk, "VISC", "V9") == 200000


def test_an_identifier_without_its_leading_nought_is_the_same_pack(desk: Desk) -> None:
    desk.ok(f"{NOTE} --line {EACH.lstrip('0')} 1 V9 2029-03 10")
    assert desk.on_hand("VISC")["STORE", "V9"] == 1


def test_a_wrong_check_digit_is_refused_with_the_right_one(desk: Desk) -> None:
    wrong = OUTER[:-1] + str((int(OUTER[-1]) + 1) % 10)
    assert f"should be {OUTER[-1]}" in desk.refused(f"{NOTE} --line {wrong} 1 V9 2029-03 1", 2)


def test_an_unknown_pack_identifier_is_refused(desk: Desk) -> None:
    assert "no pack size" in desk.refused(f"{NOTE} --line 09521234543213 1 V9 2029-03 1", 2)


def test_a_month_only_expiry_is_its_last_day_also_in_a_leap_year(desk: Desk) -> None:
    desk.ok(f"{NOTE} --line KNIFE 3 K9 2028-02 1")
    rows = desk.rows("SELECT expires_on, expiry_precision FROM lot WHERE number = 'K9'")
    assert rows == [("2028-02-29", "month")]


def test_no_expiry_sorts_after_every_day(desk: Desk) -> None:
    desk.ok(f"{NOTE} --line KNIFE 3 K9 - 1")
    assert desk.rows("SELECT expires_on FROM lot WHERE number = 'K9'") == [("9999-12-31",)]


def test_no_price_takes_the_last_price_and_says_provisional(desk: Desk) -> None:
    page = desk.ok(f"{NOTE} --line VISC 2 V9 2029-03 -")
    assert line_with(page, "V9") == "VISC 2 V9 2029-03 200.00 price provisional"


def test_a_provisional_price_is_never_the_last_price(desk: Desk) -> None:
    desk.ok(f"{NOTE} --line CASS 2 C9 2029-03 -")
    desk.ok("receive ACME --note N-2 --by KE --line CASS 1 C8 2029-03 30")
    page = desk.ok("receive ACME --note N-3 --by KE --line CASS 2 C7 2029-03 -")
    assert line_with(page, "C7") == "CASS 2 C7 2029-03 60.00 price provisional"


def test_no_price_known_at_all_is_worth_nothing_and_provisional(desk: Desk) -> None:
    page = desk.ok(f"{NOTE} --line CASS 2 C9 2029-03 -")
    assert line_with(page, "C9") == "CASS 2 C9 2029-03 0.00 price provisional"


def test_freight_and_tax_are_spread_by_value_to_the_minor_unit(desk: Desk) -> None:
    lines = "--line KNIFE 1 K9 2029-03 1 --line VISC 1 V9 2029-03 1 --line DYE 1 D9 2029-03 1"
    desk.ok(f"{NOTE} {lines} --freight 1.00 --tax 0.50")
    worth = [value_at(desk, i, n) for i, n in (("KNIFE", "K9"), ("VISC", "V9"), ("DYE", "D9"))]
    assert sum(worth) == 300 + 100 + 50
    assert worth == [100 + 33 + 17, 100 + 34 + 16, 100 + 33 + 17]


def test_freight_of_the_supplier_comes_from_the_suppliers_place(desk: Desk) -> None:
    desk.ok(f"{NOTE} --line KNIFE 1 K9 2029-03 1 --freight 2.00 --tax 0.30")
    assert moves(desk) == [
        ("K9", 1, 100, "supplier/ACME", "STORE", None),
        ("K9", 0, 30, "supplier/ACME", "STORE", "tax"),
        ("K9", 0, 200, "supplier/ACME", "STORE", "freight"),
    ]


def test_freight_billed_by_another_comes_from_that_suppliers_place(desk: Desk) -> None:
    page = desk.ok(f"{NOTE} --line KNIFE 1 K9 2029-03 1 --freight 2.00 --freight-by CART")
    assert ("K9", 0, 200, "supplier/CART", "STORE", "freight") in moves(desk)
    assert "billed by CART" in page


def test_freight_by_somebody_needs_freight_and_a_known_supplier(desk: Desk) -> None:
    line = f"{NOTE} --line KNIFE 1 K9 2029-03 1"
    assert "--freight" in desk.refused(f"{line} --freight-by CART", 2)
    assert "Near: CART" in desk.refused(f"{line} --freight 1 --freight-by CARD", 2)


@pytest.mark.parametrize(("expiry", "left"), [("2027-08-27", 179), ("2027-03-02", 1)])
def test_a_short_dated_line_needs_a_reason(desk: Desk, expiry: str, left: int) -> None:
    line = f"{NOTE} --line KNIFE 1 K9 {expiry} 1"
    assert f"{left} days away, fewer than 180" in desk.refused(line, 3)
    page = desk.ok(f"{line} --reason needed-now")
    assert "short-dated: needed-now" in page
    assert moves(desk)[0][5] == "needed-now"


@pytest.mark.parametrize("expiry", ["2027-08-28", "2027-08-29"])
def test_a_line_of_180_days_or_more_is_not_short_dated(desk: Desk, expiry: str) -> None:
    desk.ok(f"{NOTE} --line KNIFE 1 K9 {expiry} 1")


def test_a_reason_that_is_not_on_the_list_is_wrong_input(desk: Desk) -> None:
    said = desk.refused(f"{NOTE} --line KNIFE 1 K9 2027-05 1 --reason because", 2)
    assert "'because'" in said
    assert "needed-now" in said


def test_an_expiry_before_the_delivery_is_refused_through_the_day_itself_is_not(desk: Desk) -> None:
    line = f"{NOTE} --reason needed-now --line KNIFE 1 K9"
    assert "lies before the delivery (2027-03-01)" in desk.refused(f"{line} 2027-02-28 1", 3)
    desk.ok(f"{line} 2027-03-01 1")


def test_the_same_note_with_the_same_lines_is_recorded_once(desk: Desk) -> None:
    line = f"{NOTE} --line KNIFE 3 K9 2028-05 1 --freight 1"
    desk.ok(line)
    last = desk.last()
    assert "Already recorded as entry 10" in desk.ok(line)
    assert desk.last() == last


def test_the_same_note_is_recorded_once_also_for_serials(desk: Desk) -> None:
    """Rule 8 comes before any question about what is on hand because of that very entry."""
    line = f"{NOTE} --line RINGL+21.00 1 S9 2029-01 2000"
    desk.ok(line)
    assert "Already recorded as entry 10" in desk.ok(line)


def test_the_same_note_is_recorded_once_also_when_asked_after_its_expiry(desk: Desk) -> None:
    line = f"{NOTE} --reason needed-now --line KNIFE 1 K9 2027-03-02 1"
    desk.ok(line)
    assert "Already recorded as entry 10" in desk.ok(line, today="2027-03-05")


@pytest.mark.parametrize(
    "other",
    [
        "KNIFE 4 K9 2028-05 1",
        "KNIFE 3 K8 2028-05 1",
        "KNIFE 3 K9 2028-06 1",
        "KNIFE 3 K9 2028-05 2",
    ],
)
def test_the_same_note_with_other_lines_is_refused_with_both(desk: Desk, other: str) -> None:
    desk.ok(f"{NOTE} --line KNIFE 3 K9 2028-05 1")
    digest = desk.rows("SELECT request_digest FROM entry WHERE number = 10")[0][0]
    said = desk.refused(f"{NOTE} --line {other}", 3)
    assert "receive/ACME/N-1" in said
    assert "entry 10 by KE" in said
    assert f"digest {digest[:12]} then" in said
    assert "now)" in said


def test_the_same_note_of_another_supplier_is_another_delivery(desk: Desk) -> None:
    desk.ok(f"{NOTE} --line KNIFE 3 K9 2028-05 1")
    page = desk.ok("receive CART --note N-1 --by KE --line KNIFE 3 K9 2028-05 1")
    assert "Recorded as entry 11." in page


def test_a_like_delivery_without_a_note_asks_and_yes_records_another(desk: Desk) -> None:
    line = "receive ACME --by KE --line KNIFE 3 K9 2028-05 1"
    desk.ok(line)
    assert "Entry 10 records a like delivery" in desk.refused(line, 2)
    assert "Recorded as entry 11." in desk.ok(f"{line} -y")
    assert "Recorded as entry 12." in desk.ok(f"{line} -y")
    assert desk.rows("SELECT COUNT(*) FROM lot WHERE number = 'K9'") == [(3,)]


def test_another_day_or_other_lines_without_a_note_ask_nothing(desk: Desk) -> None:
    desk.ok("receive ACME --by KE --line KNIFE 3 K9 2028-05 1")
    desk.ok("receive ACME --by KE --line KNIFE 2 K9 2028-05 1")
    desk.ok("receive ACME --by KE --line KNIFE 3 K9 2028-05 1", today="2027-03-02")


def test_a_reversed_delivery_can_be_received_again(desk: Desk) -> None:
    line = f"{NOTE} --line KNIFE 3 K9 2028-05 1"
    desk.ok(line)
    desk.ok("reverse 10 --by KE --reason typing-error")
    assert "Recorded as entry 12." in desk.ok(line)
    assert desk.on_hand("KNIFE")["STORE", "K9"] == 3


def test_a_serial_on_hand_is_never_taken_in_again(desk: Desk) -> None:
    said = desk.refused(f"{NOTE} --line RINGL+21.50 1 S1 2029-01 1", 3)
    assert "serial S1 would be on hand twice" in said
    twice = "--line RINGL+21.50 1 S9 2029-01 1"
    assert "S9" in desk.refused(f"{NOTE} {twice} {twice}", 3)


def test_a_serial_that_left_may_come_back_as_a_new_lot(desk: Desk) -> None:
    desk.ok("discard RINGL+21.50 1 --from STORE --lot S1 --reason damaged --by KE")
    desk.ok(f"{NOTE} --line RINGL+21.50 1 S1 2029-01 1")
    assert desk.rows("SELECT COUNT(*) FROM lot WHERE serial = 'S1'") == [(2,)]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("KNIFE 3 K9 2027-02-30 1", "calendar"),
        ("KNIFE 3 K9 2027-13 1", "calendar"),
        ("KNIFE 3 K9 28.02.2027 1", "'28.02.2027'"),
        ("KNIFE 0 K9 2028-05 1", "above zero"),
        ("KNIFE -1 K9 2028-05 1", "above zero"),
        ("KNIFE 1.5 K9 2028-05 1", "a whole number"),
        ("IODINE 2.55 K9 2028-05 1", "at most 1 decimal"),
        ("KNIFE 99999999999999999 K9 2028-05 1", "99999999999999999"),
        ("KNIFE 9.9e5 K9 2028-05 1", "'9.9e5'"),
        ("KNIFE 999999999999999 K9 2028-05 99", "real"),
        ("KNIFE 3 K9 2028-05 1.005", "at most 2 decimals"),
        ("KNIFE 3 K9 2028-05 -1", "nothing or more"),
        ("KNIFE 3 - 2028-05 1", "lot number"),
        ("KNIVE 3 K9 2028-05 1", "Near: KNIFE"),
        ("RINGL+21.50 2 S9 2028-05 1", "one unit for one serial"),
        ("RINGL+21.50 1 - 2028-05 1", "serial"),
    ],
)
def test_a_wrong_line_is_wrong_input(desk: Desk, line: str, words: str) -> None:
    said = desk.refused(f"{NOTE} --line {line}", 2)
    assert words in said
    assert said.count("found") <= 1, "the fault is told once"


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("receive ACNE --note N --by KE --line KNIFE 1 K9 2028-05 1", 2, "Near: ACME"),
        ("receive ACME --note N --by KE --to STOR --line KNIFE 1 K9 2028-05 1", 2, "STORE"),
        ("receive ACME --note N --by XX --line KNIFE 1 K9 2028-05 1", 2, "XX"),
        ("receive ACME --note N --by NU --line KNIFE 1 K9 2028-05 1", 3, "keeper"),
        ("receive ACME --note N --by AU --line KNIFE 1 K9 2028-05 1", 3, "keeper"),
        ("receive ACME --note N --line KNIFE 1 K9 2028-05 1", 2, "--by"),
        ("receive ACME --note N --by KE", 2, "no lines"),
        ("receive ACME --note ' ' --by KE --line KNIFE 1 K9 2028-05 1", 2, "--note"),
        ("receive ACME --note N --by KE --on 2027-03-02 --line KNIFE 1 K9 2028-05 1", 2, "after"),
    ],
)
def test_unknown_names_and_roles_are_refused(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refused(line, code)


def test_a_dry_run_shows_the_lots_and_leaves_the_book_alone(desk: Desk) -> None:
    before = desk.path.read_bytes()
    page = desk.ok(f"{NOTE} --line KNIFE 3 K9 2028-05 1 -n")
    assert "K9" in page
    assert "it would be entry 10. Nothing was recorded." in page
    assert desk.path.read_bytes() == before


@pytest.mark.parametrize(
    "typed", ["+A123BJC5D6E71G", "*+A123BJC5D6E71G*", "A123BJC5D6E71", "a123bjc5d6e71"]
)
def test_a_pack_with_a_hibc_symbol_is_named_by_it(desk: Desk, typed: str) -> None:
    """As it is printed, with the asterisks around it, or as the book shows it."""
    sizes = desk.file("p.csv", "identifier,item,units\n+A123BJC5D6E71G,VISC,10\n")
    desk.ok(f"import pack-sizes {sizes} --by MA")
    desk.ok([*NOTE.split(), "--line", typed, "2", "V9", "2029-03", "1000"])
    assert desk.on_hand("VISC")[("STORE", "V9")] == 20
    desk.ok(["order", "new", "ACME", "--line", typed, "2", "--due", "2027-03-09", "--by", "KE"])


def test_a_hibc_symbol_that_is_unknown_or_misread_is_refused(desk: Desk) -> None:
    last = desk.last()
    said = desk.refused(f"{NOTE} --line +A123BJC5D6E71G 2 V9 2029-03 1000", 2)
    assert "A123BJC5D6E71 is no pack size of this book" in said
    assert "check" in desk.refused(f"{NOTE} --line +A123BJC5D6E71H 2 V9 2029-03 1000", 2)
    assert desk.last() == last


def test_a_code_that_is_an_item_and_a_pack_means_the_item(desk: Desk) -> None:
    desk.ok("item new A123BJC5D6E71 --name 'Same letters' --class fluids --by MA")
    sizes = desk.file("p.csv", "identifier,item,units\n+A123BJC5D6E71G,VISC,10\n")
    desk.ok(f"import pack-sizes {sizes} --by MA")
    desk.ok(f"{NOTE} --line A123BJC5D6E71 2 V9 2029-03 10")
    assert desk.on_hand("A123BJC5D6E71")[("STORE", "V9")] == 2
