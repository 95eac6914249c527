"""`book settings`: every rule of the site, shown and changed by a manager."""

import pytest
from desk import Desk


def test_every_rule_is_shown_with_its_value_and_where_it_counts(desk: Desk) -> None:
    page = desk.ok("book settings")
    for name, value, where in (
        ("short_dated_days", "180", "receive"),
        ("expiring_days", "90", "expiring"),
        ("currency", "INR", "every value"),
    ):
        (line,) = [text for text in page.splitlines() if text.startswith(name)]
        assert value in line
        assert line.endswith(where)


@pytest.mark.parametrize(("days", "shown"), [("90", False), ("91", True), ("92", True)])
def test_a_changed_rule_shapes_the_next_answer(desk: Desk, days: str, *, shown: bool) -> None:
    """Lot V2 expires 2027-05-31, 91 days after 2027-03-01."""
    desk.ok("book settings expiring_days 30 --by MA")
    desk.ok(f"book settings expiring_days {days} --by MA")
    page = desk.ok("expiring")
    assert f"within {days} days" in page
    assert (" V2 " in page) is shown


def test_a_short_life_is_what_the_site_says(desk: Desk) -> None:
    line = "receive ACME --note N --line KNIFE 1 K9 2027-03-31 1 --by KE"
    assert "fewer than 180" in desk.refused(line, 3)
    desk.ok("book settings short_dated_days 30 --by MA")
    desk.ok(line)


@pytest.mark.parametrize("days", ["0", "-1", "1.5", "3661", "many", "٣"])
def test_a_value_that_cannot_be_is_refused(desk: Desk, days: str) -> None:
    assert days in desk.refused(["book", "settings", "expiring_days", "--by", "MA", "--", days], 2)


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("expirin_days 3 --by MA", 2, "Near: expiring_days"),
        ("currency USD --by MA", 3, "fixed when the book was made"),
        ("expiring_days 30 --by KE", 3, "KE is keeper"),
        ("expiring_days 90 --by MA", 2, "90 already"),
        ("expiring_days --by MA", 2, "VALUE"),
        ("time_zone Mars/Base --by MA", 2, "Africa/Nairobi"),
        ("reference_pattern ( --by MA", 2, "not a pattern"),
    ],
)
def test_what_a_site_may_not_set_is_refused(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refused(f"book settings {line}", code)


def test_a_dry_run_changes_nothing(desk: Desk) -> None:
    before = desk.path.read_bytes()
    assert "Nothing was recorded" in desk.ok("book settings expiring_days 30 --by MA -n")
    assert desk.path.read_bytes() == before
