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


# One preferred supplier


PREFER = "supplier,item,pack,price,lead_days,preferred\n"


def preferred(desk: Desk) -> dict[str, int]:
    return dict(desk.rows("SELECT code, preferred FROM supply_terms ORDER BY code"))


def wrong(desk: Desk, text: str) -> str:
    return " ".join(
        desk.refused(f"import supply-terms {desk.file('t.csv', text)} --by MA", 2).split()
    )


def test_two_preferred_suppliers_of_an_item_in_one_file_are_refused(desk: Desk) -> None:
    said = wrong(desk, f"{PREFER}ACME,VISC,10,100,14,yes\nCART,VISC,12,90,3,yes\n")
    assert "besides CART it is ACME (in row 2)" in said
    assert preferred(desk) == {}


def test_a_second_preferred_supplier_is_refused_and_what_to_do_is_said(desk: Desk) -> None:
    give(desk, f"{PREFER}ACME,VISC,10,100,14,yes\n")
    said = wrong(desk, f"{PREFER}CART,VISC,12,90,3,yes\n")
    assert "besides CART it is ACME (in the book)" in said
    assert "Say no for one of the two, each with its row in this file" in said
    give(desk, f"{PREFER}ACME,VISC,10,100,14,no\nCART,VISC,12,90,3,yes\n", "-y")
    assert preferred(desk) == {"ACME/VISC": 0, "CART/VISC": 1}


def test_who_does_not_say_is_preferred_where_nobody_else_is(desk: Desk) -> None:
    give(desk, "supplier,item,pack,price,lead_days\nACME,VISC,10,100,14\nCART,VISC,12,90,3\n")
    assert preferred(desk) == {"ACME/VISC": 1, "CART/VISC": 0}
    give(desk, f"{PREFER}CART,KNIFE,10,100,14,yes\nACME,KNIFE,12,90,3,\n")
    assert preferred(desk)["ACME/KNIFE"] == 0


def test_who_does_not_say_again_stays_what_it_was(desk: Desk) -> None:
    give(desk, f"{PREFER}ACME,VISC,10,100,14,no\nCART,VISC,12,90,3,yes\n")
    give(desk, f"{PREFER}ACME,VISC,10,110,14,\nCART,VISC,12,95,3,\n", "-y")
    assert preferred(desk) == {"ACME/VISC": 0, "CART/VISC": 1}


# Withdrawn terms


def test_what_a_supplier_sells_no_longer_is_not_offered_and_does_not_rule_an_order(
    desk: Desk,
) -> None:
    give(desk, TERMS)
    said = desk.ok("supplier change ACME --without VISC --without KNIFE --by MA")
    assert "ACME sells KNIFE no longer. Nobody else sells it." in said
    assert "ACME sells VISC no longer. It is sold by CART; none of them is preferred yet." in said
    assert desk.ok("supplier show --terms --csv").splitlines()[1:] == [
        "CART,VISC,12,900.00,3,0,no,,"
    ]
    assert "VISC" not in desk.ok("supplier show ACME")
    refused = desk.refused("order new ACME --line VISC 20 --by KE", 2)
    assert "no lead time of ACME" in refused
    page = desk.ok("order new ACME --line VISC 20 --due 2027-03-20 --by KE")
    assert "VISC: no price is agreed." in page
    assert "VISC: ACME sells it no longer, by its terms." in page
    assert "The book is sound" in desk.ok("book verify")


def test_terms_withdrawn_twice_are_withdrawn_once_and_a_file_brings_them_back(desk: Desk) -> None:
    give(desk, TERMS)
    desk.ok("supplier change ACME --without VISC --by MA")
    last = desk.last()
    assert "known so already" in desk.ok("supplier change acme --without visc --by MA")
    assert desk.last() == last
    give(desk, f"{PREFER}CART,VISC,12,900,3,yes\n", "-y")
    said = give(desk, "supplier,item,pack,price,lead_days\nACME,VISC,10,1000,14\n", "-y")
    assert "not in the file: ACME/KNIFE" in said
    assert preferred(desk) == {"ACME/KNIFE": 1, "ACME/VISC": 0, "CART/VISC": 1}
    assert desk.rows(
        "SELECT least_quantity, breaks FROM supply_terms WHERE code = 'ACME/VISC'"
    ) == [(0, "[]")]


def test_withdrawn_terms_are_not_missed_by_a_file(desk: Desk) -> None:
    give(desk, TERMS)
    desk.ok("supplier change ACME --without VISC --by MA")
    said = give(desk, "supplier,item,pack,price,lead_days\nACME,KNIFE,5,60.00,7\n")
    assert "not in the file" not in said


def test_what_was_never_sold_or_is_typed_with_more_is_refused(desk: Desk) -> None:
    give(desk, TERMS)
    last = desk.last()
    said = desk.refused("supplier change CART --without VISC --without KNIFE --by MA", 2)
    assert "no terms of CART for KNIFE" in said
    assert "VISK is not in this book" in desk.refused(
        "supplier change CART --without VISK --by MA", 2
    )
    desk.refused("supplier change CART --without VISC --name Other --by MA", 2)
    desk.refused("supplier change CART --without VISC --by NU", 3)
    desk.ok("supplier change CART --without VISC --by MA -n")
    assert desk.last() == last
