"""The picks of an issue are printed as one walks."""

from desk import Desk

from jobs.shelves import give, label


def picked(page: str) -> list[str]:
    """The items of the table of picks, in order."""
    lines = page.splitlines()
    start = next(n for n, text in enumerate(lines) if text.startswith("-----")) + 1
    rows = [text.split() for text in lines[start:]]
    items = ("VISC", "KNIFE", "IODINE", "RINGL+21.50")
    return [f"{r[0]} {w}" for r in rows for w in r[1:3] if w in items]


def test_theatre_before_store_then_shelf_label_then_item_unlabelled_last(desk: Desk) -> None:
    give(desk, label("OT1", "KNIFE", "A2"), label("OT1", "VISC", "A1"),
         label("STORE", "RINGL+21.50", "L1"))  # fmt: skip
    page = desk.ok("issue C1 --by NU")
    assert picked(page) == [
        "OT1 VISC", "OT1 KNIFE", "OT1 IODINE", "STORE RINGL+21.50", "STORE VISC",
    ]  # fmt: skip
    assert next(row.split()[1] for row in page.splitlines() if " VISC " in row) == "A1"


def test_items_under_one_label_go_by_their_code(desk: Desk) -> None:
    give(desk, *(label("OT1", item, "A1") for item in ("VISC", "IODINE", "KNIFE")))
    assert picked(desk.ok("issue C1 --by NU"))[:3] == ["OT1 IODINE", "OT1 KNIFE", "OT1 VISC"]


def test_without_any_label_there_is_no_column_for_it(desk: Desk) -> None:
    page = desk.ok("issue C1 --by NU")
    assert "Shelf" not in page
    assert picked(page)[:3] == ["OT1 IODINE", "OT1 KNIFE", "OT1 VISC"]


def test_the_order_of_printing_changes_nothing_that_is_recorded(desk: Desk) -> None:
    give(desk, label("OT1", "KNIFE", "A2"), label("OT1", "VISC", "A1"))
    desk.ok("issue C1 --by NU")
    lots = desk.rows(
        "SELECT lot.item FROM movement JOIN lot ON lot.code = lot WHERE entry = ? ORDER BY line",
        desk.last()[0],
    )
    assert [item for (item,) in lots] == ["RINGL+21.50", "KNIFE", "IODINE", "VISC", "VISC"]
