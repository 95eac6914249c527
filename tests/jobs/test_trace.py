"""Which cases a lot reached, certain and possible apart; what a case was given."""

import pytest
from desk import Desk

from jobs.pages import line_with


def groups(page: str) -> tuple[set[str], set[str]]:
    """The cases of the two groups: certain, possible."""
    certain = page.partition("CERTAIN")[2].partition("POSSIBLE")[0]
    possible = page.partition("POSSIBLE")[2].partition("Movements of the lot")[0]
    return tuple({w for w in part.split() if w in {"C1", "C2", "C3", "C4"}}
                 for part in (certain, possible))  # fmt: skip


def test_a_lot_that_was_seen_reached_its_case_for_certain(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --lot VISC V3")
    desk.ok("finish C1 --as-kit --by NU")
    page = desk.ok("trace V3")
    assert groups(page) == ({"C1"}, set())
    assert line_with(page, "used/paid", "seen").startswith("C1 2027-03-01 used/paid 11")


def test_a_lot_that_was_picked_reached_its_case_possibly(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    assert groups(desk.ok("trace V1")) == (set(), {"C1"})


def test_every_case_drawn_unseen_from_the_lots_place_is_possible(desk: Desk) -> None:
    """K1 lay in OT1 with others presumed: whoever drew a knife there unseen may have had it."""
    desk.ok("move KNIFE 1 --from STORE --to OT1 --lot K2 --by KE")
    for case in ("C1", "C2", "C3"):
        desk.ok(f"finish {case} --as-kit --by NU")
    assert groups(desk.ok("trace K2")) == (set(), {"C1", "C2", "C3"})


def test_a_case_before_the_lot_came_is_not_possible(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("move KNIFE 1 --from STORE --to OT1 --lot K2 --by KE")
    desk.ok("finish C3 --as-kit --by NU")
    assert groups(desk.ok("trace K2")) == (set(), {"C3"})


def test_certain_cases_that_account_for_the_whole_lot_leave_no_possible_ones(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --lot VISC V1")
    desk.ok("finish C1 --as-kit --lot VISC V1 --by NU")
    desk.ok("move VISC 2 --from STORE --to OT1 --lot V3 --by KE")
    desk.ok("finish C2 --as-kit --by NU")
    assert groups(desk.ok("trace V1")) == ({"C1"}, set())


def test_a_serial_is_traced_by_itself(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --lot RINGL+21.50 S2")
    desk.ok("finish C1 --as-kit --by NU")
    assert groups(desk.ok("trace S2")) == ({"C1"}, set())
    assert groups(desk.ok("trace S1"))[0] == set()


def test_a_reversed_use_says_nothing_about_where_the_lot_went(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --lot VISC V3")
    desk.ok("reverse 10 --by NU --reason wrong-case")
    page = desk.ok("trace V3")
    assert groups(page)[0] == set()
    assert line_with(page, "reversal").endswith("undone")


def test_a_printed_number_of_two_items_is_traced_for_each_or_for_the_named_one(
    desk: Desk,
) -> None:
    desk.ok("receive ACME --note N --by KE --line CASS 1 V3 2029-01 60")
    page = desk.ok("trace V3")
    assert "Trace of CASS lot V3" in page
    assert "Trace of VISC lot V3" in page
    assert "Trace of VISC" not in desk.ok("trace V3 --item CASS")


def test_a_lot_says_where_it_came_from_and_what_is_left(desk: Desk) -> None:
    desk.ok("receive ACME --note N --by KE --line CASS 3 C9 2029-01 60")
    desk.ok("discard CASS 1 --from STORE --reason damaged --by KE")
    page = desk.ok("trace C9")
    assert "2027-03-01 from ACME" in page
    assert "till on hand: 2." in page


def test_a_case_shows_all_that_was_moved_for_it(desk: Desk) -> None:
    assert "Nothing was moved" in desk.ok("trace C1")
    desk.ok("issue C1 --by NU")
    desk.ok("finish C1 --as-kit --wasted KNIFE 1 dropped --by NU")
    page = desk.ok("trace C1")
    assert line_with(page, "issue", "K1").startswith("10 issue KNIFE K1 1 33.33 OT1 trolley/OT1")
    assert line_with(page, "waste/paid").endswith("presumed dropped")


def test_a_lot_with_the_code_of_a_case_is_asked_for_with_its_option(desk: Desk) -> None:
    desk.ok("receive ACME --note N --by KE --line CASS 1 C1 2029-01 60")
    assert "Trace of case C1" in desk.ok("trace C1")
    assert "Trace of CASS lot C1" in desk.ok("trace C1 --lot")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("trace V22", "V22 is no case, lot or serial here. Near: V2"),
        ("trace V3 --item KNIFE", "V3"),
        ("trace V3 --item VISK", "Near: VISC"),
        ("trace ''", "lot"),
    ],
)
def test_an_unknown_name_gets_near_ones(desk: Desk, line: str, words: str) -> None:
    assert words in desk.refused(line, 2)


def test_a_mistyped_case_gets_near_cases(desk: Desk) -> None:
    assert "C1" in desk.refused("trace C11", 2)
