"""Credit notes for what was sent back: matched, settled, owed until they come, and undone."""

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


@pytest.fixture
def back(desk: Desk) -> Desk:
    """Ten VISC-B at 10.00 each under N1, invoiced as F1; three of them sent back under R1."""
    desk.ok("receive ACME --note N1 --line VISC-B 10 X1 2029-05 10.00 --by KE")
    desk.ok("invoice ACME F1 --line VISC-B 10 100.00 --by FI")
    desk.ok("send-back ACME --note R1 --line VISC-B 3 X1 --reason damaged --by KE")
    return desk


def credit(desk: Desk, what: str, number: str = "K1") -> str:
    return desk.ok(f"invoice ACME {number} --credit {what} --by FI")


def at(desk: Desk, *kinds: str) -> int:
    """What has come to places of these kinds, less what left them; minor units."""
    marks = ", ".join("?" * len(kinds))
    rows = desk.rows(
        "SELECT COALESCE(SUM(CASE WHEN place.code = to_place THEN value ELSE -value END), 0) "
        "FROM movement JOIN place ON place.code IN (from_place, to_place) "
        f"WHERE place.kind IN ({marks})",
        *kinds,
    )
    return int(rows[0][0])


def owed(desk: Desk, of: str = "") -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(desk.ok(f"invoice {of} --json"))[
        "sent_back_not_credited"
    ]["rows"]
    return found


def to_invoice(desk: Desk) -> list[tuple[str, int, int]]:
    rows = json.loads(desk.ok("invoice ACME --json"))["received_not_invoiced"]["rows"]
    return [(row["lot"], row["quantity"], row["reckoned_minor"]) for row in rows]


# Credited


def test_a_credit_of_what_the_units_left_at_settles_without_a_difference(back: Desk) -> None:
    page = credit(back, "--line VISC-B 3 30.00")
    assert "Credit note K1 of ACME, dated 2027-03-01 (INR)" in page
    assert line_with(page, "X1") == "VISC-B X1 3 30.00 30.00 0.00"
    assert "Credited: 30.00, exactly what the units left at." in page
    assert moves(back) == []
    assert owed(back) == []
    proven(back)


@pytest.mark.parametrize(
    ("amount", "words", "moved"),
    [
        ("25.00", "5.00 less than the units left at: a loss",
         ("X1", 0, 500, "sent-back", "difference", "credit")),
        ("32.50", "2.50 more than the units left at: a gain",
         ("X1", 0, 250, "difference", "sent-back", "credit")),
        ("0", "30.00 less than the units left at",
         ("X1", 0, 3000, "sent-back", "difference", "credit")),
    ],
)  # fmt: skip
def test_what_is_credited_less_or_more_is_a_difference_and_sent_back_bears_the_credit(
    back: Desk, amount: str, words: str, moved: tuple
) -> None:
    assert words in credit(back, f"--line VISC-B 3 {amount}")
    assert moves(back) == [moved]
    assert at(back, "sent back") == round(float(amount) * 100)
    assert at(back, "supplier") == -10_000
    assert value_at(back, "VISC-B", "X1") == 7000
    proven(back)


def test_it_is_listed_until_it_is_credited(back: Desk) -> None:
    page = back.ok("invoice ACME")
    assert "Sent back and not credited" in page
    assert line_with(page, "R1") == "ACME R1 2027-03-01 VISC-B X1 3 30.00"
    assert "1 lot, 30.00 owed back." in page
    assert "uncredited lot, worth 30.00" in back.ok("period show --open 2027-03")
    credit(back, "--line VISC-B 2 20.00")
    (row,) = owed(back)
    assert (row["notes"], row["quantity"], row["reckoned_minor"]) == ("R1", 1, 1000)
    assert owed(back, "CART") == []
    credit(back, "--line VISC-B 1 10.00", "K2")
    assert "not credited" not in back.ok("invoice ACME")


def test_the_invoice_says_what_was_credited_since_and_what_is_to_be_paid(back: Desk) -> None:
    credit(back, "--line VISC-B 3 25.00")
    assert "Goods 100.00, credited since -25.00. To pay: 75.00." in back.ok("invoice ACME F1")
    found = json.loads(back.ok("invoice ACME F1 --json"))["invoice"]
    assert (found["credited_minor"], found["payable_minor"]) == ("2500", "7500")


def test_a_credit_note_is_shown_again_as_it_was_and_twice_is_once(back: Desk) -> None:
    page = credit(back, "--line VISC-B 3 25.00 --dated 2027-02-28")
    assert "dated 2027-02-28" in page
    assert back.ok("invoice ACME K1").strip() == page.partition("Recorded")[0].strip()
    last = back.last()
    assert "Already recorded" in credit(back, "--line VISC-B 3 25.00 --dated 2027-02-28")
    assert back.last() == last
    said = back.refused("invoice ACME K1 --credit --line VISC-B 3 26.00 --by FI", 3)
    assert "with other contents" in said


def test_what_went_back_first_is_credited_first_or_what_the_note_names(back: Desk) -> None:
    back.ok("receive ACME --note N2 --line VISC-B 5 X2 2029-06 12.00 --by KE")
    back.ok("invoice ACME F2 --line VISC-B 5 60.00 --by FI")
    back.ok("send-back ACME --note R2 --line VISC-B 4 X2 --reason wet --by KE")
    page = credit(back, "--line VISC-B 2 24.00 --note R2")
    assert "X1" not in page
    assert line_with(page, "X2") == "VISC-B X2 2 24.00 24.00 0.00"
    page = credit(back, "--line VISC-B 5 54.00", "K2")
    assert line_with(page, "X1") == "VISC-B X1 3 30.00 32.40 2.40"
    assert line_with(page, "X2") == "VISC-B X2 2 24.00 21.60 -2.40"
    assert owed(back) == []
    proven(back)


def test_lines_of_one_note_take_one_after_the_other(back: Desk) -> None:
    page = credit(back, "--line VISC-B 1 9.00 --line VISC-B 2 21.00")
    rows = [" ".join(line.split()) for line in page.splitlines() if line.startswith("VISC-B")]
    assert rows == ["VISC-B X1 1 10.00 9.00 -1.00", "VISC-B X1 2 20.00 21.00 1.00"]
    assert at(back, "sent back") == 3000
    assert owed(back) == []


def test_opening_stock_that_went_back_is_owed_at_once(desk: Desk) -> None:
    desk.ok("send-back CART --note R1 --line VISC 2 V3 --reason surplus --by KE")
    (row,) = owed(desk, "CART")
    assert (row["lot"], row["quantity"], row["reckoned_minor"]) == ("V3", 2, 26000)
    desk.ok("invoice CART K1 --credit --line VISC 2 200.00 --by FI")
    assert owed(desk) == []
    proven(desk)


def test_gifts_and_consigned_units_are_owed_nothing(desk: Desk) -> None:
    rows = (
        "item,units,lot,expiry,terms,shadow,agreed\n"
        "CASS,3,Z1,2029-05,consigned,,90.00\nVIT,2,Z2,2029-05,donated,80.00,\n"
    )
    desk.ok(f"receive ACME --note N1 --lines {desk.file('d.csv', rows)} --by KE")
    desk.ok("send-back ACME --note R1 --lot Z1 --lot Z2 --reason surplus --by KE")
    assert owed(desk) == []
    said = desk.refused("invoice ACME K1 --credit --line CASS 1 30.00 --by FI", 3)
    assert "0 of what was bought of ACME was sent back" in said


# Before and after the invoice


def test_a_supplier_who_bills_only_what_was_kept_owes_nothing(desk: Desk) -> None:
    """Ten came, three went back before the invoice: it asks for seven, at 12.00."""
    desk.ok("receive ACME --note N1 --line VISC-B 10 X1 2029-05 - --by KE")
    before = value_at(desk, "VISC-B", "X1")
    desk.ok("send-back ACME --note R1 --line VISC-B 3 X1 --reason damaged --by KE")
    assert [row[:2] for row in to_invoice(desk)] == [("X1", 7)]
    desk.ok("invoice ACME F1 --line VISC-B 7 840.00 --by FI")
    assert (to_invoice(desk), owed(desk)) == ([], [])
    assert value_at(desk, "VISC-B", "X1") == 84_000
    assert at(desk, "sent back") == before * 3 // 10
    assert desk.rows("SELECT price, provisional FROM lot WHERE number = 'X1'") == [(120_000, 0)]
    proven(desk)


def test_a_supplier_who_bills_all_owes_what_went_back_before(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line VISC-B 10 X1 2029-05 10.00 --by KE")
    desk.ok("send-back ACME --note R1 --line VISC-B 3 X1 --reason damaged --by KE")
    assert owed(desk) == []
    page = desk.ok("invoice ACME F1 --line VISC-B 10 120.00 --by FI")
    assert "NOT RECEIVED" not in page
    (row,) = owed(desk)
    assert (row["quantity"], row["reckoned_minor"]) == (3, 3600)
    proven(desk)


def test_what_is_billed_is_first_what_was_kept(desk: Desk) -> None:
    """Two lots of five, all of the first but one sent back: six of ten are billed."""
    for number in (1, 2):
        line = f"VISC-B 5 X{number} 2029-05 10.00"
        desk.ok(f"receive ACME --note N{number} --line {line} --by KE")
    desk.ok("send-back ACME --note R1 --line VISC-B 4 X1 --reason damaged --by KE")
    page = desk.ok("invoice ACME F1 --line VISC-B 6 60.00 --by FI")
    assert line_with(page, "X1") == "VISC-B X1 N1 1 10.00 10.00 0.00"
    assert line_with(page, "X2") == "VISC-B X2 N2 5 50.00 50.00 0.00"
    assert (to_invoice(desk), owed(desk)) == ([], [])


def test_a_credit_before_the_invoice_leaves_all_to_be_invoiced(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line VISC-B 10 X1 2029-05 10.00 --by KE")
    desk.ok("send-back ACME --note R1 --line VISC-B 3 X1 --reason damaged --by KE")
    credit(desk, "--line VISC-B 3 36.00")
    assert to_invoice(desk) == [("X1", 10, 10000)]
    desk.ok("invoice ACME F1 --line VISC-B 10 120.00 --by FI")
    assert at(desk, "sent back") == 3600
    assert at(desk, "difference") == 0
    assert value_at(desk, "VISC-B", "X1") == 8400
    proven(desk)


def test_an_invoice_that_asks_less_takes_the_loss_of_an_early_credit_back(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line VISC-B 10 X1 2029-05 12.00 --by KE")
    desk.ok("send-back ACME --note R1 --line VISC-B 3 X1 --reason damaged --by KE")
    credit(desk, "--line VISC-B 3 30.00")
    assert at(desk, "difference") == 600
    desk.ok("invoice ACME F1 --line VISC-B 10 100.00 --by FI")
    assert (at(desk, "sent back"), at(desk, "difference")) == (3000, 0)
    assert value_at(desk, "VISC-B", "X1") == 7000
    proven(desk)


def test_a_discount_rests_on_what_was_kept_alone(back: Desk) -> None:
    credit(back, "--line VISC-B 3 30.00")
    said = back.refused("invoice ACME F1 --discount 70.01 --by FI", 2)
    assert "lines less what was credited (70.00)" in said
    page = back.ok("invoice ACME F1 --discount 2% --by FI")
    assert "discount -1.40, credited since -30.00. To pay: 68.60." in page
    assert (value_at(back, "VISC-B", "X1"), at(back, "sent back")) == (6860, 3000)
    proven(back)


def test_a_discount_before_the_credit_lowers_what_is_owed(back: Desk) -> None:
    back.ok("invoice ACME F1 --discount 2% --by FI")
    assert [row["reckoned_minor"] for row in owed(back)] == [2940]


@pytest.mark.parametrize("method", ["fifo", "average"])
def test_other_methods_have_the_credit_in_their_differences(back: Desk, method: str) -> None:
    credit(back, "--line VISC-B 3 25.00")
    found = json.loads(back.ok(f"cost --month 2027-03 --method {method} --json"))
    rows = {row["method"]: row for row in found["cost_by_method"]["rows"]}
    for row in rows.values():
        assert (row["received_minor"], row["differences_minor"]) == (7500, -500)
        assert row["used_minor"] == 0
    assert len({row["closing_minor"] for row in rows.values()}) == 1


# Undone


def test_reversed_a_credit_note_gives_nothing_and_can_be_recorded_again(back: Desk) -> None:
    before = at(back, "sent back"), at(back, "difference")
    credit(back, "--line VISC-B 3 25.00")
    back.ok(f"reverse {back.last()[0]} --reason typing-error --by FI")
    assert (at(back, "sent back"), at(back, "difference")) == before
    assert [row["quantity"] for row in owed(back)] == [3]
    assert "To pay: 100.00." in back.ok("invoice ACME F1")
    assert "is not in this book" in back.refused("invoice ACME K1", 2)
    credit(back, "--line VISC-B 3 30.00")
    assert owed(back) == []
    proven(back)


def test_what_was_credited_cannot_come_back_to_its_shelf(back: Desk) -> None:
    number = back.last()[0]
    credit(back, "--line VISC-B 1 10.00")
    said = back.refused(f"reverse {number} --reason typing-error --by KE", 3)
    assert "of VISC-B lot X1 it sent back what credit note K1 of ACME gives back for" in said
    back.ok(f"reverse {number + 1} --reason typing-error --by FI")
    back.ok(f"reverse {number} --reason typing-error --by KE")
    assert value_at(back, "VISC-B", "X1") == 10000
    assert owed(back) == []
    proven(back)


def test_only_what_is_left_uncredited_can_be_undone(back: Desk) -> None:
    """Three went back under R1 and two under R2; three are credited: R2 can be undone, not R1."""
    first = back.last()[0]
    back.ok("send-back ACME --note R2 --line VISC-B 2 X1 --reason wet --by KE")
    credit(back, "--line VISC-B 3 30.00")
    back.refused(f"reverse {first} --reason typing-error --by KE", 3)
    back.ok(f"reverse {first + 1} --reason typing-error --by KE")
    assert value_at(back, "VISC-B", "X1") == 7000


# Refused


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("invoice ACME K1 --credit --line VISC-B 4 40.00 --by FI", 3,
         "VISC-B: 4 credited, but 3 of what was bought of ACME was sent back and is not credited"),
        ("invoice ACME K1 --credit --line VISC-B 2 20.00 --line VISC-B 2 20.00 --by FI", 3,
         "2 credited, but 1 of"),
        ("invoice CART K1 --credit --line VISC-B 1 10.00 --by FI", 3, "0 of what was bought"),
        ("invoice ACME K1 --credit --line DYE 1 10.00 --by FI", 3, "DYE: 1 credited, but 0"),
        ("invoice ACME K1 --credit --line VISC-B 1 10.00 --note R7 --by FI", 2, "Near: R1"),
        ("invoice ACME K1 --credit --line VISC-B 1 -1 --by FI", 2, "nothing or more"),
        ("invoice ACME K1 --credit --line VISC-B 0 1 --by FI", 2, "above zero"),
        ("invoice ACME K1 --credit --line VISC-B 1 1 --by KE", 3, "KE is keeper"),
        ("invoice ACME K1 --credit --line VISC-B 1 1 --freight 2 --by FI", 2, "without --freight"),
        ("invoice ACME K1 --credit --by FI", 2, "--credit goes with lines"),
        ("invoice ACME K1 --credit --line VISC-B 1 1 --match --by FI", 2, "one at a time"),
        ("invoice ACME F1 --credit --line VISC-B 1 1 --by FI", 3, "recorded as an invoice"),
        ("invoice ACME K1 --credit --line VISC-B 1 1 --dated 2027-03-02 --by FI", 2, "after today"),
    ],
)  # fmt: skip
def test_what_cannot_be_a_credit_note_is_refused(
    back: Desk, line: str, code: int, words: str
) -> None:
    assert words in back.refused(line, code)


def test_a_credit_note_takes_no_discount_and_its_number_no_invoice(back: Desk) -> None:
    credit(back, "--line VISC-B 3 30.00")
    for words in ("--discount 2%", "--match"):
        said = back.refused(f"invoice ACME K1 {words} --by FI", 3)
        assert "is a credit note" in said
    said = back.refused("invoice ACME K1 --line VISC-B 1 10.00 --by FI", 3)
    assert "K1 of ACME is recorded as a credit note" in said


def test_opening_stock_goes_back_to_one_supplier(desk: Desk) -> None:
    desk.ok("send-back CART --note R1 --line VISC 2 V3 --reason surplus --by KE")
    said = desk.refused("send-back ACME --note R1 --line VISC 1 V3 --reason surplus --by KE", 3)
    assert "went back to CART under note R1" in said


# Whatever came, went back, was billed and credited


Given = tuple[list[tuple[int, int]], list[int], list[tuple[int, int]], int]
given_days = st.tuples(
    st.lists(st.tuples(st.integers(1, 9), st.integers(0, 5000)), min_size=1, max_size=3),
    st.lists(st.integers(1, 6), min_size=1, max_size=3),
    st.lists(st.tuples(st.integers(1, 6), st.integers(0, 9000)), max_size=3),
    st.integers(0, 9000),
)


def money(amount: int) -> str:
    return f"{amount // 100}.{amount % 100:02d}"


def check_settled(folder: Path, days: Given) -> None:
    """What suppliers were paid is what is here, gone or lost; *sent back* bears the credits."""
    deliveries, sends, credits_, billed = days
    desk = Desk(folder)
    desk.ok("import items --by MA " + desk.file("i.csv", "item,name,class,unit\nGEL,Gel,g,each\n"))
    begun = at(desk, "supplier")
    for number, (units, price) in enumerate(deliveries):
        line = f"GEL {units} G{number} 2029-05 {money(price)}"
        desk.ok(f"receive ACME --note D{number} --line {line} --by KE")
    start = desk.last()[0], desk.rows("SELECT * FROM on_hand ORDER BY place, lot")
    for number, units in enumerate(sends):
        lot = f"G{number % len(deliveries)}"
        desk.run(f"send-back ACME --note R{number} --line GEL {units} {lot} --reason wet --by KE")
    given = 0
    for number, (units, amount) in enumerate(credits_[:1]):
        line = f"--credit --line GEL {units} {money(amount)}"
        given += amount * (desk.run(f"invoice ACME K{number} {line} --by FI").code == 0)
    came = sum(units for units, _ in deliveries)
    desk.ok(f"invoice ACME F1 --line GEL {came} {money(billed)} --by FI")
    for number, (units, amount) in enumerate(credits_[1:], start=1):
        line = f"--credit --line GEL {units} {money(amount)}"
        given += amount * (desk.run(f"invoice ACME K{number} {line} --by FI").code == 0)
    assert begun - at(desk, "supplier") == billed
    assert at(desk, "sent back") == given + sum(row["reckoned_minor"] for row in owed(desk))
    proven(desk)
    for number in range(desk.last()[0], start[0], -1):
        by = desk.rows("SELECT by FROM entry WHERE number = ?", number)[0][0]
        desk.ok(f"reverse {number} --reason typing-error --by {by}")
    assert desk.rows("SELECT * FROM on_hand ORDER BY place, lot") == start[1]
    assert (at(desk, "sent back"), at(desk, "difference")) == (0, 0)
    proven(desk)


def run_settled(moved_in: Path, factory: pytest.TempPathFactory, days: Given) -> None:
    folder = factory.mktemp("credits") / "desk"
    shutil.copytree(moved_in, folder)
    check_settled(folder, days)
    shutil.rmtree(folder.parent)


@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
@given(given_days)
def test_what_was_paid_is_here_gone_or_lost_and_sent_back_bears_the_credits(
    moved_in: Path, tmp_path_factory: pytest.TempPathFactory, days: Given
) -> None:
    run_settled(moved_in, tmp_path_factory, days)


@pytest.mark.slow
@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(given_days)
def test_what_was_paid_is_here_gone_or_lost_long(
    moved_in: Path, tmp_path_factory: pytest.TempPathFactory, days: Given
) -> None:
    run_settled(moved_in, tmp_path_factory, days)
