"""Items shown, all or one; one made or changed by itself, by the readers of the import."""

import json

import pytest
from desk import Desk
from openpyxl import load_workbook

from jobs.pages import line_with
from jobs.shelves import give, label
from stockbook.jobs.import_ import columns_of


def test_a_new_item_is_what_a_files_row_would_make(desk: Desk) -> None:
    page = desk.ok("item new PAD --name 'Eye pad' --class other --storage-class cold --by MA")
    assert "item PAD: new." in page
    assert "Recorded as entry 10." in page
    rows = desk.rows("SELECT name, item_class, unit, storage_class FROM item WHERE code = 'PAD'")
    assert rows == [("Eye pad", "other", "each", "cold")]


def test_a_changed_item_keeps_what_is_not_given(desk: Desk) -> None:
    page = desk.ok("item change iodine --least-days-left 14 --by MA")
    assert line_with(page, "IODINE") == "item IODINE least_days_left 0 14"
    rows = desk.rows("SELECT name, unit, least_days_left FROM item WHERE code = 'IODINE'")
    assert rows == [("Povidone-iodine", "ml", 14)]
    last = desk.last()
    assert "nothing changed" in desk.ok("item change IODINE --least-days-left 14 --by MA")
    assert desk.last() == last


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("new KNIFE --name Knife --class blades", 3, "in the book already"),
        ("new PAD --name Pad", 2, "lacks column class"),
        ("new PAD --name Pad --class 'Two words'", 2, "one lower-case word"),
        ("change KNIF --name Knife", 2, "Near: KNIFE"),
        ("change KNIFE", 2, "Nothing was given"),
        ("change KNIFE --unit-places 1", 2, "the item has moved"),
        ("change KNIFE --power +21.00", 2, "both or neither"),
        ("change KNIFE --name ''", 2, "text"),
        ("new 1e+05 --name Pad --class other", 2, "1E+05 is a number to a spreadsheet"),
    ],
)
def test_a_wrong_item_is_refused(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refused(f"item {line} --by MA", code)


def test_items_are_the_managers_to_make(desk: Desk) -> None:
    assert "this is for manager" in desk.refused("item change KNIFE --name K --by KE", 3)


def test_a_dry_run_of_an_item_records_nothing(desk: Desk) -> None:
    before = desk.path.read_bytes()
    assert "Dry run" in desk.ok("item new PAD --name Pad --class other --by MA -n")
    assert desk.path.read_bytes() == before


def test_all_items_are_shown_with_their_number(desk: Desk) -> None:
    page = desk.ok("item show")
    assert line_with(page, "IODINE") == "IODINE Povidone-iodine fluids ml, by 0.1"
    assert line_with(page, "OPIATE").endswith("two people discard it")
    assert line_with(page, "RINGL+21.00").endswith("a serial each")
    assert line_with(page, "DYE ").endswith("1 day left when used")
    assert page.splitlines()[-1] == "12 items."


def test_one_item_is_shown_with_its_packs_and_where_it_is_kept(desk: Desk) -> None:
    desk.file("l.csv", "place,item,keep_at_least,fill_to\nOT1,VISC,2,5\n")
    desk.ok("import levels l.csv --by MA")
    desk.file("l.csv", "place,item,lists\nOT2,VISC,1\n")
    desk.ok("import levels l.csv --by MA")
    give(desk, label("OT1", "VISC", "A1"), label("STORE", "VISC", "B 2"))
    page = desk.ok("item show visc")
    assert line_with(page, "Name") == "Name Viscoelastic"
    assert line_with(page, "outer") == "19521101530008 outer 10"
    assert line_with(page, "OT1") == "OT1 A1 2 5"
    assert line_with(page, "OT2") == "OT2 what 1 list needs"
    assert line_with(page, "STORE") == "STORE B 2"
    assert "V1" not in page, "what is on hand is told by stock"


def test_a_lens_is_shown_with_its_model_and_power(desk: Desk) -> None:
    page = desk.ok("item show RINGL+21.50")
    assert line_with(page, "Lens model") == "Lens model RINGL"
    assert line_with(page, "Power") == "Power +21.50"
    assert "Pack sizes: none" in page
    assert "Shelves and levels: none" in page


def test_an_item_may_be_named_by_the_identifier_of_a_pack(desk: Desk) -> None:
    assert desk.ok("item show 19521101530008") == desk.ok("item show VISC")
    desk.ok("item new 12345670 --name Pad --class other --by MA")
    assert "Item 12345670" in desk.ok("item show 12345670")


@pytest.mark.parametrize("line", ["item show KNIF", "item show KNIF --pack-sizes"])
def test_an_item_that_is_unknown_gets_the_near_ones(desk: Desk, line: str) -> None:
    assert desk.refused(line, 2) == "item: KNIF is not in this book. Near: KNIFE.\n"
    assert desk.refused(line, 2) == desk.refused("stock KNIF", 2)


def test_the_ways_of_selling_are_shown(desk: Desk) -> None:
    page = desk.ok("item show --pack-sizes")
    assert line_with(page, "each") == "09521101530001 VISC Viscoelastic each 1"
    assert page.splitlines()[-1] == "2 pack sizes."
    assert "0 pack sizes" in desk.ok("item show DYE --pack-sizes")


@pytest.mark.parametrize(
    ("line", "kind"), [("item show", "items"), ("item show --pack-sizes", "pack-sizes")]
)
def test_the_csv_of_items_has_the_columns_of_their_file(desk: Desk, line: str, kind: str) -> None:
    assert desk.ok(f"{line} --csv").splitlines()[0] == ",".join(columns_of(kind))
    assert desk.ok(f"{line} VISC --csv").splitlines()[0] == ",".join(columns_of(kind))


def test_the_names_in_json_stay(desk: Desk) -> None:
    desk.file("l.csv", "place,item,keep_at_least,fill_to\nOT1,IODINE,2.5,5\n")
    desk.ok("import levels l.csv --by MA")
    (row,) = json.loads(desk.ok("item show RINGL+21.50 --json"))["items"]["rows"]
    assert row == {
        "item": "RINGL+21.50", "name": "Lens RINGL +21.50", "class": "lens", "unit": "each",
        "unit_places": 0, "lens_model": "RINGL", "power_hundredths": 2150, "serial": "yes",
        "least_days_left": 0, "controlled": "no", "storage_class": None, "standby": 0,
        "standby_places": 0, "service": None, "replaces": None,
    }  # fmt: skip
    found = json.loads(desk.ok("item show IODINE --json"))
    assert found["item_places"]["rows"] == [
        {"place": "OT1", "label": None, "keep_at_least": 25, "keep_at_least_places": 1,
         "fill_to": 50, "fill_to_places": 1, "lists": 0}
    ]  # fmt: skip
    assert found["pack_sizes"]["rows"] == []
    assert json.loads(desk.ok("item show --pack-sizes --json"))["pack_sizes"]["rows"][1] == {
        "identifier": "19521101530008", "item": "VISC", "units": 10, "units_places": 0,
        "level": "outer",
    }  # fmt: skip


def test_a_spreadsheet_of_one_item_has_the_items_sheet_first(desk: Desk) -> None:
    desk.ok(["item", "show", "VISC", "-o", str(desk.folder / "a.xlsx")])
    assert load_workbook(desk.folder / "a.xlsx").sheetnames == [
        "items",
        "pack_sizes",
        "item_places",
    ]
