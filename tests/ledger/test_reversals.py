"""Rule 2, reversal: mirrored movements, in reverse order, with their values; rule 11 with it."""

import pytest
from desk import Desk

from ledger.books import balances, lot, moves_of, record
from stockbook.domain.entries import Movement


def recorded(said: str) -> int:
    return int(said.split()[-1].rstrip("."))


def do(desk: Desk, line: str) -> int:
    """A command that records one entry; its number."""
    return recorded(desk.ok(f"{line} -q"))


def undo(desk: Desk, number: int, by: str, why: str = "typing-error") -> int:
    return do(desk, f"reverse {number} --reason {why} --by {by}")


def mirrored(moves: list[tuple]) -> list[tuple]:
    return [(code, q, v, to, start, case) for code, q, v, start, to, case in reversed(moves)]


@pytest.mark.parametrize(
    ("line", "by"),
    [
        ("receive ACME --note N1 --line VISC 3 A1 2029-01 33.34 --line DYE 2 B1 2029-01 7.01 "
         "--freight 10.00 --tax 1.01", "KE"),
        ("move VISC 12 --from STORE --to OT1", "KE"),
        ("discard VISC 12 --from STORE --reason damaged", "KE"),
        ("issue C1", "NU"),
        ("issue C2 --with dye", "NU"),
    ],
)  # fmt: skip
def test_rule_02_a_reversal_mirrors_the_movements_last_line_first(
    desk: Desk, line: str, by: str
) -> None:
    before = balances(desk)
    number = do(desk, f"{line} --by {by}")
    assert balances(desk) != before
    back = undo(desk, number, by)
    assert moves_of(desk, back) == mirrored(moves_of(desk, number))
    assert balances(desk) == before
    desk.ok("book verify")


def test_rule_02_a_reversed_finish_puts_every_unit_back_on_the_trolley(desk: Desk) -> None:
    do(desk, "issue C1 --by NU")
    before = balances(desk)
    number = do(desk, "finish C1 --as-kit --wasted VISC 1 dropped --returned KNIFE 1 --by NU")
    undo(desk, number, "NU", "wrong-case")
    assert balances(desk) == before
    desk.ok("book verify")


def test_rule_02_a_reversal_names_the_entry_it_reverses(desk: Desk) -> None:
    number = do(desk, "move VISC 1 --from STORE --to OT1 --by KE")
    back = undo(desk, number, "KE")
    assert desk.rows("SELECT kind, reverses FROM entry WHERE number = ?", back) == [
        ("reversal", number)
    ]


def bill(desk: Desk, number: str, amount: int, place: str) -> None:
    """A later invoice: value alone, from the supplier to where the units are."""
    record(desk, Movement(lot(desk, number), 0, amount, "supplier/ACME", place))


def test_rule_02_a_reversal_that_drains_a_row_takes_all_the_value_left_there(desk: Desk) -> None:
    number = do(desk, "receive ACME --note N1 --line VISC 3 A1 2029-01 10.00 --by KE")
    bill(desk, "A1", 205, "STORE")
    back = undo(desk, number, "KE")
    assert moves_of(desk, back) == [(lot(desk, "A1"), 3, 3205, "STORE", "supplier/ACME", None)]
    assert ("STORE", lot(desk, "A1")) not in balances(desk)
    desk.ok("book verify")


def test_rule_02_a_reversal_that_leaves_units_takes_its_own_value(desk: Desk) -> None:
    do(desk, "receive ACME --note N1 --line VISC 3 A1 2029-01 10.00 --by KE")
    one = do(desk, "move VISC 1 --from STORE --to QUAR --lot A1 --by KE")
    two = do(desk, "move VISC 2 --from STORE --to QUAR --lot A1 --by KE")
    bill(desk, "A1", 600, "QUAR")
    undo(desk, one, "KE")
    assert balances(desk)["QUAR", lot(desk, "A1")] == (2, 2600)
    undo(desk, two, "KE")
    assert ("QUAR", lot(desk, "A1")) not in balances(desk)
    assert balances(desk)["STORE", lot(desk, "A1")] == (3, 3600)
    desk.ok("book verify")


def test_rule_02_a_reversal_that_drains_a_case_takes_all_the_value_left_there(desk: Desk) -> None:
    do(desk, "issue C1 --by NU")
    number = do(desk, "finish C1 --as-kit --by NU")
    record(desk, Movement(lot(desk, "V1"), 0, 77, "supplier/ACME", "used/paid", "C1"))
    back = undo(desk, number, "NU")
    assert (lot(desk, "V1"), 1, 10077, "used/paid", "trolley/OT1", "C1") in moves_of(desk, back)
    left = desk.rows("SELECT * FROM case_balance WHERE case_code = 'C1' AND place = 'used/paid'")
    assert left == []
    desk.ok("book verify")


def test_rule_02_a_reversal_is_refused_when_the_units_are_gone_naming_later_entries(
    desk: Desk,
) -> None:
    number = do(desk, "receive ACME --note N1 --line VISC 10 A1 2029-01 1.00 --by KE")
    moved = [do(desk, f"move VISC {n} --from STORE --to OT1 --lot A1 --by KE") for n in (1, 2)]
    said = desk.refused(f"reverse {number} --reason typing-error --by KE", 3)
    assert f"entries {moved[0]}, {moved[1]}." in said
    assert "put 10 into STORE and 7 are left" in said


@pytest.mark.parametrize(("taken", "code"), [(0, 0), (1, 3)])
def test_rule_02_one_unit_gone_is_enough_to_refuse_a_reversal(
    desk: Desk, taken: int, code: int
) -> None:
    number = do(desk, "receive ACME --note N1 --line VISC 2 A1 2029-01 1.00 --by KE")
    if taken:
        do(desk, f"discard VISC {taken} --from STORE --lot A1 --reason wet --by KE")
    assert desk.run(f"reverse {number} --reason typing-error --by KE").code == code


def test_rule_02_a_refused_reversal_names_only_entries_that_took_these_units(desk: Desk) -> None:
    """Two cases have units of one lot on one trolley; the other's finish took none of these."""
    do(desk, "discard VISC 1 --from OT1 --reason damaged --by KE")
    issued = do(desk, "issue C1 --by NU")
    do(desk, "issue C2 --by NU --with dye")
    other = do(desk, "finish C2 --as-kit --by NU")
    own = do(desk, "finish C1 --as-kit --by NU")
    said = desk.refused(f"reverse {issued} --reason wrong-case --by NU", 3)
    assert f"entries {own}." in said
    assert str(other) not in said.split("entries")[-1]


def test_rule_02_a_reversal_is_not_reversed(desk: Desk) -> None:
    number = do(desk, "move VISC 1 --from STORE --to OT1 --by KE")
    back = undo(desk, number, "KE")
    said = desk.refused(f"reverse {back} --reason typing-error --by KE", 3)
    assert f"entry {back} is itself a reversal (of entry {number})" in said


def test_rule_02_an_entry_is_reversed_once(desk: Desk) -> None:
    number = do(desk, "move VISC 1 --from STORE --to OT1 --by KE")
    back = undo(desk, number, "KE")
    answer = desk.run(f"reverse {number} --reason typing-error --by KE")
    assert answer.code in (0, 3)
    assert f"entry {back}" in answer.out + answer.err
    assert desk.last()[0] == back


@pytest.mark.parametrize("number", [1, 5, 8])
def test_rule_02_facts_are_corrected_by_new_changes_and_not_reversed(
    desk: Desk, number: int
) -> None:
    assert "moved nothing" in desk.refused(f"reverse {number} --reason typing-error --by MA", 3)


@pytest.mark.parametrize("number", ["0", "99"])
def test_an_entry_that_is_not_there_cannot_be_reversed(desk: Desk, number: str) -> None:
    assert "the last is 9" in desk.refused(f"reverse {number} --reason typing-error --by MA", 2)


def test_rule_02_the_opening_stock_is_reversed_while_all_of_it_is_there(desk: Desk) -> None:
    back = undo(desk, 9, "MA")
    assert balances(desk) == {}
    assert len(moves_of(desk, back)) == 16
    desk.ok("book verify")


def test_rule_08_an_issue_that_was_reversed_is_done_again(desk: Desk) -> None:
    first = do(desk, "issue C1 --by NU")
    undo(desk, first, "NU", "did-not-happen")
    again = do(desk, "issue C1 --by NU")
    assert again == first + 2
    assert moves_of(desk, again) == moves_of(desk, first)


def test_rule_08_a_finish_that_was_reversed_is_done_again_otherwise(desk: Desk) -> None:
    """Back on the trolley, units still know where they were drawn from and in which order."""
    do(desk, "issue C1 --by NU")
    first = do(desk, "finish C1 --as-kit --by NU")
    undo(desk, first, "NU", "wrong-item")
    again = do(desk, "finish C1 --as-kit --returned VISC 1 --by NU")
    assert desk.rows("SELECT request_key FROM entry WHERE number = ?", again) == [("finish/C1/1",)]
    last_picked = (lot(desk, "V2"), 1, 10000, "trolley/OT1", "STORE", "C1")
    assert last_picked in moves_of(desk, again)
    assert desk.on_hand("VISC", "STORE") == {("STORE", "V2"): 9, ("STORE", "V3"): 5}
    desk.ok("book verify")


def test_rule_02_units_that_a_reversal_brought_back_return_to_where_they_were_drawn(
    desk: Desk,
) -> None:
    """Four knives from two places and lots; wrongly wasted, then really returned."""
    do(desk, "move KNIFE 2 --from OT1 --to QUAR --by KE")
    do(desk, "issue C1 --extra KNIFE 3 --by NU")
    before = balances(desk)
    first = do(desk, "finish C1 --as-kit --wasted KNIFE 4 dropped --by NU")
    undo(desk, first, "NU", "wrong-item")
    assert balances(desk) == before
    do(desk, "finish C1 --as-kit --returned KNIFE 4 --by NU")
    assert desk.on_hand("KNIFE") == {
        ("OT1", "K1"): 1, ("QUAR", "K1"): 2, ("STORE", "K2"): 5,
    }  # fmt: skip
    desk.ok("book verify")


def test_rule_08_a_delivery_that_was_reversed_is_received_again_with_other_lines(
    desk: Desk,
) -> None:
    first = do(desk, "receive ACME --note N1 --line VISC 10 A1 2029-01 1.00 --by KE")
    undo(desk, first, "KE")
    do(desk, "receive ACME --note N1 --line VISC 9 A1 2029-01 1.00 --by KE")
    ((codes,),) = desk.rows("SELECT COUNT(*) FROM lot WHERE number = 'A1'")
    assert codes == 2
    assert sum(desk.on_hand("VISC", "STORE").values()) == 9 + 5 + 9


def test_rule_02_reversing_a_partial_issue_leaves_the_case_lacking_nothing(desk: Desk) -> None:
    do(desk, "discard KNIFE 5 --from STORE --reason damaged --by KE")
    do(desk, "discard KNIFE 3 --from OT1 --reason damaged --by KE")
    number = do(desk, "issue C1 --partial --by NU")
    missing = "SELECT missing FROM theatre_case WHERE code = 'C1'"
    assert desk.rows(missing) != [("[]",)]
    undo(desk, number, "NU", "did-not-happen")
    assert desk.rows(missing) == [("[]",)]


CONSIGNED = "item,units,lot,expiry,terms,agreed\nVISC-B,3,CON,2029-01,consigned,100.00\n"


def billed(desk: Desk) -> int:
    """What suppliers have charged for consigned units so far, in minor units."""
    ((net,),) = desk.rows(
        "SELECT COALESCE(SUM(CASE WHEN from_place = 'supplier/ACME' THEN value ELSE -value END), 0)"
        " FROM movement WHERE lot = ? AND 'supplier/ACME' IN (from_place, to_place)",
        lot(desk, "CON"),
    )
    return net


def consigned(desk: Desk) -> None:
    desk.ok(f"receive ACME --note K1 --lines {desk.file('con.csv', CONSIGNED)} --by KE")
    desk.ok("discard VISC-B 6 --from STORE --lot W1 --reason damaged --by KE")


def test_rule_11_consigned_units_lie_and_move_at_no_value(desk: Desk) -> None:
    consigned(desk)
    desk.ok("move VISC-B 1 --from STORE --to OT2 --by KE")
    code = lot(desk, "CON")
    assert balances(desk)["STORE", code] == (2, 0)
    assert balances(desk)["OT2", code] == (1, 0)
    assert billed(desk) == 0


def test_rule_11_using_consigned_units_moves_the_agreed_price_in_the_same_entry(
    desk: Desk,
) -> None:
    consigned(desk)
    for number, (amount, in_all) in enumerate([(1, 3333), (1, 6667), (1, 10000)], start=13):
        entry = do(desk, f"discard VISC-B {amount} --from STORE --reason wet --by KE")
        assert billed(desk) == in_all, number
        assert moves_of(desk, entry)[1][1:5] == (
            0, [3333, 3334, 3333][number - 13], "supplier/ACME", "waste/common",
        )  # fmt: skip
    desk.ok("book verify")


def test_rule_11_a_reversal_sends_the_agreed_price_back_to_the_supplier(desk: Desk) -> None:
    consigned(desk)
    desk.ok("issue C1 --extra VISC-B 2 --by NU")
    number = do(desk, "finish C1 --as-kit --by NU")
    assert billed(desk) == 6667
    back = undo(desk, number, "NU", "wrong-case")
    assert billed(desk) == 0
    assert (lot(desk, "CON"), 0, 6667, "used/paid", "supplier/ACME", "C1") in moves_of(desk, back)
    assert balances(desk)["trolley/OT1", lot(desk, "CON")] == (2, 0)
    desk.ok("book verify")
