"""`book settings`: every rule of the site, shown and changed by a manager."""

import csv
import io
import json

import pytest
from desk import SITE, Desk, new_desk


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
    ("given", "kept"), [("28", "28"), ("28.01", "28.01"), ("30.50", "30.5"), ("31.00", "31")]
)
def test_a_month_is_any_length_of_hundredths_within_its_bounds(
    desk: Desk, given: str, kept: str
) -> None:
    desk.ok(f"book settings days_per_month {given} --by MA")
    assert desk.rows("SELECT value FROM setting WHERE code = 'days_per_month'") == [(kept,)]
    again = desk.ok(f"book settings days_per_month {given} --by MA")
    assert "already; nothing was recorded" in again


@pytest.mark.parametrize(
    ("days", "words"),
    [("27.99", "28 to 31"), ("31.01", "28 to 31"), ("0", "28 to 31"), ("-30", "28 to 31"),
     ("30.405", "too fine"), ("30,4", "plain number"), ("3E1", "plain number"),
     ("", "plain number"), ("٣٠", "plain number")],
)  # fmt: skip
def test_a_month_of_another_length_is_refused(desk: Desk, days: str, words: str) -> None:
    line = ["book", "settings", "days_per_month", "--by", "MA", "--", days]
    assert words in desk.refused(line, 2)


def test_a_month_has_30_4_days_until_the_site_says_otherwise(desk: Desk) -> None:
    (line,) = [t for t in desk.ok("book settings").splitlines() if t.startswith("days_per_month")]
    assert line.split()[1] == "30.4"
    assert line.endswith("expiring")


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("expirin_days 3 --by MA", 2, "Near: expiring_days"),
        ("demonstration yes --by MA", 3, "fixed when the book was made"),
        ("currency USD --by MA", 3, "currency stays INR"),
        ("currency XXX --by MA", 2, "ISO 4217"),
        ("currency USD --by KE", 3, "KE is keeper"),
        ("expiring_days 30 --by KE", 3, "KE is keeper"),
        ("expiring_days 30", 2, "--by CODE"),
        ("expirin_days", 2, "Near: expiring_days"),
        ("nonsense 3 --by MA", 2, "'stockbook book settings' shows all"),
        ("site '' --by MA", 2, "site: found nothing"),
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


def test_one_rule_can_be_asked_for(desk: Desk) -> None:
    page = desk.ok("book settings short-dated-days")
    assert "short_dated_days" in page
    assert "currency" not in page


def test_a_rule_that_has_the_value_already_is_left_alone(desk: Desk) -> None:
    before = desk.path.read_bytes()
    assert "90 already" in desk.ok("book settings expiring_days 90 --by MA")
    assert desk.path.read_bytes() == before


def test_a_change_of_a_rule_is_an_entry_and_can_be_made_again(desk: Desk) -> None:
    for number, days in ((10, "30"), (11, "60"), (12, "30")):
        assert f"entry {number}" in desk.ok(f"book settings expiring_days {days} --by MA")
    assert desk.rows("SELECT kind, code, body FROM change WHERE entry = 12") == [
        ("setting", "expiring_days", '{"value":"30"}')
    ]
    assert desk.rows("SELECT kind FROM entry WHERE number = 12") == [("facts",)]
    desk.ok("book verify")


def test_the_currency_may_change_until_anything_has_value(tmp_path) -> None:
    desk = new_desk(tmp_path)
    desk.ok("book settings currency kwd --by MA")
    assert desk.rows("SELECT value FROM setting WHERE code = 'currency'") == [("KWD",)]
    for kind in ("places", "items"):
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', SITE[kind])} --by MA")
    desk.file("o.csv", "item,place,quantity,lot,expiry,received,total,terms,shadow\n"
                       "VISC,STORE,1,V1,2029-01,2027-01-10,,donated,1.500\n")  # fmt: skip
    desk.ok("import opening-stock o.csv --by MA")
    assert "currency stays KWD" in desk.refused("book settings currency INR --by MA", 3)


def test_the_rules_as_data_have_names_that_stay(desk: Desk) -> None:
    desk.ok("book settings expiring_days 30 --by MA")
    rows = json.loads(desk.ok("book settings --json"))["settings"]["rows"]
    assert {tuple(row) for row in rows} == {("setting", "value", "is_set", "meaning", "counts_in")}
    assert list(csv.DictReader(io.StringIO(desk.ok("book settings --csv")))) == rows
    told = {row["setting"]: (row["value"], row["is_set"]) for row in rows}
    assert told["expiring_days"] == ("30", "yes")
    assert told["short_dated_days"] == ("180", "no")
    assert [row["counts_in"] for row in rows if row["setting"] == "currency"] == ["every value"]


def test_one_rule_as_data_and_into_a_file(desk: Desk) -> None:
    (row,) = json.loads(desk.ok("book settings currency --json"))["settings"]["rows"]
    assert row["value"] == "INR"
    desk.ok(["book", "settings", "-o", str(desk.folder / "rules.csv")])
    assert (desk.folder / "rules.csv").read_text() == desk.ok("book settings --csv")


@pytest.mark.parametrize("form", ["--json", "--csv", "-o a.csv"])
def test_a_rule_is_set_or_asked_for_never_both(desk: Desk, form: str) -> None:
    assert "no VALUE" in desk.refused(f"book settings expiring_days 30 --by MA {form}", 2)
