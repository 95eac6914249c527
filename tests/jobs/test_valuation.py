"""What the stock is worth: by item and method, written down item by item and up again."""

import json

import pytest
from desk import Desk
from hypothesis import given
from hypothesis import strategies as st

from jobs.pages import line_with
from jobs.proven import proven
from stockbook.domain.valuation import lower_of_cost_and_market
from stockbook.domain.write_downs import (
    Carried,
    adjusted,
    outstanding,
    stated_worth,
    written_down,
)

DOWN = "valuation write-down {} --reason obsolete --by FI --checked-by MA"


def worth(desk: Desk, item: str, more: str = "") -> dict[str, object]:
    rows = json.loads(desk.ok(f"valuation show {more} --json"))["valuation"]["rows"]
    return next(row for row in rows if row["item"] == item)


# Shown


def test_an_item_s_value_is_what_its_lots_bear(desk: Desk) -> None:
    """VISC: 1 worth 100.00, 9 worth 900.00, 5 worth 650.00."""
    found = worth(desk, "VISC", "--method fifo --method average")
    assert (found["quantity"], found["by_lot_minor"]) == (15, 165000)
    assert found["by_fifo_minor"] == found["by_average_minor"] == 165000
    assert found["stated_minor"] is None
    assert found["lower_minor"] == 165000


def test_all_items_sum_to_what_is_on_hand(desk: Desk) -> None:
    rows = json.loads(desk.ok("valuation show --json"))["valuation"]["rows"]
    assert [(sum(row["by_lot_minor"] for row in rows),)] == desk.rows(
        "SELECT SUM(value) FROM on_hand"
    )


def test_fifo_differs_from_the_lot_that_was_taken(desk: Desk) -> None:
    """V3 (130.00 each) was recorded after V1 and V2 (100.00 each)."""
    desk.ok("discard VISC 5 --from STORE --lot V3 --reason damaged --by KE")
    found = worth(desk, "VISC", "--method fifo --method average")
    assert found["by_lot_minor"] == 165000 - 65000
    assert found["by_fifo_minor"] == 165000 - 50000
    assert found["by_average_minor"] == 165000 - 55000


def test_the_past_is_shown_as_it_was_booked(desk: Desk) -> None:
    desk.today = "2027-03-10"
    desk.ok("discard VISC 5 --from STORE --lot V2 --reason damaged --by KE")
    assert worth(desk, "VISC", "--as-of 2027-03-09")["by_lot_minor"] == 165000
    assert worth(desk, "VISC")["by_lot_minor"] == 115000


# Written down and up


def test_stock_goes_to_the_lower_of_cost_and_the_stated_value(desk: Desk) -> None:
    page = desk.ok(DOWN.format("VISC 110.00"))
    assert "Nothing changes." in page
    page = desk.ok(DOWN.format("VISC 90.00"))
    assert "On shelves before 1,650.00, now 1,350.00." in page
    assert worth(desk, "VISC")["by_lot_minor"] == 135000
    assert desk.rows("SELECT SUM(value) FROM movement WHERE to_place = 'difference'") == [(30000,)]
    proven(desk)


def test_what_recovers_goes_up_to_cost_and_no_further(desk: Desk) -> None:
    desk.ok(DOWN.format("VISC 90.00"))
    up = "valuation write-down VISC 100.00 --reason value-recovered --by FI --checked-by MA"
    assert "now 1,500.00." in desk.ok(up)
    page = desk.ok(up.replace("100.00", "900.00"))
    assert "now 1,650.00." in page
    assert worth(desk, "VISC")["by_lot_minor"] == 165000
    proven(desk)


def test_what_left_since_gives_nothing_back(desk: Desk) -> None:
    """Fifteen units were written down by 300.00; five of them (of V2) are gone."""
    desk.ok(DOWN.format("VISC 90.00"))
    desk.ok("discard VISC 5 --from STORE --lot V2 --reason damaged --by KE")
    before = worth(desk, "VISC")["by_lot_minor"]
    desk.ok("valuation write-down VISC 999 --reason value-recovered --by FI --checked-by MA")
    gone = desk.rows("SELECT SUM(value) FROM movement WHERE to_place = 'waste/common'")[0][0]
    back = worth(desk, "VISC")["by_lot_minor"] - before
    assert gone + before + back == 165000 - (50000 - gone)
    proven(desk)


def test_consigned_and_staged_units_stay_as_they_are(desk: Desk) -> None:
    desk.ok("issue C1 --by NU -y")
    staged = desk.rows("SELECT SUM(value) FROM on_hand WHERE place LIKE 'trolley/%'")
    desk.ok(DOWN.format("KNIFE 1.00"))
    assert desk.rows("SELECT SUM(value) FROM on_hand WHERE place LIKE 'trolley/%'") == staged
    proven(desk)


def test_an_item_without_stock_bears_its_stated_value_and_nothing_moves(desk: Desk) -> None:
    assert "Nothing changes." in desk.ok(DOWN.format("CASS 5.00"))


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("valuation write-down VISC 90 --reason obsolete --by FI", 3, "second person"),
        ("valuation write-down VISC 90 --by FI --checked-by MA", 2, "no reason"),
        (DOWN.format("VISC much"), 2, "wanted a plain number"),
        (DOWN.format("VISC 1.001"), 2, "at most 2 decimals"),
        (DOWN.format("VISK 1"), 2, "Near: VISC"),
        ("valuation write-down VISC 90 --reason obsolete --by KE --checked-by MA", 3, "keeper"),
    ],
)
def test_a_value_that_cannot_be_stated_is_refused(
    desk: Desk, line: str, code: int, words: str
) -> None:
    assert words in desk.refused(line, code)


def test_the_same_value_twice_and_a_reversal_are_refused(desk: Desk) -> None:
    desk.ok(DOWN.format("VISC 90.00"))
    assert "stated already" in desk.refused(DOWN.format("VISC 90.00"), 3)
    number = desk.last()[0]
    said = desk.refused(f"reverse {number} --reason typing-error --by FI", 3)
    assert "state the value of VISC anew" in said


def test_the_test_is_a_setting_and_printed(desk: Desk) -> None:
    assert "net realisable value (IAS 2)" in desk.ok("valuation show")
    desk.ok("book settings value_test replacement --by MA")
    assert "current replacement cost (IPSAS 12" in desk.ok("valuation show")


# What does not move, what was paid


def test_what_nothing_was_used_of_is_listed_dearest_first(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU -y")
    found = json.loads(desk.ok("valuation idle --days 20 --json"))["not_moving"]["rows"]
    items = [row["item"] for row in found]
    assert "KNIFE" not in items
    assert "DYE" in items
    values = [row["value_minor"] for row in found]
    assert values == sorted(values, reverse=True)
    assert "Of everything on the shelves something was used." in desk.ok(
        "valuation idle --days 3000"
    )


def test_prices_are_compared_with_the_last_before_the_period(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line DYE 10 X1 2029-05 40.00 --by KE --on 2027-02-20")
    desk.ok("receive ACME --note N2 --line DYE 10 X2 2029-05 45.00 --by KE")
    desk.ok("receive ACME --note N3 --line CASS 1 X3 2029-05 9.00 --by KE")
    page = desk.ok("valuation prices --month 2027-03")
    assert line_with(page, "X2") == "DYE X2 ACME 10 450.00 400.00 50.00"
    assert line_with(page, "X3") == "CASS X3 ACME 1 9.00 first price"
    assert "Paid beyond the prices before: 50.00." in page
    assert "Nothing was bought." in desk.ok("valuation prices --month 2027-01")


# As rules

rows_of_an_item = st.lists(
    st.tuples(st.integers(1, 4), st.sampled_from("ST"), st.integers(1, 50), st.integers(0, 9000)),
    min_size=1, max_size=6, unique_by=lambda row: (row[0], row[1]),
).map(lambda rows: [Carried(*row) for row in rows])  # fmt: skip


@given(rows_of_an_item, st.integers(0, 400), st.integers(0, 400), st.integers(0, 2))
def test_down_is_the_lower_of_both_and_up_never_passes_cost(
    rows: list[Carried], value: int, later: int, places: int
) -> None:
    cost, units = sum(row.value for row in rows), sum(row.quantity for row in rows)
    made = adjusted(rows, value, places, {})
    after = cost + sum(one.amount for one in made)
    assert after == lower_of_cost_and_market([(cost, stated_worth(units, value, places))])
    changed = {(one.lot, one.place): one.amount for one in made}
    now = [
        Carried(r.lot, r.place, r.quantity, r.value + changed.get((r.lot, r.place), 0))
        for r in rows
    ]  # fmt: skip
    assert all(row.value >= 0 for row in now)
    lots = written_down(rows, {}, made)
    below = outstanding(now, lots)
    assert sum(below.values()) == cost - after
    again = after + sum(one.amount for one in adjusted(now, later, places, below))
    assert again == min(cost, stated_worth(units, later, places))
