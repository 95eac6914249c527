"""Invoices: matched to what came, differences carried to wherever the units are, and back."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from desk import Desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.pages import line_with
from jobs.proven import proven


@pytest.fixture
def came(desk: Desk) -> Desk:
    """Ten VISC-B at 10.00 each under N1; four at a last price, so provisional, under N2."""
    desk.ok("receive ACME --note N1 --line VISC-B 10 X1 2029-05 10.00 --by KE")
    desk.ok("receive ACME --note N2 --line VISC-B 4 X2 2029-05 - --by KE")
    return desk


def invoice(desk: Desk, what: str, number: str = "F1", supplier: str = "ACME") -> str:
    return desk.ok(f"invoice {supplier} {number} {what} --by FI")


def value_of(desk: Desk, lot: str) -> int:
    """What all units of a lot are worth, wherever they are or ended."""
    rows = desk.rows(
        "SELECT SUM(value * CASE WHEN from_place GLOB 'supplier/*' THEN 1 "
        "WHEN to_place GLOB 'supplier/*' THEN -1 ELSE 0 END) FROM movement "
        "JOIN lot ON lot.code = lot WHERE number = ?",
        lot,
    )
    return int(rows[0][0])


def lists(desk: Desk, of: str = "") -> tuple[list[dict], list[dict]]:
    found = json.loads(desk.ok(f"invoice {of} --json"))
    return found["received_not_invoiced"]["rows"], found["invoiced_not_received"]["rows"]


# Matched


def test_a_line_is_matched_to_what_came_first_and_the_difference_is_carried(came: Desk) -> None:
    page = invoice(came, "--line VISC-B 12 132.00")
    assert line_with(page, "X1") == "VISC-B X1 N1 10 100.00 110.00 10.00"
    assert line_with(page, "X2") == "VISC-B X2 N2 2 20.00 22.00 2.00"
    assert "To pay: 132.00." in page
    assert (value_of(came, "X1"), value_of(came, "X2")) == (11000, 4200)
    received, missing = lists(came, "ACME")
    assert [(row["lot"], row["quantity"]) for row in received] == [("X2", 2)]
    assert missing == []
    proven(came)


def test_a_lot_invoiced_in_full_has_a_final_price(came: Desk) -> None:
    invoice(came, "--line VISC-B 12 132.00")
    assert came.rows("SELECT price, provisional FROM lot WHERE number = 'X2'") == [(4000, 1)]
    invoice(came, "--line VISC-B 2 18.00", "F2")
    assert came.rows("SELECT price, provisional FROM lot WHERE number = 'X2'") == [(4000, 0)]
    assert "final" not in came.ok("today")
    assert lists(came, "ACME") == ([], [])


def test_discarded_units_take_their_part(came: Desk) -> None:
    """Five of ten were discarded; the rest lies in the store."""
    came.ok("discard VISC-B 5 --from STORE --lot X1 --reason damaged --by KE")
    before = came.rows("SELECT SUM(value) FROM movement WHERE to_place = 'waste/common'")[0][0]
    invoice(came, "--line VISC-B 10 150.00")
    after = came.rows("SELECT SUM(value) FROM movement WHERE to_place = 'waste/common'")[0][0]
    assert after - before == 2500
    assert came.rows(
        "SELECT value FROM on_hand JOIN lot ON lot.code = lot WHERE number = 'X1'"
    ) == [(7500,)]
    proven(came)


def test_a_case_that_used_the_lot_costs_what_was_invoiced(desk: Desk) -> None:
    """The knives of C1 cost 33.33 each; the supplier asks 20.00 more for three of the lot."""
    desk.ok("receive ACME --note N1 --line KNIFE 3 X1 2027-05 30.00 --by KE --reason needed-now")
    desk.ok("move KNIFE 3 --from STORE --to OT1 --lot X1 --by KE")
    desk.ok("finish C1 --as-kit --by NU -y")
    cost = json.loads(desk.ok("cost C1 --json"))["case_cost"]["rows"]
    (knife,) = (row for row in cost if row["item"] == "KNIFE")
    assert (knife["lot"], knife["value_minor"]) == ("X1", 3000)
    invoice(desk, "--line KNIFE 3 120.00")
    cost = json.loads(desk.ok("cost C1 --json"))["case_cost"]["rows"]
    (knife,) = (row for row in cost if row["item"] == "KNIFE")
    assert knife["value_minor"] == 4000
    proven(desk)


def test_what_did_not_come_is_listed_until_it_comes_and_is_matched(came: Desk) -> None:
    page = invoice(came, "--line VISC-B 20 220.00")
    assert line_with(page, "NOT RECEIVED") == "VISC-B NOT RECEIVED 6 66.00"
    assert [(row["invoice"], row["quantity"]) for row in lists(came)[1]] == [("F1", 6)]
    said = came.refused("invoice ACME F1 --match --by FI", 3)
    assert "nothing of what is missing has come since" in said
    came.ok("receive ACME --note N3 --line VISC-B 6 X3 2029-05 10.00 --by KE")
    invoice(came, "--match")
    assert value_of(came, "X3") == 6600
    assert lists(came, "ACME") == ([], [])
    proven(came)


def test_a_note_that_is_named_is_the_one_that_is_matched(came: Desk) -> None:
    page = invoice(came, "--line VISC-B 4 44.00 --note N2")
    assert "X1" not in page
    assert line_with(page, "X2") == "VISC-B X2 N2 4 40.00 44.00 4.00"


def test_lines_come_from_a_file_in_packs_too(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line 19521101530008 1 X1 2029-05 90.00 --by KE")
    text = "pack,quantity,amount,note\n19521101530008,1,95.00,N1\n"
    page = invoice(desk, f"--lines {desk.file('f.csv', text)}")
    assert line_with(page, "X1") == "VISC X1 N1 10 90.00 95.00 5.00"


def test_freight_and_tax_rest_on_what_has_come_by_value(came: Desk) -> None:
    came.ok("receive ACME --note N4 --line DYE 1 D9 2029-05 300.00 --by KE")
    page = invoice(came, "--line VISC-B 10 100.00 --line DYE 1 300.00 --freight 8.00 --tax 4.00")
    assert "Goods 400.00, Freight 8.00, Tax 4.00. To pay: 412.00." in page
    assert (value_of(came, "X1"), value_of(came, "D9")) == (10300, 30900)
    proven(came)


def test_a_discount_for_early_payment_lowers_what_the_units_cost(came: Desk) -> None:
    invoice(came, "--line VISC-B 10 100.00")
    assert "discount -2.00. To pay: 98.00." in invoice(came, "--discount 2%")
    assert value_of(came, "X1") == 9800
    assert "Already recorded" in invoice(came, "--discount 2%")
    proven(came)


def test_the_invoice_is_shown_again_and_twice_is_once(came: Desk) -> None:
    page = invoice(came, "--line VISC-B 12 132.00 --dated 2027-02-20")
    assert "dated 2027-02-20" in page
    assert came.ok("invoice ACME F1").strip() == page.partition("Recorded")[0].strip()
    last = came.last()
    assert "Already recorded" in invoice(came, "--line VISC-B 12 132.00 --dated 2027-02-20")
    assert came.last() == last


def test_a_reversed_invoice_is_withdrawn_and_can_be_recorded_again(came: Desk) -> None:
    invoice(came, "--line VISC-B 12 144.00")
    number = came.last()[0]
    came.ok(f"reverse {number} --reason typing-error --by FI")
    assert (value_of(came, "X1"), value_of(came, "X2")) == (10000, 4000)
    assert len(lists(came, "ACME")[0]) == 2
    assert "is not in this book" in came.refused("invoice ACME F1", 2)
    invoice(came, "--line VISC-B 12 132.00")
    assert value_of(came, "X1") == 11000
    proven(came)


def test_an_invoice_with_a_later_discount_is_reversed_from_its_end(came: Desk) -> None:
    invoice(came, "--line VISC-B 10 110.00")
    first = came.last()[0]
    invoice(came, "--discount 1.00")
    said = came.refused(f"reverse {first} --reason typing-error --by FI", 3)
    assert "Reverse that first" in said
    came.ok(f"reverse {first + 1} --reason typing-error --by FI")
    assert "To pay: 110.00." in came.ok("invoice ACME F1")
    came.ok(f"reverse {first} --reason typing-error --by FI")
    assert value_of(came, "X1") == 10000


def test_later_prices_keep_a_closed_month_as_it_was(came: Desk) -> None:
    came.ok("discard VISC-B 5 --from STORE --lot X1 --reason damaged --by KE")
    page = came.ok("period close --from 2027-02-01 --to 2027-03-01 --by FI -y")
    came.today = "2027-03-10"
    invoice(came, "--line VISC-B 10 150.00")
    assert came.rows("SELECT booked_on FROM entry ORDER BY number DESC LIMIT 1") == [
        ("2027-03-10",)
    ]
    assert came.ok("period show 1").strip() == page.partition("Recorded as")[0].strip()


# Refused


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("invoice CART F1 --line VISC-B 4 44.00 --note N2 --by FI", 3,
         "this is a delivery of ACME, not of CART"),
        ("invoice ACME F1 --line VISC-B 0 44.00 --by FI", 2, "above zero"),
        ("invoice ACME F1 --line VISC-B 1 1.234 --by FI", 2, "at most 2 decimals"),
        ("invoice ACME F1 --line VISC-B 1 -1 --by FI", 2, "nothing or more"),
        ("invoice ACME F1 --line NOPE 1 1 --by FI", 2, "NOPE is not in this book"),
        ("invoice ACME F1 --line VISC-B 1 1 --by KE", 3, "KE is keeper"),
        ("invoice ACME F1 --line VISC-B 1 1 --dated 2027-03-02 --by FI", 2, "after today"),
        ("invoice ACME F1 --discount 2% --by FI", 2, "is not in this book"),
        ("invoice ACME --line VISC-B 1 1 --by FI", 2, "SUPPLIER and NUMBER"),
        ("invoice ACME F1 --line VISC-B 1 1 --match --by FI", 2, "one at a time"),
        ("invoice ACME F1 --line KNIFE 1 1 --freight 5 --by FI", 3, "has no line to rest on"),
        ("invoice NOPE", 2, "NOPE is not in this book"),
    ],
)  # fmt: skip
def test_what_cannot_be_an_invoice_is_refused(came: Desk, line: str, code: int, words: str) -> None:
    assert words in came.refused(line, code)


def test_the_same_number_with_other_lines_is_refused(came: Desk) -> None:
    invoice(came, "--line VISC-B 12 132.00")
    said = came.refused("invoice ACME F1 --line VISC-B 12 133.00 --by FI", 3)
    assert "with other contents" in said


@pytest.mark.parametrize("text", ["0", "0%", "100.01", "101%", "x%"])
def test_a_discount_is_more_than_nothing_and_at_most_the_goods(came: Desk, text: str) -> None:
    invoice(came, "--line VISC-B 10 100.00")
    came.refused(f"invoice ACME F1 --discount {text} --by FI", 2)


# Whatever came and went


deliveries_made = st.lists(
    st.tuples(st.integers(1, 9), st.integers(0, 5000)), min_size=1, max_size=3
)
invoices_made = st.lists(
    st.tuples(st.integers(1, 12), st.integers(0, 9000)), min_size=1, max_size=3
)


def check_worth(
    folder: Path, deliveries: list[tuple[int, int]], invoices: list[tuple[int, int]], gone: int
) -> None:
    """What is invoiced is what the units are worth wherever they went, and reversed it is not."""
    desk = Desk(folder)
    desk.ok("import items --by MA " + desk.file("i.csv", "item,name,class,unit\nGEL,Gel,g,each\n"))
    for number, (units, price) in enumerate(deliveries):
        line = f"GEL {units} G{number} 2029-05 {price // 100}.{price % 100:02d}"
        desk.ok(f"receive ACME --note D{number} --line {line} --by KE")
    left = sum(units for units, _ in deliveries)
    desk.run(f"discard GEL {min(gone, left)} --from STORE --reason damaged --by KE")
    for number, (units, amount) in enumerate(invoices):
        words = f"--line GEL {units} {amount // 100}.{amount % 100:02d}"
        desk.ok(f"invoice ACME F{number} {words} --by FI")
    received, missing = lists(desk)
    rest = sum(row["reckoned_minor"] for row in received if row["item"] == "GEL")
    asked = sum(amount for _, amount in invoices) - sum(row["amount_minor"] for row in missing)
    assert sum(value_of(desk, f"G{n}") for n in range(len(deliveries))) == asked + rest
    proven(desk)
    last = desk.last()[0]
    for number in range(last, last - len(invoices), -1):
        desk.ok(f"reverse {number} --reason typing-error --by FI")
    reckoned = [units * price for units, price in deliveries]
    assert [value_of(desk, f"G{n}") for n in range(len(deliveries))] == reckoned
    proven(desk)


def run_worth(moved_in: Path, factory: pytest.TempPathFactory, *given: Any) -> None:
    folder = factory.mktemp("bills") / "desk"
    shutil.copytree(moved_in, folder)
    check_worth(folder, *given)
    shutil.rmtree(folder.parent)


@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
@given(deliveries_made, invoices_made, st.integers(0, 9))
def test_what_is_invoiced_is_what_the_units_are_worth_wherever_they_went(
    moved_in: Path, tmp_path_factory: pytest.TempPathFactory, deliveries: list, invoices: list,
    gone: int,
) -> None:  # fmt: skip
    run_worth(moved_in, tmp_path_factory, deliveries, invoices, gone)


@pytest.mark.slow
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(deliveries_made, invoices_made, st.integers(0, 9))
def test_what_is_invoiced_is_what_the_units_are_worth_long(
    moved_in: Path, tmp_path_factory: pytest.TempPathFactory, deliveries: list, invoices: list,
    gone: int,
) -> None:  # fmt: skip
    run_worth(moved_in, tmp_path_factory, deliveries, invoices, gone)
