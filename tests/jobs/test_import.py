"""Importing facts and opening stock from a file: all of it or nothing."""

import pytest
from desk import SITE, Desk, new_desk

from jobs.pages import line_with

ITEM = "item,name,class\n"


@pytest.mark.parametrize("kind", list(SITE))
def test_a_file_given_again_changes_nothing(desk: Desk, kind: str) -> None:
    last = desk.last()
    page = desk.ok(f"import {kind} {kind}.csv --by MA")
    assert "nothing changed" in page
    assert "all known already" in page
    assert desk.last() == last


def test_new_altered_and_unchanged_rows_are_counted(desk: Desk) -> None:
    desk.file(
        "i.csv",
        f"{ITEM}KNIFE,Knife 2.2 mm,blades\nCASS,Cassette of tubes,cassette\nPAD,Eye pad,other\n",
    )
    page = desk.ok("import items i.csv --by MA -y")
    assert "3 rows; 1 new, 1 altered, 1 unchanged" in page
    assert desk.rows("SELECT name FROM item WHERE code = 'CASS'") == [("Cassette of tubes",)]
    assert desk.rows("SELECT code FROM change WHERE entry = 10") == [("CASS",), ("PAD",)]


def test_every_bad_row_is_named_and_no_row_is_taken(desk: Desk) -> None:
    desk.file("i.csv", f"{ITEM}PAD,Eye pad,other\n*,Star,other\nGLUE,,other\nTAPE,Tape,Two Words\n")
    said = desk.refused("import items i.csv --by MA", 2)
    assert "i.csv: 3 faults; nothing was taken" in said
    assert line_with(said, "'*'").startswith("3 item")
    assert line_with(said, "nothing", "text").startswith("4 name")
    assert line_with(said, "'Two Words'").startswith("5 class")
    assert desk.rows("SELECT * FROM item WHERE code = 'PAD'") == []


def test_a_code_given_twice_in_a_file_is_a_fault_of_the_second_row(desk: Desk) -> None:
    desk.file("i.csv", f"{ITEM}PAD,Eye pad,other\npad,Another,other\n")
    said = desk.refused("import items i.csv --by MA", 2)
    assert "PAD is in row 2" in line_with(said, "'pad'")


def test_the_unit_is_fixed_once_the_item_has_moved(desk: Desk) -> None:
    text = "item,name,class,unit,unit_places\n{},fluids,ml,2\n"
    desk.file("i.csv", text.format("IODINE,Povidone-iodine"))
    assert "the item has moved" in desk.refused("import items i.csv --by MA", 2)
    desk.ok("item new PAD --name Pad --class other --by MA")
    desk.file("i.csv", text.format("PAD,Pad"))
    desk.ok("import items i.csv --by MA -y")


AMOUNTS = {
    "pack-sizes": "identifier,item,units\n09521234543213,PAD,10\n",
    "kits": "procedure,category,kind,item,quantity\nP,paid,one-of,PAD,1\nP,paid,one-of,DYE,1\n",
    "levels": "place,item,keep_at_least,fill_to\nOT1,PAD,1,2\n",
    "past-use": "item,month,quantity\nPAD,2027-01,3\n",
    "supply-terms": "supplier,item,pack,price,lead_days\nACME,PAD,10,5,3\n",
}


@pytest.mark.parametrize("kind", AMOUNTS)
def test_how_finely_is_fixed_once_an_amount_is_counted_so(desk: Desk, kind: str) -> None:
    """A pack of ten pieces must not become a pack of one, counted in tenths."""
    desk.ok("item new PAD --name Pad --class other --by MA")
    desk.ok("item change PAD --unit-places 1 --by MA -y")
    desk.ok("item change PAD --unit-places 0 --by MA -y")
    desk.ok(f"import {kind} {desk.file('a.csv', AMOUNTS[kind])} --by MA -y")
    said = desk.refused("item change PAD --unit-places 1 --by MA -y", 2)
    assert "kits, levels or past use are counted so" in said
    desk.ok("item change PAD --unit pad --by MA -y")


KIT = "procedure,category,kind,item,quantity"
PACK = "identifier,item,units"
BAD = [
    ("suppliers", "supplier,name\nA B,Name\n", "'A B'"),
    ("suppliers", "supplier,name\nX,\n", "text"),
    ("places", "place,name,kind\nX,X,attic\n", "store, theatre, quarantine"),
    ("places", "place,name,kind\nSTORE,Main,theatre\n", "as it was made"),
    ("staff", "staff,role\nXX,boss\n", "keeper, nurse"),
    ("items", "item,name,class,lens_model\nX+21.00,Lens,lens,X\n", "both or neither"),
    ("items", "item,name,class,lens_model,power\nX21,Lens,lens,X,+21.00\n", "X+21.00"),
    ("items", "item,name,class,unit_places\nX,X,other,4\n", "0 to 3"),
    ("items", "item,name,class,serial,unit_places\nX,X,other,yes,1\n", "divided"),
    ("items", "item,name,class,controlled\nX,X,other,perhaps\n", "yes, no"),
    ("items", "item,name,class,least_days_left\nX,X,other,3661\n", "0 to 3660"),
    ("pack-sizes", f"{PACK}\n09521234543214,VISC,1\n", "check digit"),
    ("pack-sizes", f"{PACK}\n09521234543213,VISC,0\n", "1 or more"),
    ("pack-sizes", f"{PACK}\n09521234543213,VISK,1\n", "VISK"),
    ("kits", f"{KIT}\nP,rich,always,KNIFE,1\n", "free, paid"),
    ("kits", f"{KIT}\nP,paid,maybe,KNIFE,1\n", "one-of"),
    ("kits", f"{KIT}\nP,paid,lens,KNIFE,1\n", "none on the lens line"),
    ("kits", f"{KIT}\nP,paid,when,KNIFE,1\n", "a line of kind when"),
    ("kits", f"{KIT}\nP,paid,always,KNIFE,0\n", "above zero"),
    ("kits", f"{KIT},surgeon\nP,paid,always,KNIFE,1,SA\n", "differences of a kit"),
    ("kits", f"{KIT},line\nP,paid,always,KNIFE,1,1\nP,paid,always,CASS,1,1\n", "another number"),
]


@pytest.mark.parametrize(("kind", "text", "words"), BAD)
def test_a_bad_row_of_each_kind_says_what_is_wanted(
    desk: Desk, kind: str, text: str, words: str
) -> None:
    desk.file("b.csv", text)
    assert words in desk.refused(f"import {kind} b.csv --by MA", 2)


LIST = (
    "list,day,theatre,case,position,patient,eye,procedure,category,lens_model,power\n"
    "L9,{day},{theatre},{case},{position},{patient},{eye},PHACO,{category},{model},{power}\n"
)
GOOD = {
    "day": "2027-03-09", "theatre": "OT1", "case": "C9", "position": "1", "patient": "P-9",
    "eye": "left", "category": "paid", "model": "RINGL", "power": "+21.50",
}  # fmt: skip


def test_a_good_row_of_a_list_makes_the_list_and_its_case(desk: Desk) -> None:
    desk.file("l.csv", LIST.format(**GOOD))
    assert "2 new" in desk.ok("import lists l.csv --by MA")
    assert desk.rows("SELECT list, power FROM theatre_case WHERE code = 'C9'") == [("L9", 2150)]


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("day", "2027-02-30", "calendar"),
        ("theatre", "OT9", "OT1, OT2"),
        ("theatre", "STORE", "OT1, OT2"),
        ("position", "0", "above zero"),
        ("patient", "Jo Doe", "reference"),
        ("eye", "both", "right, left"),
        ("category", "rich", "free, paid"),
        ("model", "NOLENS", "RINGL"),
        ("power", "21.50", "signed power"),
        ("power", "+21.60", "quarter"),
        ("power", "", "both or neither"),
    ],
)
def test_a_bad_cell_of_a_list_is_named(desk: Desk, column: str, value: str, words: str) -> None:
    desk.file("l.csv", LIST.format(**GOOD | {column: value}))
    said = desk.refused("import lists l.csv --by MA", 2)
    assert words in said
    assert line_with(said, "2 ", {"model": "lens_model"}.get(column, column))


def test_a_case_that_was_issued_keeps_what_its_issue_rested_on(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    desk.file("l.csv", SITE["lists"].replace("P-1,right,PHACO,paid", "P-1,left,PHACO,paid"))
    assert "units were issued" in desk.refused("import lists l.csv --by MA", 2)


@pytest.mark.parametrize("option", ["--with dye", "--extra KNIFE 1"])
def test_a_list_given_again_after_an_issue_changes_nothing(desk: Desk, option: str) -> None:
    desk.ok(f"issue C1 {option} --by NU")
    assert "nothing changed" in desk.ok("import lists lists.csv --by MA")


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("CASS,STORE,0,C1,,2028-01,,1.00\n", "above zero"),
        ("CASS,STORE,1,,,2028-01,,1.00\n", "printed lot number"),
        ("CASS,SHED,1,C1,,2028-01,,1.00\n", "SHED"),
        ("CASS,STORE,1,C1,,2028-13,,1.00\n", "calendar"),
        ("CASS,STORE,1,C1,,2028-01,2027-03-02,1.00\n", "not after the opening day"),
        ("CASS,STORE,1,C1,,2028-01,,1.005\n", "at most 2 decimals"),
        ("RINGL+21.00,STORE,1,R2,S3,2029-01,,1.00\n", "not on hand already"),
        ("RINGL+21.00,STORE,2,R2,S9,2029-01,,1.00\n", "one unit for one serial"),
        ("RINGL+21.00,STORE,1,R2,,2029-01,,1.00\n", "serial"),
    ],
)
def test_a_bad_row_of_opening_stock_is_named(desk: Desk, rows: str, words: str) -> None:
    desk.file("o.csv", f"item,place,quantity,lot,serial,expiry,received,total\n{rows}")
    said = desk.refused("import opening-stock o.csv --by MA", 2)
    assert words in said
    assert "o.csv: 1 row has a fault" in said


def test_opening_stock_without_a_total_takes_the_last_price_provisional(desk: Desk) -> None:
    desk.file("o.csv", "item,place,quantity,lot,expiry\nVISC,STORE,2,V9,2029-01\n")
    desk.ok("import opening-stock o.csv --by MA")
    rows = desk.rows("SELECT price, provisional FROM lot WHERE number = 'V9'")
    assert rows == [(20000, 1)]


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("import items items.csv --by KE", 3, "manager"),
        ("import things items.csv --by MA", 2, "things"),
        ("import items nowhere.csv --by MA", 2, "no such file"),
        ("import items suppliers.csv --by MA", 2, "lacks column item"),
        ("import items items.csv", 2, "--by"),
    ],
)
def test_a_wrong_import_is_refused(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refused(line, code)


def test_a_dry_run_imports_nothing(desk: Desk) -> None:
    desk.file("i.csv", f"{ITEM}PAD,Eye pad,other\n")
    before = desk.path.read_bytes()
    assert "1 new" in desk.ok("import items i.csv --by MA -n")
    assert desk.path.read_bytes() == before


@pytest.mark.parametrize("count", [5_000, pytest.param(100_000, marks=pytest.mark.slow)])
def test_a_very_long_file_is_taken_whole(tmp_path, count: int) -> None:
    desk = new_desk(tmp_path)
    desk.file("i.csv", ITEM + "".join(f"IT-{n},Item {n},other\n" for n in range(count)))
    assert f"{count} new" in desk.ok("import items i.csv --by MA", today="2027-02-01")
    assert desk.rows("SELECT COUNT(*) FROM item") == [(count,)]


def test_a_very_long_file_of_bad_rows_names_the_first_ones(desk: Desk) -> None:
    desk.file("i.csv", ITEM + "*,Star,other\n" * 2_000)
    said = desk.refused("import items i.csv --by MA", 2)
    assert "2000 faults" in said
    assert len(said.splitlines()) < 100
