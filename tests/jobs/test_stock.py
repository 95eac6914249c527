"""What is on hand, by item, place, class or lot; lenses as a grid."""

import pytest
from desk import Desk

from jobs.pages import line_with


def lots(page: str) -> set[str]:
    known = ["V1", "V2", "V3", "W1", "D0", "D1", "K1", "K2", "I1", "O1", "T1", "F1", "F2"]
    return {word for word in page.split() if word in {*known, "R1", "R2"}}


def test_every_lot_with_its_place_units_value_and_what_speaks_against_it(desk: Desk) -> None:
    page = desk.ok("stock")
    assert line_with(page, "I1") == "IODINE OT1 I1 2027-09 20.5 ml 41.00"
    assert line_with(page, "V2") == "VISC STORE V2 2027-05-31 9 900.00"
    assert line_with(page, "D0").endswith("expired 2027-02-10")
    assert "Value in all: INR 10,621.00" in page


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("VISC", {"V1", "V2", "V3"}),
        ("visc", {"V1", "V2", "V3"}),
        ("--place OT1", {"V1", "K1", "I1", "T1"}),
        ("VISC --place STORE", {"V2", "V3"}),
        ("--class dye", {"D0", "D1"}),
        ("--class dye --place OT1", set()),
        ("--lot K2", {"K2"}),
        ("--lot S3", {"R2"}),
        ("KNIFE --lot V2", set()),
    ],
)
def test_the_filters_narrow_the_page(desk: Desk, words: str, found: set[str]) -> None:
    assert lots(desk.ok(f"stock {words}")) == found


def test_a_trolley_is_a_place_to_ask_for(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    assert lots(desk.ok("stock --place trolley/OT1")) == {"V1", "V2", "K1", "I1", "R1"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("VISK", "Near: VISC"),
        ("--place SHED", "STORE"),
        ("--class 'two words'", "class"),
        ("--lens NOLENS", "NOLENS"),
    ],
)
def test_unknown_names_are_wrong_input(desk: Desk, words: str, said: str) -> None:
    assert said in desk.refused(f"stock {words}", 2)


@pytest.mark.parametrize("words", ["--class dies", "--lot V99"])
def test_a_class_or_lot_nobody_knows_is_not_an_empty_shelf(desk: Desk, words: str) -> None:
    """A mistyped word must not look like nothing on hand."""
    desk.refused(f"stock {words}", 2)


def test_the_grid_counts_usable_lenses_by_power_and_model(desk: Desk) -> None:
    page = desk.ok("stock --lenses")
    assert line_with(page, "Power") == "Power FLATL RINGL"
    assert line_with(page, "+21.00") == "+21.00 2 1"
    assert line_with(page, "+21.50") == "+21.50 4 2"
    assert line_with(page, " all ") == "all 6 3"


def test_a_power_a_model_is_not_kept_at_is_a_dot_and_one_run_out_is_nought(desk: Desk) -> None:
    desk.file(
        "i.csv",
        "item,name,class,lens_model,power\nRINGL+22.00,Lens RINGL +22.00,lens,RINGL,+22.00\n",
    )
    desk.ok("import items i.csv --by MA")
    assert line_with(desk.ok("stock --lenses"), "+22.00") == "+22.00 . 0"


def test_expired_and_quarantined_lenses_are_counted_apart(desk: Desk) -> None:
    desk.ok("quarantine start --serial S1 --reason suspected-defect --by MA")
    page = desk.ok("stock --lenses")
    assert line_with(page, "+21.50") == "+21.50 4 1"
    assert "Not to be used and not counted: 1" in page
    page = desk.ok("stock --lenses", today="2029-02-01")
    assert line_with(page, " all ") == "all 0 0"
    assert "Not to be used and not counted: 9" in page


def test_a_staged_lens_is_on_no_shelf(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    assert line_with(desk.ok("stock --lenses"), "+21.50") == "+21.50 4 1"


def test_one_model_has_its_own_grid(desk: Desk) -> None:
    page = desk.ok("stock --lens ringl")
    assert line_with(page, "Power") == "Power RINGL"


def test_quiet_says_nothing_and_asking_changes_nothing(desk: Desk) -> None:
    before = desk.path.read_bytes()
    assert desk.ok("stock -q") == ""
    assert desk.path.read_bytes() == before


def test_lots_are_taken_together_per_item(desk: Desk) -> None:
    """5 + 9 + 1 in date, and what is expired stands apart."""
    page = desk.ok("stock --per item")
    assert line_with(page, "VISC ").endswith("15 1,650.00")
    assert line_with(page, "DYE ").endswith("2 3 2 150.00")


@pytest.mark.parametrize("per", ["item", "place", "class", "lot"])
def test_taken_together_or_not_the_value_is_the_same(desk: Desk, per: str) -> None:
    assert line_with(desk.ok(f"stock --per {per}"), "Value in all") == line_with(
        desk.ok("stock"), "Value in all"
    )
