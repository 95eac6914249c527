"""One item made or changed by itself, by the readers of the import."""

import pytest
from desk import Desk

from jobs.pages import line_with


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
