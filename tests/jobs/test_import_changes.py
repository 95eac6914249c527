"""A changed file shows how it differs and asks; the site's own names; templates; spoilt cells."""

from pathlib import Path

import pytest
from desk import SITE, Desk, new_desk
from openpyxl import Workbook
from terminal import Terminal

from jobs.pages import line_with
from stockbook.cli.import_ import KINDS
from stockbook.jobs import import_kinds

CHANGED = "item,name,class\nKNIFE,Knife 2.4 mm,blades\nPAD,Eye pad,other\n"


def test_a_changed_file_shows_what_differs_and_asks_before_it_is_taken(desk: Desk) -> None:
    desk.file("i.csv", CHANGED)
    said = desk.refused("import items i.csv --by MA", 2)
    assert "1 added, 1 altered, 11 in the book and not in the file. Take it?" in said
    page = desk.ok("import items i.csv --by MA -y")
    assert line_with(page, "KNIFE") == "item KNIFE name Knife 2.2 mm Knife 2.4 mm"
    assert "Added: PAD." in page
    assert "not in the file: CASS, DYE, " in page
    assert len(desk.rows("SELECT code FROM item")) == 13


def test_a_dry_run_of_a_changed_file_shows_it_and_asks_nothing(desk: Desk) -> None:
    desk.file("i.csv", CHANGED)
    before = desk.path.read_bytes()
    assert "Knife 2.4 mm" in desk.ok("import items i.csv --by MA -n")
    assert desk.path.read_bytes() == before


def test_a_file_of_new_things_alone_asks_nothing(desk: Desk) -> None:
    desk.file("i.csv", "item,name,class\nPAD,Eye pad,other\n")
    page = desk.ok("import items i.csv --by MA")
    assert "not in the file" not in page


def test_gone_cases_are_those_of_the_lists_in_the_file(desk: Desk) -> None:
    lines = SITE["lists"].splitlines(keepends=True)
    desk.file("l.csv", "".join([*lines[:3], lines[3].replace("C3,3", "C9,3")]))
    page = desk.ok("import lists l.csv --by MA -y")
    assert "not in the file: C3." in page
    assert "Added: C9." in page


def test_an_altered_kit_shows_the_lines_that_differ(desk: Desk) -> None:
    desk.file(
        "k.csv",
        SITE["kits"].replace("always,KNIFE,1,\nPHACO,paid,,3", "always,KNIFE,2,\nPHACO,paid,,3"),
    )
    page = desk.ok("import kits k.csv --by MA -y")
    assert line_with(page, "always KNIFE 1").endswith("lines always KNIFE 1 always KNIFE 2")


def test_a_column_that_a_file_lacks_keeps_what_the_book_has(desk: Desk) -> None:
    desk.file("i.csv", "item,name,class\nOPIATE,Strong drug,drugs\nIODINE,Iodine,fluids\n")
    desk.ok("import items i.csv --by MA -y")
    rows = desk.rows("SELECT controlled, unit FROM item WHERE code IN ('OPIATE', 'IODINE')")
    assert sorted(rows) == [(0, "ml"), (1, "each")]


# Decimal commas and spoilt cells

OPENING = "item;place;quantity;lot;expiry;total\n"


def test_decimal_commas_throughout_are_read_and_said(desk: Desk) -> None:
    desk.file("o.csv", f"{OPENING}IODINE;STORE;2,5;I9;2029-01;12,50\n")
    assert "12,50 was read as 12.50" in desk.ok("import opening-stock o.csv --by MA")
    assert desk.rows("SELECT quantity, price FROM lot WHERE number = 'I9'") == [(25, 1250)]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("IODINE;STORE;2,5;I9;2029-01;12.50", "one decimal mark"),
        ("IODINE;STORE;2;I9;2029-01;1,000", "whether the comma is one"),
        ("IODINE;STORE;2;1E+05;2029-01;1", "shortened"),
        ("IODINE;STORE;2;I9;03-Apr;1", "shortened"),
        ("IODINE;STORE;2;I9;44287;1", "day number"),
        ("IODINE;STORE;2;I9;3/4/27;1", "which figure is the month"),
        ("IODINE;STORE;2;03-Apr;2029-01;1", "made a day of it"),
    ],
)
def test_what_cannot_be_told_is_refused_with_a_word(desk: Desk, row: str, words: str) -> None:
    desk.file("o.csv", f"{OPENING}{row}\n")
    assert words in desk.refused("import opening-stock o.csv --by MA", 2)


def test_an_identifier_that_lost_its_zeros_is_refused(desk: Desk) -> None:
    desk.file("p.csv", "identifier,item,units\n95211015300,VISC,1\n")
    said = desk.refused("import pack-sizes p.csv --by MA", 2)
    assert "zeros at the left" in said


def test_a_day_in_a_lot_column_of_a_spreadsheet_is_refused(desk: Desk) -> None:
    from datetime import date

    book = Workbook()
    page = book.worksheets[0]
    page.append(["item", "place", "quantity", "lot", "expiry"])
    page.append(["VISC", "STORE", 2, date(2027, 4, 3), date(2029, 1, 31)])
    book.save(desk.folder / "o.xlsx")
    said = desk.refused("import opening-stock o.xlsx --by MA", 2)
    assert line_with(said, "lot", "made a day of it")
    assert "expiry" not in said


# The site's own names

CLERK = (
    "Case no,Name,Phone,Ref,list,day,theatre,position,eye,procedure,category\n"
    "C9,Jo Private,555 01,P-9,L9,2027-03-09,OT1,1,left,PHACO,paid\n"
)
MAP = "--map 'Case  NO' case --map Ref patient"


def test_a_clerks_list_is_read_as_it_is_and_its_other_columns_never(desk: Desk) -> None:
    desk.file("c.csv", CLERK)
    said = desk.refused("import lists c.csv --by MA", 2)
    assert "lacks column case, patient" in said
    assert "--map THEIRS OURS" in said
    page = desk.ok(f"import lists c.csv --by MA {MAP}")
    assert "Not read: Name, Phone." in page
    assert desk.rows("SELECT patient FROM theatre_case WHERE code = 'C9'") == [("P-9",)]
    assert b"Jo Private" not in desk.path.read_bytes()
    assert desk.rows("SELECT body FROM change WHERE kind = 'setting' AND entry > 1") == [
        ('{"value":"{\\"case no\\":\\"case\\",\\"ref\\":\\"patient\\"}"}',)
    ]


def test_the_names_are_remembered_and_shown(desk: Desk) -> None:
    desk.file("c.csv", CLERK)
    desk.ok(f"import lists c.csv --by MA {MAP}")
    last = desk.last()
    assert "nothing changed" in desk.ok("import lists c.csv --by MA")
    assert "nothing changed" in desk.ok(f"import lists c.csv --by MA {MAP}")
    assert desk.last() == last
    assert "case no = case, ref = patient" in desk.ok("import lists")
    assert "nothing changed" in desk.ok("import lists lists.csv --by MA")


def test_a_column_that_bears_our_name_can_be_left_unread(desk: Desk) -> None:
    desk.file("s.csv", "code,supplier,name\nNEWCO,Old name,New Company\n")
    desk.ok("import suppliers s.csv --by MA --map code supplier")
    assert desk.rows("SELECT name FROM supplier WHERE code = 'NEWCO'") == [("New Company",)]
    desk.file("i.csv", "item,name,class,unit\nPAD,Pad,other,BOX OF 5\n")
    desk.ok("import items i.csv --by MA --map unit none")
    assert desk.rows("SELECT unit FROM item WHERE code = 'PAD'") == [("each",)]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ("--map Nummer case", "no column nummer"),
        ("--map Ref name", "one of our columns"),
        ("--map Ref case --map 'Case no' case", "each of our columns once"),
        ("--map Ref case --map ref patient", "each column of the file once"),
        ("--map Ref patient", "lacks column case"),
    ],
)
def test_a_wrong_map_is_refused(desk: Desk, options: str, words: str) -> None:
    desk.file("c.csv", CLERK)
    assert words in desk.refused(f"import lists c.csv --by MA {options}", 2)


def test_a_name_where_the_reference_belongs_is_refused(desk: Desk) -> None:
    desk.file("c.csv", CLERK)
    said = desk.refused("import lists c.csv --by MA --map 'Case no' case --map Name patient", 2)
    assert "reference" in said


# Templates


def test_every_kind_has_a_template_that_can_be_taken_as_it_is(tmp_path) -> None:
    assert tuple(import_kinds.KINDS) == KINDS
    desk = new_desk(tmp_path)
    for ending in (".csv", ".xlsx"):
        for kind in KINDS:
            path = tmp_path / f"{kind}{ending}"
            desk.ok(f"import {kind} {path} --template")
            page = desk.ok(["import", kind, str(path), "--by", "MA"])
            assert ("nothing changed" in page) == (ending == ".xlsx" and kind != "opening-stock")


def test_a_template_is_printed_or_written_and_overwrites_nothing(desk: Desk) -> None:
    assert desk.ok("import suppliers --template") == "supplier,name\nBRIGHT,Bright Supplies\n"
    mine = (desk.folder / "items.csv").read_bytes()
    assert "something already" in desk.refused("import items items.csv --template", 2)
    assert (desk.folder / "items.csv").read_bytes() == mine
    assert ".csv or .xlsx" in desk.refused("import items new.ods --template", 2)


# Levels, shelves, past use

BAD = [
    ("shelves", "place,item,label\nOT1,VISC,\n", "text"),
    ("shelves", "place,item,label\nused/paid,VISC,A\n", "capitals"),
    ("shelves", "place,item,label\nOT9,VISC,A\n", "an open place"),
    ("shelves", "place,item,label\nOT1,VISC,A\nOT1,visc,B\n", "OT1/VISC is in row 2"),
    ("levels", "place,item,keep_at_least,fill_to\nOT1,VISC,4,3\n", "as much as keep_at_least"),
    ("levels", "place,item,keep_at_least,fill_to\nOT1,VISC,,3\n", "plain number"),
    ("levels", "place,item,keep_at_least,fill_to\nOT1,VISC,-1,3\n", "nothing or more"),
    ("levels", "place,item,keep_at_least,lists\nOT1,VISC,1,2\n", "none with lists"),
    ("levels", "place,item,lists\nOT1,VISC,101\n", "0 to 100"),
    ("past-use", "item,month,quantity\nVISC,2027-04,1\n", "one through 2027-03"),
    ("past-use", "item,month,quantity\nVISC,2027-01-01,1\n", "a month such as"),
    ("past-use", "item,month,quantity\nVISC,2027-01,-1\n", "nothing or more"),
    ("past-use", "item,month,quantity\nVISC,2027-01,1\nVISC,2027-01,2\n", "is in row 2"),
]


@pytest.mark.parametrize(("kind", "text", "words"), BAD)
def test_a_bad_row_of_shelves_levels_and_past_use_says_what_is_wanted(
    desk: Desk, kind: str, text: str, words: str
) -> None:
    desk.file("b.csv", text)
    assert words in desk.refused(f"import {kind} b.csv --by MA", 2)


def test_shelves_levels_and_past_use_are_facts_of_the_book(desk: Desk) -> None:
    desk.file("s.csv", "place,item,label\nOT1,VISC,B-03\n")
    desk.file("l.csv", "place,item,keep_at_least,fill_to,lists\nOT1,IODINE,2.5,10,\nOT2,DYE,,,3\n")
    desk.file("p.csv", "item,month,quantity\nIODINE,2027-01,12.5\nVISC,2027-03,0\n")
    for kind, file in (("shelves", "s"), ("levels", "l"), ("past-use", "p")):
        desk.ok(f"import {kind} {file}.csv --by MA")
        assert "nothing changed" in desk.ok(f"import {kind} {file}.csv --by MA")
    assert desk.rows("SELECT * FROM shelf") == [("OT1/VISC", "OT1", "VISC", "B-03")]
    assert desk.rows("SELECT keep_at_least, fill_to, lists FROM level ORDER BY code") == [
        (25, 100, 0),
        (0, 0, 3),
    ]
    assert desk.rows("SELECT month, quantity FROM past_use ORDER BY code") == [
        ("2027-01", 125),
        ("2027-03", 0),
    ]
    assert "sound" in desk.ok("book verify")


def test_storage_classes_stand_on_items_and_places(desk: Desk) -> None:
    desk.file("i.csv", "item,name,class,storage_class\nPAD,Pad,other,cold\n")
    desk.file("p.csv", "place,name,kind,storage_class\nFRIDGE,Fridge,store,cold\n")
    desk.ok("import items i.csv --by MA")
    desk.ok("import places p.csv --by MA")
    assert desk.rows("SELECT storage_class FROM item WHERE code = 'PAD'") == [("cold",)]
    assert desk.rows("SELECT storage_class FROM place WHERE code = 'FRIDGE'") == [("cold",)]


def test_a_level_altered_shows_decimals_of_the_item(desk: Desk) -> None:
    desk.file("l.csv", "place,item,keep_at_least,fill_to\nOT1,IODINE,2.5,10\n")
    desk.ok("import levels l.csv --by MA")
    desk.file("l.csv", "place,item,keep_at_least,fill_to\nOT1,IODINE,2.5,12\n")
    assert "10.0" in line_with(desk.ok("import levels l.csv --by MA -y"), "fill_to")


# At a terminal


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    """A demonstration book: it has its own day, so that no clock is asked about."""
    made = Desk(tmp_path_factory.mktemp("terminal"), "2027-02-22")
    made.ok("demo -q")
    return made


@pytest.mark.parametrize(("typed", "code", "name"), [("n\n", 2, "Old"), ("y\n", 0, "New")])
def test_a_changed_file_is_asked_about_and_taken_only_after_yes(
    demonstration: Desk, typed: str, code: int, name: str
) -> None:
    desk = demonstration
    desk.file("old.csv", "item,name,class\nPAD-9,Old,other\n")
    desk.file("new.csv", "item,name,class\nPAD-9,New,other\n")
    desk.ok("import items old.csv --by MA -y")
    terminal = Terminal.start(["import", "items", "new.csv", "--by", "MA"], desk.folder)
    terminal.read_until("Take it? [y/N]: ")
    assert line_with(terminal.screen, "PAD-9", "Old").endswith("name Old New")
    terminal.type(typed)
    assert terminal.end() == code
    assert desk.rows("SELECT name FROM item WHERE code = 'PAD-9'") == [(name,)]


def test_a_long_file_tells_how_far_it_is(demonstration: Desk) -> None:
    rows = "".join(f"LONG-{n},Item {n},other\n" for n in range(5_000))
    demonstration.file("long.csv", f"item,name,class\n{rows}")
    command = ["import", "items", "long.csv", "--by", "MA", "-n"]
    terminal = Terminal.start(command, demonstration.folder)
    terminal.read_until("5000 of 5000 rows")
    assert terminal.end() == 0


@pytest.mark.parametrize(
    ("was", "becomes", "words"),
    [
        ("RINGL,+21.00,dye", "RINGL,+21.00,stent", "no line for stent"),
        ("RINGL,+21.50,", "RINGL,+21.25,", "no RINGL here has quarters"),
    ],
)
def test_a_list_s_cases_fit_their_kits_and_the_site_s_lenses(
    desk: Desk, was: str, becomes: str, words: str
) -> None:
    text = (desk.folder / "lists.csv").read_text().replace(was, becomes)
    assert words in desk.refused(f"import lists {desk.file('l.csv', text)} --by MA -y", 2)


def test_lists_may_be_brought_in_before_kits_and_the_same_file_again_after_them(
    tmp_path: Path,
) -> None:
    desk = new_desk(tmp_path)
    text = SITE["lists"].replace("dye", "stent")
    for kind in ("suppliers", "places", "staff", "items"):
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', SITE[kind])} --by MA")
    desk.ok(f"import lists {desk.file('lists.csv', text)} --by MA")
    desk.ok(f"import kits {desk.file('kits.csv', SITE['kits'])} --by MA")
    assert "all known already" in desk.ok("import lists lists.csv --by MA")
