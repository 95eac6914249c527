"""Receiving a delivery from a file: bonus, terms, lenses by power, and every fault named."""

import pytest
from desk import Desk

from jobs.pages import line_with, moves, value_at
from jobs.test_receive import OUTER

NOTE = "receive ACME --note N-1 --by KE --lines d.csv"


def receive(desk: Desk, text: str, more: str = "") -> str:
    desk.file("d.csv", text)
    return desk.ok(f"{NOTE} {more}")


def refuse(desk: Desk, text: str, code: int = 2) -> str:
    desk.file("d.csv", text)
    return desk.refused(NOTE, code)


def test_ten_and_two_bonus_cost_ten_spread_over_twelve(desk: Desk) -> None:
    page = receive(desk, "item,units,bonus,lot,expiry,price\nCASS,10,2,C9,2029-01,60\n")
    assert line_with(page, "C9") == "CASS 12 2 C9 2029-01 600.00"
    desk.ok("move CASS 1 --from STORE --to OT1 --by KE")
    assert moves(desk)[0][2] == 5000


def test_the_last_price_is_that_of_what_was_paid_not_of_the_bonus(desk: Desk) -> None:
    receive(desk, "item,units,bonus,lot,expiry,price\nCASS,10,2,C9,2029-01,60\n")
    page = desk.ok("receive ACME --note N-2 --by KE --line CASS 1 C8 2029-01 -")
    assert line_with(page, "C8") == "CASS 1 C8 2029-01 60.00 price provisional"


def test_bonus_packs_are_packs(desk: Desk) -> None:
    receive(desk, f"pack,packs,bonus,lot,expiry,price\n{OUTER},1,1,V9,2029-01,100\n")
    assert desk.on_hand("VISC")["STORE", "V9"] == 20
    assert value_at(desk, "VISC", "V9") == 10000


def test_a_line_total_is_the_lines_value(desk: Desk) -> None:
    receive(desk, "item,units,lot,expiry,total\nCASS,3,C9,2029-01,100.00\n")
    assert value_at(desk, "CASS", "C9") == 10000


def test_a_price_and_a_total_together_are_a_fault(desk: Desk) -> None:
    assert "not both" in refuse(desk, "item,units,lot,expiry,price,total\nCASS,3,C,2029-01,1,3\n")


def test_a_price_of_divided_units_is_multiplied_exactly_or_a_total_is_wanted(desk: Desk) -> None:
    receive(desk, "item,units,lot,expiry,price\nIODINE,2.5,I9,2029-01,0.02\n")
    assert value_at(desk, "IODINE", "I9") == 5
    desk.ok("reverse 10 --by KE --reason typing-error")
    assert "does not divide" in refuse(
        desk, "item,units,lot,expiry,price\nIODINE,2.5,I9,2029-01,0.01\n"
    )


def test_a_lens_is_named_by_its_model_and_power(desk: Desk) -> None:
    receive(desk, "item,power,units,lot,serial,expiry,price\nRINGL,+21.50,1,R9,S9,2029-01,2000\n")
    assert desk.on_hand("RINGL+21.50")["STORE", "S9"] == 1


@pytest.mark.parametrize(
    ("power", "words"),
    [("+22.00", "RINGL +22.00 is no item"), ("21.50", "signed power"), ("+21.60", "quarter")],
)
def test_a_power_the_model_lacks_or_nobody_writes_is_refused(
    desk: Desk, power: str, words: str
) -> None:
    said = refuse(desk, f"item,power,units,lot,serial,expiry\nRINGL,{power},1,R9,S9,2029-01\n")
    assert words in said


def test_donated_units_come_at_nil_with_a_shadow_value(desk: Desk) -> None:
    page = receive(
        desk, "item,units,lot,expiry,terms,shadow\nFLATL+21.50,4,F9,2029-01,donated,1200.00\n"
    )
    assert line_with(page, "F9") == "FLATL+21.50 4 F9 2029-01 0.00 donated"
    assert desk.rows("SELECT shadow_value FROM lot WHERE number = 'F9'") == [(120000,)]


def test_in_kind_units_come_at_nil_and_freight_rests_on_their_worth(desk: Desk) -> None:
    text = "item,units,lot,expiry,terms,shadow,price\nCASS,1,C9,2029-01,in-kind,300.00,\n"
    receive(desk, f"{text}KNIFE,1,K9,2029-01,,,100.00\n", "--freight 4.00")
    assert (value_at(desk, "CASS", "C9"), value_at(desk, "KNIFE", "K9")) == (300, 10100)


def test_typed_lines_take_the_terms_of_the_command(desk: Desk) -> None:
    page = desk.ok("receive ACME --note N-1 --by KE --terms donated --line CASS 2 C9 2029-01 -")
    assert line_with(page, "C9") == "CASS 2 C9 2029-01 0.00 donated"
    said = desk.refused(
        "receive ACME --note N-2 --by KE --terms donated --line CASS 2 C9 2029-01 5", 2
    )
    assert "the terms are donated" in said


CONSIGNED = "item,units,lot,expiry,terms,agreed\nCASS,3,C9,2029-01,consigned,100.00\n"


def test_consigned_units_lie_on_the_shelf_at_no_value(desk: Desk) -> None:
    page = receive(desk, CONSIGNED)
    assert line_with(page, "C9") == "CASS 3 C9 2029-01 0.00 consigned"
    assert value_at(desk, "CASS", "C9") == 0


def test_consigned_units_are_charged_where_they_went_when_discarded(desk: Desk) -> None:
    receive(desk, CONSIGNED)
    for charged in (3333, 3334, 3333):
        desk.ok("discard CASS 1 --from STORE --reason damaged --by KE")
        assert moves(desk) == [
            ("C9", 1, 0, "STORE", "waste/common", "damaged"),
            ("C9", 0, charged, "supplier/ACME", "waste/common", "agreed-price"),
        ]


def test_consigned_units_are_charged_to_the_case_that_used_them(desk: Desk) -> None:
    receive(desk, CONSIGNED)
    desk.ok("issue C1 --by NU --extra CASS 1")
    assert all(value == 0 for lot, _, value, *_ in moves(desk) if lot == "C9")
    desk.ok("finish C1 --as-kit --by NU")
    charge = ("C9", 0, 3333, "supplier/ACME", "used/paid", "agreed-price")
    assert charge in moves(desk)
    assert line_with(desk.ok("cost C1"), "C9") == "cassette CASS C9 presumed 1 33.33 consigned"


def test_returned_consigned_units_are_not_charged(desk: Desk) -> None:
    receive(desk, CONSIGNED)
    desk.ok("issue C1 --by NU --extra CASS 1")
    desk.ok("finish C1 --as-kit --returned CASS 1 --by NU")
    assert not [m for m in moves(desk) if m[5] == "agreed-price"]


def test_a_reversal_sends_the_agreed_price_back_to_the_supplier(desk: Desk) -> None:
    receive(desk, CONSIGNED)
    desk.ok("discard CASS 1 --from STORE --reason damaged --by KE")
    desk.ok("reverse 11 --by KE --reason typing-error")
    assert moves(desk)[0] == ("C9", 0, 3333, "waste/common", "supplier/ACME", "agreed-price")
    assert desk.on_hand("CASS") == {("STORE", "C9"): 3}


def test_freight_has_no_place_on_consigned_lines_alone(desk: Desk) -> None:
    desk.file("d.csv", CONSIGNED)
    assert "every line is consigned" in desk.refused(f"{NOTE} --freight 5", 3)


def test_a_short_dated_row_gives_its_own_reason(desk: Desk) -> None:
    rows = "CASS,1,C9,2027-05,1,{}\nKNIFE,1,K9,2029-05,1,\n"
    text = "item,units,lot,expiry,price,reason\n" + rows
    assert "Line 1, CASS lot C9" in refuse(desk, text.format(""), 3)
    receive(desk, text.format("needed-now"))
    assert [(m[0], m[5]) for m in moves(desk)] == [("C9", "needed-now"), ("K9", None)]


@pytest.mark.parametrize("other", ["categories", "sponsors"])
def test_the_same_note_with_other_terms_of_use_is_refused(desk: Desk, other: str) -> None:
    """Same key, other contents (rule 8): whom a lot may serve is part of what was asked."""
    text = f"item,units,lot,expiry,terms,{other}\nCASS,1,C9,2029-01,donated,{{}}\n"
    receive(desk, text.format(""))
    assert "other contents" in refuse(desk, text.format("free"), 3)


def test_every_bad_row_is_named_with_row_column_found_and_wanted(desk: Desk) -> None:
    said = refuse(
        desk,
        "item,units,lot,expiry,price,terms\n"
        "KNIFE,3,K9,2028-05,1,\n"
        "KNIVE,3,K9,2028-05,1,\n"
        "KNIFE,0,K9,2028-05,1,\n"
        "KNIFE,3,K9,2027-02-30,1,\n"
        "KNIFE,3,K9,2028-05,1.005,\n"
        "KNIFE,3,K9,2028-05,1,lent\n",
    )
    assert "d.csv: 5 faults; nothing was taken" in said
    assert cells_of(said, 3)[:3] == ["3", "item", "'KNIVE'"]
    assert cells_of(said, 4)[:4] == ["4", "units", "'0'", "a"]
    assert cells_of(said, 5)[:3] == ["5", "expiry", "'2027-02-30'"]
    assert cells_of(said, 6)[:3] == ["6", "price", "'1.005'"]
    assert cells_of(said, 7)[:3] == ["7", "terms", "'lent'"]
    assert "bought, donated, in-kind, consigned" in said


def cells_of(said: str, row: int) -> list[str]:
    """The cells of a row of the table of faults."""
    return next(c for c in (line.split() for line in said.splitlines()) if c[:1] == [str(row)])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("item,colour\nKNIFE,red\n", "unknown column colour"),
        ("item,item,units\nKNIFE,KNIFE,1\n", "has twice column item"),
        ("item,units,lot,expiry,terms,agreed\nCASS,1,C9,2029-01,consigned,\n", "agreed price"),
        ("item,units,lot,expiry,terms,shadow\nCASS,1,C9,2029-01,bought,5\n", "none, the terms are"),
        ("item,units,lot,expiry,terms,price\nCASS,1,C9,2029-01,donated,5\n", "none, the terms are"),
        ("item,units,lot,expiry\n", "no rows"),
        (f"pack,packs,lot,expiry\n{OUTER},1.5,V9,2029-01\n", "a whole number"),
    ],
)
def test_a_wrong_file_is_wrong_input(desk: Desk, text: str, words: str) -> None:
    assert words in refuse(desk, text)


def test_a_missing_file_is_wrong_input(desk: Desk) -> None:
    assert "no such file" in desk.refused("receive ACME --by KE --lines nowhere.csv", 2)
