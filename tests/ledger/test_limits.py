"""Rules 1, 3 and 4 at their edges: the largest number, the case's balance, the last unit."""

import sqlite3
from contextlib import closing

import pytest
from desk import Desk

from ledger.books import balances, content, lot, record
from stockbook.domain.entries import Movement
from stockbook.errors import Refused, StockbookError

LIMIT = 2**53
TROLLEY = "trolley/OT1"
DRAINED = [(89999, "refused"), (90000, "taken"), (90001, "refused")]
LAST_UNIT = [(9999, "refused"), (10000, "taken"), (10001, "refused")]


def refused(desk: Desk, *moves: Movement) -> None:
    before = content(desk.path)
    with pytest.raises(Refused):
        record(desk, *moves)
    assert content(desk.path) == before


def answered(desk: Desk, answer: str, move: Movement) -> None:
    """The movement is `taken`, or `refused` with the book as it was."""
    if answer == "refused":
        refused(desk, move)
    else:
        assert not record(desk, move).already


@pytest.mark.parametrize("amount", [LIMIT - 1, 1])
def test_rule_01_amounts_below_two_to_the_53rd_are_taken(desk: Desk, amount: int) -> None:
    code = lot(desk, "V1")
    record(desk, Movement(code, amount, amount, "supplier/ACME", "QUAR"), kind="delivery")
    assert balances(desk)["QUAR", code] == (amount, amount)
    desk.ok("book verify")


@pytest.mark.parametrize(
    ("quantity", "value"), [(LIMIT, 1), (1, LIMIT), (LIMIT + 1, 1), (2**63, 1)]
)
def test_rule_01_two_to_the_53rd_and_more_is_refused(desk: Desk, quantity: int, value: int) -> None:
    before = content(desk.path)
    move = Movement(lot(desk, "V1"), quantity, value, "supplier/ACME", "QUAR")
    with pytest.raises((StockbookError, OverflowError)):
        record(desk, move, kind="delivery")
    assert content(desk.path) == before


@pytest.mark.parametrize("side", ["units", "value"])
def test_rule_01_what_lies_on_a_shelf_stays_below_two_to_the_53rd_too(
    desk: Desk, side: str
) -> None:
    """Each movement is small enough, their sum is not."""
    code = lot(desk, "V1")
    most = Movement(code, LIMIT - 1, LIMIT - 1, "supplier/ACME", "QUAR")
    more = {"units": (1, 0), "value": (0, 1)}[side]
    record(desk, most, kind="delivery")
    refused(desk, Movement(code, *more, "supplier/ACME", "QUAR"))


@pytest.mark.parametrize(("quantity", "value"), [(1.0, 100), (1, 100.0), (0.5, 100), (True, 100)])
def test_rule_01_no_fraction_and_no_float_is_recorded(
    desk: Desk, quantity: float, value: float
) -> None:
    """A float that equals a whole number would be stored as one and chained as another text."""
    before = content(desk.path)
    with pytest.raises(Exception, match=r".+"):
        record(desk, Movement(lot(desk, "V2"), quantity, value, "STORE", "OT1"))
    assert content(desk.path) == before


@pytest.mark.parametrize(("quantity", "value"), [(-1, 0), (0, -1), (-1, -1), (0, 0)])
def test_rule_01_a_movement_of_less_than_nothing_or_of_nothing_is_refused(
    desk: Desk, quantity: int, value: int
) -> None:
    refused(desk, Movement(lot(desk, "V2"), quantity, value, "STORE", "difference"))


@pytest.mark.parametrize(("quantity", "answer"), [(8, "taken"), (9, "taken"), (10, "refused")])
def test_rule_03_no_more_leaves_a_place_than_lies_there(
    desk: Desk, quantity: int, answer: str
) -> None:
    value = 80000 if quantity == 8 else 90000
    move = Movement(lot(desk, "V2"), quantity, value, "STORE", "OT1")
    answered(desk, answer, move)
    assert desk.on_hand("VISC", "OT1").get(("OT1", "V2"), 0) == (quantity if quantity < 10 else 0)


def test_rule_03_what_does_not_lie_there_at_all_cannot_leave(desk: Desk) -> None:
    refused(desk, Movement(lot(desk, "V2"), 1, 0, "OT2", "STORE"))


def test_rule_03_no_row_stays_for_nothing(desk: Desk) -> None:
    record(desk, Movement(lot(desk, "V2"), 9, 90000, "STORE", "OT1"))
    assert ("STORE", lot(desk, "V2")) not in balances(desk)
    kinds = desk.rows("SELECT DISTINCT kind FROM on_hand JOIN place ON place.code = place")
    assert {kind for (kind,) in kinds} <= {"store", "theatre", "trolley", "in use", "quarantine"}


@pytest.mark.parametrize(
    ("value", "answer"), [(89999, "refused"), (90000, "taken"), (90001, "refused")]
)
def test_rule_04_a_drained_lot_is_worth_exactly_nothing(
    desk: Desk, value: int, answer: str
) -> None:
    move = Movement(lot(desk, "V2"), 9, value, "STORE", "OT1")
    answered(desk, answer, move)


def test_rule_04_three_units_worth_a_hundred_leave_as_33_34_33(desk: Desk) -> None:
    """The example of rule 4, in minor units of a lot worth 1.00."""
    desk.ok(f"receive ACME --note N1 --lines {desk.file('t.csv', THREE)} --by KE")
    for _ in range(3):
        desk.ok("move DYE 1 --from STORE --to OT1 --lot T33 --by KE")
    values = desk.rows("SELECT value FROM movement WHERE lot = ? ORDER BY entry", lot(desk, "T33"))
    assert [value for (value,) in values] == [100, 33, 34, 33]
    assert balances(desk)["OT1", lot(desk, "T33")] == (3, 100)


THREE = "item,units,lot,expiry,total\nDYE,3,T33,2029-01,1.00\n"


def test_rule_04_units_of_one_lot_finished_together_leave_with_their_exact_part(
    desk: Desk,
) -> None:
    """Six units worth 1.00 from two places; two of them wasted, one from each."""
    six = "item,units,lot,expiry,total\nVISC-B,6,SIX,2027-09,1.00\n"
    desk.ok(f"receive ACME --note N1 --lines {desk.file('six.csv', six)} --by KE")
    desk.ok("move VISC-B 5 --from STORE --to OT1 --lot SIX --by KE")
    desk.ok("issue C1 --extra VISC-B 6 --by NU")
    desk.ok("finish C1 --as-kit --wasted VISC-B 2 dropped --by NU")
    desk.ok("book verify")


def issue_two_cases(desk: Desk) -> int:
    """C1 has one unit of V2 on the trolley, C2 has two; the lot."""
    code = lot(desk, "V2")
    record(desk, Movement(code, 1, 10000, "STORE", TROLLEY, "C1"), kind="issue")
    record(desk, Movement(code, 2, 20000, "STORE", TROLLEY, "C2"), kind="issue")
    assert balances(desk)[TROLLEY, code] == (3, 30000)
    return code


@pytest.mark.parametrize(("quantity", "answer"), [(1, "taken"), (2, "taken"), (3, "refused")])
def test_rule_03_a_case_takes_no_more_from_the_trolley_than_was_issued_to_it(
    desk: Desk, quantity: int, answer: str
) -> None:
    move = Movement(issue_two_cases(desk), quantity, quantity * 10000, TROLLEY, "used/paid", "C2")
    answered(desk, answer, move)


def test_rule_03_a_case_that_was_issued_nothing_takes_nothing(desk: Desk) -> None:
    refused(desk, Movement(issue_two_cases(desk), 1, 10000, TROLLEY, "used/free", "C3"))


@pytest.mark.parametrize("back", ["used/paid", "waste/paid"])
@pytest.mark.parametrize(("quantity", "answer"), [(1, "taken"), (2, "refused")])
def test_rule_03_a_case_gives_back_no_more_than_it_took(
    desk: Desk, back: str, quantity: int, answer: str
) -> None:
    code = issue_two_cases(desk)
    record(desk, Movement(code, 1, 10000, TROLLEY, back, "C1"), kind="finish")
    record(desk, Movement(code, 2, 20000, TROLLEY, back, "C2"), kind="finish")
    move = Movement(code, quantity, quantity * 10000, back, TROLLEY, "C1")
    answered(desk, answer, move)


@pytest.mark.parametrize(
    ("value", "answer"), [(9999, "refused"), (10000, "taken"), (10001, "refused")]
)
def test_rule_03_a_case_keeps_no_value_without_units(desk: Desk, value: int, answer: str) -> None:
    move = Movement(issue_two_cases(desk), 1, value, TROLLEY, "used/paid", "C1")
    answered(desk, answer, move)


@pytest.mark.parametrize(
    ("place", "case"), [("OT2", None), (TROLLEY, "C1"), ("used/paid", "C1"), ("waste/paid", "C1")]
)
def test_rule_03_a_bill_does_not_follow_to_where_no_units_are(
    desk: Desk, place: str, case: str | None
) -> None:
    refused(desk, Movement(lot(desk, "V2"), 0, 500, "supplier/ACME", place, case))


def test_rule_03_a_bill_follows_the_units_of_a_case(desk: Desk) -> None:
    code = issue_two_cases(desk)
    record(desk, Movement(code, 0, 500, "supplier/ACME", TROLLEY, "C2"), kind="delivery")
    with closing(sqlite3.connect(desk.path)) as db:
        rows = db.execute("SELECT case_code, value FROM case_balance ORDER BY 1").fetchall()
    assert rows == [("C1", 10000), ("C2", 20500)]
    desk.ok("book verify")


def test_rule_05_every_lot_sums_to_nothing_over_all_places(desk: Desk) -> None:
    issue_two_cases(desk)
    sums = desk.rows("SELECT lot, SUM(quantity), SUM(value) FROM movement_side GROUP BY lot")
    assert len(sums) == 16
    assert {row[1:] for row in sums} == {(0, 0)}


def test_rule_05_what_came_less_what_ended_lies_on_hand_in_units_and_money(desk: Desk) -> None:
    for line in (
        "receive ACME --note N1 --line VISC 7 A1 2029-01 3.33 --freight 1.00 --by KE",
        "discard VISC 2 --from STORE --reason damaged --by KE",
        "finish C1 --as-kit --wasted VISC 1 dropped --by NU",
    ):
        desk.ok(line)
    ends = "('opening', 'supplier', 'used', 'waste', 'sent back', 'difference', 'reprocessing')"
    flows = desk.rows(
        "SELECT lot, -SUM(quantity), -SUM(value) FROM movement_side "
        f"JOIN place ON place.code = place WHERE kind IN {ends} GROUP BY lot "
        "HAVING SUM(quantity) <> 0 OR SUM(value) <> 0 ORDER BY lot"
    )
    lying = desk.rows(
        "SELECT lot, SUM(quantity), SUM(value) FROM on_hand GROUP BY lot ORDER BY lot"
    )
    assert flows == lying
    assert sum(value for _, _, value in lying) > 0
