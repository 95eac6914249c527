"""Lenses at the desk: the power is in no symbol, a serial is one lens."""

import pytest
from desk import Desk
from unpacking import NEW, lots, refused, unpack, unpacked


def lens(serial: str, identifier: str = NEW) -> str:
    """A lens's symbol: product, expiry, lot, serial."""
    return f"]d201{identifier}1729033110L7\x1d21{serial}"


@pytest.fixture
def at_one_power(desk: Desk) -> Desk:
    """The book has the identifier at +21.50, from a file."""
    desk.file("p.csv", f"identifier,item,level,units\n{NEW},RINGL+21.50,each,1\n")
    desk.ok("import pack-sizes p.csv --by MA")
    desk.ok("staff new KT --role keeper --by MA")
    return desk


def test_an_identifier_of_a_model_asks_the_power_of_each_box(desk: Desk) -> None:
    said = unpacked(
        desk, lens("A1"), "RINGL each 1", "+21.50", lens("A2"), "+21.00", "record"
    )  # fmt: skip
    assert said.count("RINGL: which power is printed on the box?") == 2
    assert [row[:5] for row in lots(desk, "RINGL+21.50")] == [
        ("L7", "A1", "2029-03-31", "day", 1)
    ]  # fmt: skip
    assert [row[1] for row in lots(desk, "RINGL+21.00")] == ["A2"]
    assert desk.rows("SELECT item FROM pack_size WHERE code = ?", NEW) == [("RINGL",)]
    desk.ok("book verify")


def test_a_model_at_one_power_is_learned_from_the_first_box(desk: Desk) -> None:
    said = unpacked(desk, lens("A1"), "RINGL+21.50 each 1", lens("A2"), "+21.50", "record")
    assert said.count("which power is printed") == 1
    assert [row[1] for row in lots(desk, "RINGL+21.50")] == ["A1", "A2"]
    assert desk.rows("SELECT item FROM pack_size WHERE code = ?", NEW) == [("RINGL+21.50",)]


def asks(desk: Desk, note: str, serial: str, by: str, day: str) -> bool:
    """Whether one lens received so asks for the printed power."""
    answer = unpack(desk, lens(serial), by=by, note=note, today=day)
    if "which power is printed" in answer.out:
        unpacked(desk, "+21.50", "record", by=by, note=note, today=day)
        return True
    unpacked(desk, "record", by=by, note=note, today=day)
    return False


def test_the_power_is_asked_until_two_people_on_two_days_have_read_it(at_one_power: Desk) -> None:
    asked = [
        asks(at_one_power, *what)
        for what in (
            ("N1", "B1", "KE", "2027-03-01"), ("N2", "B2", "KE", "2027-03-02"),
            ("N3", "B3", "KT", "2027-03-02"), ("N4", "B4", "KT", "2027-03-03"),
        )
    ]  # fmt: skip
    assert asked == [True, True, True, False]
    at_one_power.ok("book verify", today="2027-03-03")


def test_two_people_on_one_day_are_not_enough(at_one_power: Desk) -> None:
    for note, serial, by in (("N1", "B1", "KE"), ("N2", "B2", "KT"), ("N3", "B3", "KT")):
        assert asks(at_one_power, note, serial, by, "2027-03-01")
    assert asks(at_one_power, "N4", "B4", "KT", "2027-03-02")


def test_another_power_on_the_box_is_read_again_or_the_identifier_is_the_models(
    at_one_power: Desk,
) -> None:
    said = refused(at_one_power, lens("B1"), "+21.00", "maybe")
    assert f"{NEW} was RINGL+21.50 before, and this box says +21.00. Read it again." in said
    said = unpacked(at_one_power, "no", "+21.00", "yes", "record")
    assert [row[1] for row in lots(at_one_power, "RINGL+21.00")] == ["B1"]
    rows = at_one_power.rows("SELECT item FROM pack_size WHERE code = ?", NEW)
    assert rows == [("RINGL",)]


def test_a_power_that_no_item_has_is_refused(desk: Desk) -> None:
    said = refused(desk, lens("A1"), "RINGL each 1", "+25.00")
    assert "RINGL +25.00 is no item of this book" in said
    assert "wanted a signed power such as +21.50" in refused(desk, "+21.5")


@pytest.mark.parametrize("twice", ["here", "in the book"])
def test_a_serial_is_one_lens(desk: Desk, twice: str) -> None:
    serial = "A1" if twice == "here" else "S1"
    first = (lens("A1"), "RINGL+21.50 each 1")
    said = refused(desk, *first, lens(serial), "+21.50")
    assert f"serial {serial} {'was scanned before' if twice == 'here' else 'is on hand'}" in said
    unpacked(desk, "undo", "record")
    assert [row[1] for row in lots(desk, "RINGL+21.50")] == ["A1"]


def test_a_serial_on_any_pack_is_one_pack(desk: Desk) -> None:
    scan = "]d20109521101530001172903311" + "0V9\x1d21X1"
    assert "serial X1 was scanned before" in refused(desk, scan, scan)


def test_a_lens_without_a_serial_on_its_symbol_asks_for_it(at_one_power: Desk) -> None:
    said = unpacked(at_one_power, f"]d201{NEW}1729033110L7", "+21.50", "serial B7", "record")
    assert "type the printed serial" in said
    assert [row[:2] for row in lots(at_one_power, "RINGL+21.50")] == [("L7", "B7")]


def test_a_lot_that_may_hide_a_serial_asks_for_both(at_one_power: Desk) -> None:
    scan = f"01{NEW}1729033110L721B7"
    said = unpacked(at_one_power, scan, "+21.50", "serial B7", "L7", "record")
    assert "the separator may be lost; " in said
    assert [row[:2] for row in lots(at_one_power, "RINGL+21.50")] == [("L7", "B7")]


def test_a_box_of_lenses_kept_by_serial_is_scanned_one_by_one(desk: Desk) -> None:
    said = unpack(desk, f"]d201{NEW}1729033110L7", "RINGL+21.50 outer 10")
    assert "outer pack of 10 RINGL+21.50, which is kept by serial" in said.err


def test_scan_says_that_the_power_is_on_the_box_and_knows_a_lens_by_its_serial(desk: Desk) -> None:
    unpacked(desk, lens("A1"), "RINGL each 1", "+21.50", "record")
    said = desk.ok(["scan", lens("A9").replace("\x1d", "{GS}")])
    assert "lens model RINGL, each; its power is printed on the box alone" in said
    assert "RINGL+21.50 Lens RINGL +21.50, each of 1; lot L7 serial A1, in this book" in desk.ok(
        ["scan", lens("A1").replace("\x1d", "{GS}")]
    )
    assert "lens model RINGL at any power" in desk.refused(
        f"receive ACME --by KE --line {NEW} 1 A3 2029-01 -", 2
    )


def test_a_models_identifiers_are_shown_and_taken_in_again(desk: Desk) -> None:
    unpacked(desk, lens("A1"), "RINGL each 1", "+21.50", "record")
    desk.ok(["item", "show", "--pack-sizes", "-o", str(desk.folder / "sizes.csv")])
    assert f"{NEW},RINGL,1,each" in (desk.folder / "sizes.csv").read_text()
    assert "nothing" in desk.ok("import pack-sizes sizes.csv --by MA").lower()


def test_a_lens_that_waits_and_came_otherwise_meanwhile_can_be_undone(at_one_power: Desk) -> None:
    unpacked(at_one_power, f"]d201{NEW}10L7\x1d21B7", "+21.50")
    at_one_power.ok("receive ACME N8 --by KE --line RINGL+21.50 1 B7 2029-03-31 -")
    said = refused(at_one_power, "2029-03-31")
    assert "serial B7 is on hand already" in said
    unpacked(at_one_power, "undo", lens("B8"), "+21.50", "record")
    assert [row[1] for row in lots(at_one_power, "RINGL+21.50")] == ["B7", "B8"]
