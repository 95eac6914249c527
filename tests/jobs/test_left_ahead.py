"""What will be left at expiry by the coming cases: in `expiring` and when a lot comes."""

import json

import pytest
from desk import Desk

from stockbook.domain.days import days_after

LATER = "2027-03-02"


@pytest.fixture
def used(desk: Desk) -> Desk:
    """Two finished cases that took a knife each."""
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("finish C2 --as-kit --by NU")
    desk.today = LATER
    return desk


def rows(desk: Desk, more: str = "") -> dict[str, dict[str, object]]:
    found = json.loads(desk.ok(f"expiring --within 300 --json {more}"))["expiring"]["rows"]
    return {str(row["lot"]): row for row in found}


def scheduled(desk: Desk, cases: int) -> None:
    head = "list,day,theatre,case,position,patient,eye,procedure,category"
    lines = [
        f"N{n // 20},{days_after('2027-03-08', n // 20)},OT1,N{n},{n % 20 + 1},P-{n},left,"
        "PHACO,paid"
        for n in range(cases)
    ]
    desk.ok(f"import lists {desk.file('n.csv', chr(10).join([head, *lines]))} --by MA -y")


def test_coming_lists_lower_what_will_be_left(used: Desk) -> None:
    used.ok("receive ACME --note N1 --line KNIFE 400 X1 2027-09-30 100.00 --by KE")
    quiet = rows(used, "--forecast")["X1"]["expected_left"]
    scheduled(used, 200)
    busy = rows(used, "--forecast")["X1"]["expected_left"]
    assert busy <= quiet - 180
    assert "by the forecast of the coming cases for" in used.ok("expiring --within 300 --forecast")
    assert "by the forecast" not in used.ok("expiring --within 300")


def test_what_has_no_basis_keeps_what_recent_use_says(used: Desk) -> None:
    used.ok("receive ACME --note N1 --line CASS 5 X1 2027-09-30 100.00 --by KE")
    plain, ahead = rows(used)["X1"], rows(used, "--forecast")["X1"]
    assert ahead["expected_left"] == plain["expected_left"] is None


def test_lots_are_used_in_turn_and_the_later_one_is_left(used: Desk) -> None:
    used.ok("receive ACME --note N1 --line KNIFE 5 X1 2027-06-30 10.00 --by KE --reason needed-now")
    used.ok("receive ACME --note N2 --line KNIFE 900 X2 2027-09-30 10.00 --by KE")
    found = rows(used, "--forecast")
    assert found["X1"]["expected_left"] <= 1
    assert found["X2"]["expected_left"] > 500


def test_the_past_has_no_forecast(used: Desk) -> None:
    assert "leave --as-of out" in used.refused("expiring --forecast --as-of 2027-03-01", 2)


def test_a_short_dated_or_given_lot_says_what_will_be_left_of_it(used: Desk) -> None:
    said = used.ok(
        "receive ACME --note N1 --line KNIFE 900 X1 2027-08-01 1.00 --by KE --reason agreed-price"
    )
    assert "KNIFE lot X1: expected left over at its expiry " in said
    assert " of 900." in said
    given = used.ok(
        "receive ACME --note N2 --terms donated --reason donation "
        "--line KNIFE 9 X2 2027-12-01 - --by KE"
    )
    assert "KNIFE lot X2: expected left over" in given
    bought = used.ok("receive ACME --note N3 --line KNIFE 9 X3 2029-12 1.00 --by KE")
    assert "expected left over" not in bought
