"""What is expired on a shelf, and what expires soon."""

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
    """4 of VISC used in 29 days: by 2027-05-31 (91 days on) 12.7 more will be, V2 goes first."""
    for case in ("C1", "C2"):
        desk.ok(f"finish {case} --as-kit --by NU")
    page = desk.ok("expiring --within 91")
    (line,) = [text for text in page.splitlines() if " V2 " in text]
    assert line.split()[-4:] == ["6", "600.00", "0", "0.00"]
    assert "as in the last 90 days (or since the book began)" in page


def test_an_item_that_nobody_used_has_no_basis_and_no_silent_nothing(desk: Desk) -> None:
    page = desk.ok("expiring --within 91")
    (line,) = [text for text in page.splitlines() if " V2 " in text]
    assert line.endswith("no use seen")
    assert "no use was seen of lots worth 900.00" in page


def test_what_is_expired_is_left_whole(desk: Desk) -> None:
    (line,) = [text for text in desk.ok("expiring").splitlines() if " D0 " in text]
    assert line.split()[-4:] == ["2", "50.00", "2", "50.00"]


def test_returned_units_are_no_use(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --returned VISC 2 --by NU")
    page = desk.ok("expiring --within 91")
    assert next(text for text in page.splitlines() if " V2 " in text).endswith("no use seen")
