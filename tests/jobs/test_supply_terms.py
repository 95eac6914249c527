"""Supply terms from a file: packs, prices, breaks, and what is wrong with a row."""

import pytest
from desk import Desk

from jobs.test_order import TERMS

HEAD = "supplier,item,pack,price,lead_days,break_packs,break_price\n"


def give(desk: Desk, text: str, more: str = "") -> str:
    return desk.ok(f"import supply-terms {desk.file('t.csv', text)} --by MA {more}")


def test_terms_are_facts_with_their_breaks_in_order(desk: Desk) -> None:
    page = give(desk, f"{HEAD}ACME,VISC,10,100,14,10,80\nACME,VISC,10,100,14,5,90\n")
    assert "2 rows; 1 new" in page
    found = desk.rows("SELECT code, pack_quantity, price, lead_days, breaks FROM supply_terms")
    breaks = '[{"price":9000,"quantity":50},{"price":8000,"quantity":100}]'
    assert found == [("ACME/VISC", 10, 10000, 14, breaks)]


def test_a_divided_unit_is_packed_in_its_finest_steps(desk: Desk) -> None:
    give(desk, f"{HEAD}ACME,IODINE,2.5,100,14,,\n")
    assert desk.rows("SELECT pack_quantity, price_quantity FROM supply_terms") == [(25, 25)]


def test_a_file_given_again_changes_nothing_and_another_asks(desk: Desk) -> None:
    give(desk, TERMS)
    assert "nothing changed" in give(desk, TERMS)
    other = TERMS.replace("5,60.00,7", "5,65.00,7")
    said = desk.refused(f"import supply-terms {desk.file('t.csv', other)} --by MA", 2)
    assert "Nothing was recorded" in said
    give(desk, other, "-y")
    assert desk.rows("SELECT price FROM supply_terms WHERE code = 'ACME/KNIFE'") == [(6500,)]


def test_a_file_without_breaks_and_least_keeps_those_of_the_book(desk: Desk) -> None:
    give(desk, TERMS)
    give(desk, "supplier,item,pack,price,lead_days\nACME,VISC,10,1100,14\n", "-y")
    least, breaks = desk.rows(
        "SELECT least_quantity, breaks FROM supply_terms WHERE code = 'ACME/VISC'"
    )[0]
    assert least == 20
    assert breaks.count("price") == 2


def test_what_show_writes_another_book_imports(desk: Desk) -> None:
    give(desk, TERMS)
    before = desk.rows("SELECT * FROM supply_terms ORDER BY code")
    written = desk.ok("supplier show --terms --csv")
    assert "all known already" in give(desk, written)
    assert desk.rows("SELECT * FROM supply_terms ORDER BY code") == before


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("ACNE,VISC,10,100,14,,", "a supplier of this book"),
        ("ACME,VISK,10,100,14,,", "an item of this book"),
        ("ACME,VISC,0,100,14,,", "above zero"),
        ("ACME,VISC,1.5,100,14,,", "whole number"),
        ("ACME,VISC,10,,14,,", "price"),
        ("ACME,VISC,10,-1,14,,", "nothing or more"),
        ("ACME,VISC,10,100,,,", "lead_days"),
        ("ACME,VISC,10,100,-1,,", "0 to 366"),
        ("ACME,VISC,10,100,367,,", "0 to 366"),
        ("ACME,VISC,10,100,14,5,", "with break_packs"),
        ("ACME,VISC,10,100,14,,90", "with break_packs"),
        ("ACME,VISC,10,100,14,-5,90", "nothing or more"),
        ("ACME,VISC,10,100,14,,\nACME,VISC,10,100,14,,", "is in row 2"),
        ("ACME,VISC,10,100,14,5,90\nACME,VISC,10,101,14,6,80", "the same terms as in row 2"),
        ("ACME,VISC,10,100,14,5,90\nACME,VISC,10,100,14,5,80", "each once"),
        ("ACME,VISC,9007199254740991,100,14,5,90", "9007199254740991"),
    ],
)
def test_a_wrong_row_is_named(desk: Desk, row: str, words: str) -> None:
    file = desk.file("t.csv", f"{HEAD}{row}\n")
    said = " ".join(desk.refused(f"import supply-terms {file} --by MA", 2).split())
    assert words in said
