"""Undoing an entry by a mirrored one (rule 2)."""

import pytest
from desk import Desk

from jobs.pages import moves

WHY = "--reason typing-error"


def stock(desk: Desk) -> list[tuple]:
    return desk.rows("SELECT place, lot, quantity, value FROM on_hand ORDER BY place, lot")


@pytest.mark.parametrize(
    ("line", "by", "entry"),
    [
        ("receive ACME --note N --by KE --line KNIFE 3 K9 2029-01 1 --freight 1", "KE", 10),
        ("move VISC 10 --from STORE --to OT1 --by KE", "KE", 10),
        ("discard VISC 10 --from STORE --reason wet --by KE", "KE", 10),
        ("issue C1 --by NU", "NU", 10),
        ("issue C1 --found VISC V77 2028-01 1 --by NU", "NU", 10),
    ],
)
def test_an_entry_and_its_reversal_leave_the_shelves_as_they_were(
    desk: Desk, line: str, by: str, entry: int
) -> None:
    before = stock(desk)
    desk.ok(line)
    forward = moves(desk)
    desk.ok(f"reverse {entry} --by {by} {WHY}")
    assert stock(desk) == before
    back = [(lot, n, value, to, origin) for lot, n, value, origin, to, _ in reversed(forward)]
    assert back == [move[:5] for move in moves(desk)]
    assert "sound" in desk.ok("book verify")


def test_a_reversed_finish_puts_the_case_back_on_the_trolley(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    before = stock(desk)
    desk.ok("finish C1 --as-kit --wasted KNIFE 1 dropped --returned VISC 1 --by NU")
    desk.ok(f"reverse 11 --by NU {WHY}")
    assert stock(desk) == before


def test_units_that_are_gone_name_the_later_entries(desk: Desk) -> None:
    desk.ok("receive ACME --note N --by KE --line CASS 3 C9 2029-01 60")
    desk.ok("move CASS 1 --from STORE --to OT1 --by KE")
    desk.ok("discard CASS 1 --from STORE --reason wet --by KE")
    said = desk.refused(f"reverse 10 --by KE {WHY}", 3)
    assert "put 3 into STORE and 1 are left" in said
    assert "by entries 11, 12" in said


def test_once_the_later_entries_are_reversed_the_first_one_can_be(desk: Desk) -> None:
    desk.ok("receive ACME --note N --by KE --line CASS 3 C9 2029-01 60")
    desk.ok("move CASS 1 --from STORE --to OT1 --by KE")
    desk.ok(f"reverse 11 --by KE {WHY}")
    desk.ok(f"reverse 10 --by KE {WHY}")
    assert desk.on_hand("CASS") == {}


def test_what_drains_a_row_takes_all_the_value_left_there(desk: Desk) -> None:
    """Rule 2: 66.67 went to OT2; 66.66 lie there when it is undone, and all of it goes back."""
    desk.ok("move KNIFE 2 --from OT1 --to OT2 --by KE")
    desk.ok("move KNIFE 1 --from OT2 --to STORE --by KE")
    desk.ok("move KNIFE 1 --from OT1 --to OT2 --by KE")
    desk.ok(f"reverse 10 --by KE {WHY}")
    assert [m[1:3] for m in moves(desk)] == [(2, 6666)]
    assert desk.on_hand("KNIFE", "OT2") == {}


def test_a_reversal_is_not_reversed(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.ok(f"reverse 10 --by NU {WHY}")
    assert "itself a reversal (of entry 10)" in desk.refused(f"reverse 11 --by NU {WHY}", 3)


def test_reversing_twice_answers_the_old_entry(desk: Desk) -> None:
    """Rule 8: `reverse/N` is a request; the same one again is answered, not refused."""
    desk.ok("issue C1 --by NU")
    desk.ok(f"reverse 10 --by NU {WHY}")
    last = desk.last()
    assert "Already recorded as entry 11" in desk.ok(f"reverse 10 --by NU {WHY}")
    assert desk.last() == last


def test_facts_are_corrected_by_new_changes_not_reversed(desk: Desk) -> None:
    assert "moved nothing" in desk.refused(f"reverse 5 --by MA {WHY}", 3)
    assert "moved nothing" in desk.refused(f"reverse 1 --by MA {WHY}", 3)


@pytest.mark.parametrize(
    ("line", "by"),
    [
        ("issue C1 --by NU", "KE"),
        ("move VISC 1 --from STORE --to OT1 --by KE", "NU"),
        ("move VISC 1 --from STORE --to OT1 --by KE", "AU"),
    ],
)
def test_reversing_takes_the_role_of_the_entry(desk: Desk, line: str, by: str) -> None:
    desk.ok(line)
    assert f"{by} is" in desk.refused(f"reverse 10 --by {by} {WHY}", 3)


def test_a_reversal_needs_a_reason_of_its_list(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    assert "no reason" in desk.refused("reverse 10 --by NU", 2)
    assert "wrong-case" in desk.refused("reverse 10 --by NU --reason oops", 2)


@pytest.mark.parametrize("number", ["10", "0", "99999999999999999999"])
def test_an_entry_that_is_not_there_is_wrong_input(desk: Desk, number: str) -> None:
    assert "the last is 9" in desk.refused(f"reverse {number} --by MA {WHY}", 2)


def test_a_dry_run_reverses_nothing(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    before = desk.path.read_bytes()
    assert "Nothing was recorded" in desk.ok(f"reverse 10 --by NU {WHY} -n")
    assert desk.path.read_bytes() == before


def test_a_consigned_charge_is_undone_with_its_units(desk: Desk) -> None:
    desk.file(
        "d.csv",
        "item,units,lot,expiry,terms,agreed\nCASS,3,C9,2029-01,consigned,100.00\n",
    )
    desk.ok("receive ACME --note N --by KE --lines d.csv")
    before = stock(desk)
    desk.ok("issue C1 --by NU --extra CASS 1")
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok(f"reverse 12 --by NU {WHY}")
    desk.ok(f"reverse 11 --by NU {WHY}")
    assert stock(desk) == before
    assert desk.rows("SELECT * FROM case_balance") == []
