"""What waits today, on one screen, by role."""

import csv
import io
import json

import pytest
from desk import Desk
from ledger.books import tampering

from jobs.pages import line_with
from jobs.shelves import give, level
from stockbook.domain.roles import ROLES
from stockbook.reports.today import TITLES


@pytest.fixture
def busy(desk: Desk) -> Desk:
    """A case staged with a found lot, a level not kept."""
    give(desk, level("OT1", "VISC", 4, 6))
    desk.ok("issue C1 --by NU --found KNIFE K9 2029-01 1")
    return desk


def test_cases_issued_and_not_finished_with_their_day(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    assert line_with(desk.ok("today"), "C1") == "C1 2027-03-01 OT1 PHACO paid"
    desk.ok("finish C1 --as-kit --by NU")
    assert "Cases issued and not finished: none" in desk.ok("today")


@pytest.mark.parametrize(
    ("day", "there"), [("2027-02-09", False), ("2027-02-10", False), ("2027-02-11", True)]
)
def test_what_is_expired_and_still_on_a_shelf(desk: Desk, day: str, *, there: bool) -> None:
    """DYE D0 is usable through 2027-02-10."""
    assert ("lot D0" in desk.ok("today", today=day)) is there


@pytest.mark.parametrize(("least", "below"), [(0, False), (1, False), (2, True)])
def test_what_is_below_its_level(desk: Desk, least: int, *, below: bool) -> None:
    give(desk, level("OT1", "VISC", least, 6))
    page = desk.ok("today")
    assert ("Below their levels: 1" in page) is below
    if below:
        assert line_with(page, "VISC") == "VISC OT1 1 there, keep at least 2"


def test_a_level_in_the_only_store_is_looked_at_too(desk: Desk) -> None:
    give(desk, level("STORE", "DYE", 4, 6))
    assert line_with(desk.ok("today"), "DYE", "STORE", "there") == (
        "DYE STORE 3 there, keep at least 4"
    )


def test_provisional_prices_are_open_until_their_coming_is_reversed(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --by KE --line CASS 1 C9 2029-01 -")
    page = desk.ok("today --role finance")
    assert line_with(page, "C9").startswith("CASS lot C9 1 on 2027-03-01")
    desk.ok(f"reverse {desk.last()[0]} --reason typing-error --by KE")
    assert "C9" not in desk.ok("today --role finance")


def test_lots_found_at_use_are_there_until_they_are_counted(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --found KNIFE K9 2029-01 1")
    page = desk.ok("today --role nurse")
    assert "Lots found at use, not yet counted: 1" in page
    assert line_with(page, "K9") == "KNIFE lot K9 1 on 2027-03-01 case C1"
    desk.ok(f"reverse {desk.last()[0]} --reason wrong-case --by NU")
    assert "not yet counted: none" in desk.ok("today")


@pytest.mark.parametrize(
    ("day", "there"), [("2027-03-30", True), ("2027-03-31", True), ("2027-04-01", False)]
)
def test_what_was_recorded_against_a_rule_is_shown_for_30_days(
    desk: Desk, day: str, *, there: bool
) -> None:
    desk.ok("issue C2 --by NU")
    desk.ok("quarantine start --item VISC --lot V2 --reason cluster --by MA")
    desk.ok("finish C2 --as-kit --by NU --reason noticed-later")
    page = desk.ok("today --role manager", today=day)
    assert ("finish C2: noticed-later, NU" in page) is there


def test_the_last_verify_and_backup_are_named(desk: Desk) -> None:
    assert desk.ok("today").splitlines()[-1] == "Last verify: never; last backup: never"
    desk.ok("book verify")
    desk.ok("issue C1 --by NU")
    desk.ok(["book", "backup", str(desk.folder / "save")])
    assert desk.ok("today").splitlines()[-1] == (
        "Last verify: 2027-03-01 08:00 UTC; last backup: 2027-03-01 08:00 UTC"
    )
    assert desk.ok("today --json").count("2027-03-01T08:00:00Z") == 2


def test_a_damaged_book_and_one_only_read_note_nothing(desk: Desk) -> None:
    with tampering(desk.path) as db:
        db.execute("UPDATE on_hand SET quantity = quantity + 1")
    assert desk.run("book verify").code == 5
    with tampering(desk.path) as db:
        db.execute("UPDATE on_hand SET quantity = quantity - 1")
    desk.path.chmod(0o444)
    desk.ok("book verify")
    assert desk.ok("today").splitlines()[-1] == "Last verify: never; last backup: never"


def test_the_last_entry_is_named(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    assert desk.ok("today").splitlines()[-2] == (
        "Last entry: 10, issue C1, happened 2027-03-01, by NU"
    )


@pytest.mark.parametrize("role", ROLES)
def test_every_role_has_a_screen_of_its_own(busy: Desk, role: str) -> None:
    page = busy.ok(f"today --role {role}")
    assert page.startswith(f"Today, 2027-03-01, for {role}\n")
    assert any(title in page for title in TITLES.values())


def test_the_role_is_that_of_the_person_unless_one_is_named(
    busy: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert busy.ok("today").startswith("Today, 2027-03-01\n")
    assert "for finance" in busy.ok("today --by FI")
    assert "for finance" in busy.ok("--by FI today")
    assert "for manager" in busy.ok("today --by FI --role manager")
    monkeypatch.setenv("STOCKBOOK_BY", "KE")
    assert "for keeper" in busy.ok("today")


def test_it_never_outgrows_the_screen(desk: Desk) -> None:
    """30 items below their levels and a long name of the site: 23 lines of 80 columns."""
    desk.ok(["book", "settings", "site", "S" * 60, "--by", "MA"])
    lines = [f"T{n:02},Thing {n},blades,each,0,,,no,0,no" for n in range(30)]
    head = "item,name,class,unit,unit_places,lens_model,power,serial,least_days_left,controlled"
    text = "\n".join([head, *lines])
    desk.ok(f"import items {desk.file('things.csv', text)} --by MA")
    give(desk, *(level("OT1", f"T{n:02}", 1, 2) for n in range(30)))
    for case in ("C1", "C2", "C3"):
        desk.ok(f"issue {case} --by NU")
    page = desk.ok("today").splitlines()
    assert len(page) == 23
    assert max(len(line) for line in page) <= 80
    assert "Below their levels: 30 (the first 3)" in page
    assert "All of it: stockbook today --csv" in page
    rows = list(csv.DictReader(io.StringIO(desk.ok("today --csv"))))
    assert len([row for row in rows if row["what"] == "below level"]) == 30


def test_it_answers_as_data(busy: Desk) -> None:
    found = json.loads(busy.ok("today --json"))["today"]
    assert found["role"] == "anyone"
    row = next(r for r in found["rows"] if r["what"] == "below level")
    assert (row["code"], row["place"], row["quantity"], row["quantity_places"]) == (
        "VISC", "OT1", 0, 0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("line", "said"),
    [("today --role cook", "keeper, nurse"), ("today --by XX", "XX"), ("today MORE", "MORE")],
)
def test_an_unknown_role_or_person_is_wrong_input(desk: Desk, line: str, said: str) -> None:
    assert said in desk.refused(line, 2)


def test_asking_changes_nothing(busy: Desk) -> None:
    before = busy.path.read_bytes()
    busy.ok("today --by KE")
    assert busy.path.read_bytes() == before
