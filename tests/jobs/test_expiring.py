"""What is expired on a shelf, and what expires soon."""

import json

import pytest
from desk import Desk

from jobs.pages import line_with


def section(page: str, title: str) -> str:
    """The lines from a title to the next blank line; nothing when it is not there."""
    return page.partition(title)[2].partition("\n\n")[0] if title in page else ""


def test_what_is_expired_and_still_on_a_shelf_comes_first(desk: Desk) -> None:
    page = desk.ok("expiring")
    expired = section(page, "EXPIRED and still on a shelf")
    assert "1 lot, INR 50.00" in expired
    assert line_with(expired, "D0") == "DYE STORE D0 2027-02-10 -19 2 50.00 2 50.00"
    assert page.index("EXPIRED") < page.index("Value by month")


@pytest.mark.parametrize(
    ("today", "band"),
    [
        ("2027-04-01", "Within 60 days"),
        ("2027-04-30", "Within 60 days"),
        ("2027-05-01", "Within 30 days"),
        ("2027-05-02", "Within 30 days"),
        ("2027-05-31", "Within 30 days"),
        ("2027-06-01", "EXPIRED"),
    ],
)
def test_a_lot_of_31_may_is_usable_through_its_day(desk: Desk, today: str, band: str) -> None:
    """30 days left is within 30 days, 31 is not; on its last day it is not expired."""
    page = desk.ok("expiring", today=today)
    assert "V2" in section(page, band)
    others = {"Within 60 days", "Within 30 days", "EXPIRED"} - {band}
    assert not [other for other in others if "V2" in section(page, other)]


@pytest.mark.parametrize(("within", "lots"), [(90, []), (91, ["V2"]), (92, ["V2"])])
def test_within_says_how_far_ahead(desk: Desk, within: int, lots: list[str]) -> None:
    """31 May lies 91 days after 1 March."""
    page = desk.ok(f"expiring --within {within}")
    assert [word for word in page.split() if word == "V2"] == lots


def test_the_last_band_is_the_number_asked(desk: Desk) -> None:
    page = desk.ok("expiring --within 45", today="2027-04-20")
    assert "V2" in section(page, "Within 45 days")


def test_a_place_narrows_the_page(desk: Desk) -> None:
    page = desk.ok("expiring --within 400 --place OT1")
    assert "V1" in page
    assert "V2" not in page
    assert "Expired and still on a shelf: nothing." in page


def test_what_is_in_quarantine_is_marked(desk: Desk) -> None:
    desk.ok("quarantine start --lot D0 --reason temperature --by MA")
    assert line_with(desk.ok("expiring"), "D0").endswith("quarantine Q1")


def test_a_table_without_notes_has_no_column_for_them(desk: Desk) -> None:
    assert "Note" not in desk.ok("expiring --within 400")
    desk.ok("quarantine start --lot D0 --reason temperature --by MA")
    page = desk.ok("expiring --within 400")
    assert "Note" in section(page, "EXPIRED and still on a shelf")
    assert page.count("Note") == 1


def test_the_page_fits_110_columns(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    lines = desk.ok("expiring --within 400").splitlines()
    assert max(map(len, lines)) <= 110


def test_a_staged_kit_is_shown_on_its_trolley(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    assert line_with(desk.ok("expiring --within 100"), "trolley/OT1").startswith("VISC")


def test_a_lot_without_expiry_is_never_listed(desk: Desk) -> None:
    desk.ok("receive ACME --note N --by KE --line CASS 1 C9 - 60")
    assert "C9" not in desk.ok("expiring --within 3660")


def test_a_bar_for_each_month_is_as_long_as_its_value(desk: Desk) -> None:
    page = desk.ok("expiring")
    bars = section(page, "Value by month of expiry (INR)").strip().splitlines()
    assert [bar.split()[0] for bar in bars[:3]] == ["before", "2027-03", "2027-04"]
    assert {bar.split()[0]: bar.count("#") for bar in bars if "#" in bar} == {
        "before": 3,
        "2027-05": 40,
        "2027-06": 5,
    }
    assert bars[3].endswith(" 900.00")


@pytest.mark.parametrize("within", ["0", "-1", "1.5", "3661", "soon", "9" * 20])
def test_a_wrong_number_of_days_is_wrong_input(desk: Desk, within: str) -> None:
    assert "--within" in desk.refused(f"expiring --within {within}", 2)


def test_an_unknown_place_is_wrong_input(desk: Desk) -> None:
    assert "STORE" in desk.refused("expiring --place SHED", 2)


def test_asking_changes_nothing(desk: Desk) -> None:
    before = desk.path.read_bytes()
    desk.ok("expiring")
    assert desk.path.read_bytes() == before


def test_what_will_be_left_over_is_said_with_its_value(desk: Desk) -> None:
    """4 of VISC used in 29 days: by 2027-05-31 (91 days on) 12.7 more will be, V2 goes first.

    In a month of 30.4 days that is 4.19, shown as 4.
    """
    for case in ("C1", "C2"):
        desk.ok(f"finish {case} --as-kit --by NU")
    page = desk.ok("expiring --within 91")
    (line,) = [text for text in page.splitlines() if " V2 " in text]
    assert line.split()[-5:] == ["6", "600.00", "4", "0", "0.00"]
    assert "as in the last 90 days (or since the book began)" in page


def test_an_item_that_nobody_used_has_no_basis_and_no_silent_nothing(desk: Desk) -> None:
    page = desk.ok("expiring --within 91")
    (line,) = [text for text in page.splitlines() if " V2 " in text]
    assert line.endswith("unused")
    assert "no use was seen of lots worth 900.00" in page


def test_what_is_expired_is_left_whole(desk: Desk) -> None:
    (line,) = [text for text in desk.ok("expiring").splitlines() if " D0 " in text]
    assert line.split()[-4:] == ["2", "50.00", "2", "50.00"]


def test_returned_units_are_no_use(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --returned VISC 2 --by NU")
    page = desk.ok("expiring --within 91")
    assert next(text for text in page.splitlines() if " V2 " in text).endswith("unused")


def row_of(desk: Desk, lot: str, question: str = "expiring --within 400") -> dict:
    rows = json.loads(desk.ok(f"{question} --json"))["expiring"]["rows"]
    return next(row for row in rows if row["lot"] == lot)


@pytest.mark.parametrize(
    ("month", "units"), [("30.4", 152), ("30.5", 152), ("30.51", 153), ("30.7", 154)]
)
def test_use_a_month_is_that_a_day_times_the_days_of_a_month(
    desk: Desk, month: str, units: int
) -> None:
    """Past use counts: 300 in January, none in the book's own 29 days, so 5 a day.

    152, 152.5, 152.55 and 153.5: halves go to the even number.
    """
    desk.file("past.csv", "item,month,quantity\nVISC,2027-01,300\n")
    desk.ok("import past-use past.csv --by MA -y")
    desk.ok(f"book settings days_per_month {month} --by MA")
    page = desk.ok("expiring --within 91")
    assert line_with(page, " V2 ").split()[-3] == str(units)
    assert f"that use a day times {month} days (days_per_month)" in page


def test_use_a_month_has_the_decimals_of_the_unit(desk: Desk) -> None:
    """2.5 ml in 29 days are 2.6207 ml a month."""
    desk.ok("finish C1 --as-kit --by NU")
    assert " 2.6 ml " in line_with(desk.ok("expiring --within 400"), " I1 ")
    found = row_of(desk, "I1")
    assert (found["use_a_month"], found["use_a_month_places"]) == (26, 1)


def test_use_a_month_comes_as_data_with_the_length_of_the_month(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("book settings days_per_month 30.50 --by MA")
    data = json.loads(desk.ok("expiring --within 400 --json"))["expiring"]
    assert (data["within_days"], data["days_per_month"]) == ("400", "30.5")
    header, first, *_ = desk.ok("expiring --within 400 --csv").splitlines()
    names = header.split(",")
    assert names[names.index("use_a_month") + 1] == "expected_left"
    assert dict(zip(names, first.split(","), strict=True))["use_a_month"] == ""  # DYE, unused
    assert row_of(desk, "D0")["use_a_month"] is None


def test_an_expired_lot_of_an_item_in_use_shows_its_use(desk: Desk) -> None:
    """One in 29 days are 1.05 a month; the lot is left whole all the same."""
    desk.ok("issue C2 --with dye --by NU")
    desk.ok("finish C2 --as-kit --by NU")
    assert line_with(desk.ok("expiring"), " D0 ").split()[-5:] == ["2", "50.00", "1", "2", "50.00"]


def test_as_of_an_entry_a_month_is_as_long_as_it_was_then(desk: Desk) -> None:
    desk.ok("book settings days_per_month 30.5 --by MA")
    assert "times 30.5 days" in desk.ok("expiring")
    assert "times 30.4 days" in desk.ok("expiring --as-of-entry 9")
