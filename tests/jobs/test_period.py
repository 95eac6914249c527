"""Periods: closed with a statement that ties, never changes and is shown again; reopened."""

import json
import shutil
from itertools import pairwise

import pytest
from desk import Desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.pages import line_with
from jobs.proven import proven
from stockbook.domain.days import days_after

FEBRUARY, MARCH, APRIL = "2027-02-28", "2027-03-31", "2027-04-02"
DAY = {"today": MARCH}


@pytest.fixture
def worked(desk: Desk) -> Desk:
    """March: a delivery without a price, a case finished with waste, one on the trolley."""
    desk.today = MARCH
    desk.ok("receive ACME --note N1 --line VISC 10 V9 2029-05 - --by KE -y")
    desk.ok("finish C1 --as-kit --wasted VISC 1 dropped --by NU -y")
    desk.ok("issue C2 --by NU -y")
    return desk


def shown(desk: Desk, what: str) -> dict[str, list[dict]]:
    found = json.loads(desk.ok(f"period show {what} --json"))
    return {
        name: part["rows"] for name, part in found.items() if isinstance(part, dict)
    }  # fmt: skip


def close(desk: Desk, what: str, **at: str) -> str:
    return desk.ok(f"period close {what} --by FI -y", **at)


def figures(page: str) -> str:
    """The page as it was printed, without what was said of the recording."""
    return page.partition("Recorded as")[0].strip()


# Closed


def test_the_statement_ties_to_the_proof_and_to_all_places(worked: Desk) -> None:
    page = close(worked, "--from 2027-02-01 --to 2027-03-31")
    assert "Classes, proof and all places agree." in page
    assert line_with(page, "All places") == "All places 0.00"
    found = shown(worked, "1")
    closing = sum(row["closing_minor"] for row in found["statement"])
    on_hand = worked.rows("SELECT SUM(value) FROM on_hand")[0][0]
    shelves = sum(row["value_minor"] for row in found["balances"] if row["is_stock"])
    assert closing == on_hand == shelves
    assert sum(row["value_minor"] for row in found["balances"]) == 0
    used = {row["category_or_reason"]: row["value_minor"] for row in found["ended"]
            if row["class"] == "viscoelastic" and row["end"] == "used"}  # fmt: skip
    wasted = {row["category_or_reason"]: row["value_minor"] for row in found["ended"]
              if row["class"] == "viscoelastic" and row["end"] == "wasted"}  # fmt: skip
    assert used.keys() == {"paid"}
    assert wasted == {"dropped": wasted["dropped"]}


def test_what_colours_it_is_asked_about_and_printed(worked: Desk) -> None:
    said = worked.refused("period close --from 2027-02-01 --to 2027-03-31 --by FI", 2)
    assert "2027-03-31 is not over, 1 unfinished case" in said
    assert "provisional price" in said
    page = close(worked, "--from 2027-02-01 --to 2027-03-31")
    assert "What colours it: 1 unfinished case, worth" in page


def test_the_page_shown_later_is_the_page_printed_at_the_closing(worked: Desk) -> None:
    printed = figures(close(worked, "--from 2027-02-01 --to 2027-03-31"))
    worked.today = APRIL
    worked.ok("finish C2 --as-kit --by NU -y")
    worked.ok("item change VISC --class gels --by MA -y")
    worked.ok("receive ACME --note N2 --line DYE 5 D9 2029-05 50.00 --by KE")
    assert figures(worked.ok("period show 1")) == printed
    assert figures(worked.ok("period show 2027-02-01..2027-03-31")) == printed
    assert "Already recorded" in close(worked, "--from 2027-02-01 --to 2027-03-31")


def test_a_dry_run_prints_the_statement_and_closes_nothing(worked: Desk) -> None:
    before = worked.last()
    assert "Dry run" in close(worked, "--from 2027-02-01 --to 2027-03-31 -n")
    assert worked.last() == before
    assert "No period was closed yet." in worked.ok("period show")


def test_an_open_month_is_shown_as_it_would_be_closed(worked: Desk) -> None:
    page = worked.ok("period show --open 2027-03")
    assert "Not closed: these figures can still change." in page
    assert "Classes, proof and all places agree." in page


def test_what_comes_later_keeps_its_day_and_is_booked_after_the_closing(worked: Desk) -> None:
    close(worked, "--from 2027-02-01 --to 2027-03-30")
    worked.ok("move VISC 1 --from STORE --to OT1 --by KE --on 2027-03-05 --lot V3")
    worked.ok("move VISC 1 --from STORE --to OT1 --by KE --on 2027-01-20 --lot V3")
    worked.ok("reverse 10 --reason typing-error --by KE -y", today=APRIL)
    days = worked.rows("SELECT happened_on, booked_on FROM entry ORDER BY number DESC LIMIT 3")
    assert days == [(APRIL, APRIL), ("2027-01-20", MARCH), ("2027-03-05", MARCH)]


def test_a_period_s_closing_is_the_next_one_s_opening(worked: Desk) -> None:
    close(worked, "2027-02")
    close(worked, "2027-03", today=APRIL)
    first, second = shown(worked, "2027-02")["statement"], shown(worked, "2027-03")["statement"]
    ended = {row["class"]: row["closing_minor"] for row in first}
    assert {row["class"]: row["opening_minor"] for row in second} == ended


def test_both_months_are_listed_with_what_is_closed_through(worked: Desk) -> None:
    close(worked, "2027-02")
    close(worked, "2027-03", today=APRIL)
    page = worked.ok("period show")
    assert "2 closed periods. Nothing is booked on or before 2027-03-31." in page
    assert "statement 2" in line_with(page, "2027-03")


# Refused


@pytest.mark.parametrize(
    ("what", "code", "words"),
    [
        ("--from 2027-02-15 --to 2027-03-15", 3, "2027-02 is closed through 2027-02-28, so the "
         "next one begins on 2027-03-01"),
        ("--from 2027-03-05 --to 2027-03-15", 3, "begins on 2027-03-01, not on 2027-03-05"),
        ("2027-04", 2, "2027-04-30 has not come yet"),
        ("--from 2027-03-15 --to 2027-03-01", 2, "2027-03-15 lies after 2027-03-01"),
        ("--from 2027-03-15", 2, "both --from DAY and --to DAY"),
        ("2027-3x", 2, "month"),
        ("", 2, "Give a month"),
    ],
)  # fmt: skip
def test_a_span_that_cannot_be_closed_is_refused(
    worked: Desk, what: str, code: int, words: str
) -> None:
    close(worked, "2027-02")
    assert words in worked.refused(f"period close {what} --by FI -y", code)


def test_only_finance_closes(worked: Desk) -> None:
    assert "FI" not in worked.refused("period close 2027-02 --by KE -y", 3)


def test_a_period_that_was_never_closed_is_named_with_those_that_were(worked: Desk) -> None:
    close(worked, "2027-02")
    assert "2027-03 was never closed. Near: 2027-02" in worked.refused("period show 2027-03", 2)


# Reopened

REOPEN = "period reopen {} --reason delivery-missing --by FI --checked-by MA"


def test_a_reopened_period_takes_entries_and_its_old_statement_stays(worked: Desk) -> None:
    printed = figures(close(worked, "2027-02"))
    assert "is open again" in worked.ok(REOPEN.format("2027-02"))
    worked.ok("receive ACME --note N0 --line DYE 5 D9 2029-05 50.00 --on 2027-02-20 --by KE")
    assert worked.rows("SELECT booked_on FROM entry WHERE document = 'N0'") == [("2027-02-20",)]
    again = figures(close(worked, "2027-02"))
    assert again != printed
    assert figures(worked.ok("period show 1")) == printed
    assert figures(worked.ok("period show 2")) == again == figures(worked.ok("period show 2027-02"))
    page = worked.ok("period show")
    assert "delivery-missing" in page
    assert "1 closed period." in page


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("period reopen 2027-02 --reason delivery-missing --by FI", 3, "second person"),
        ("period reopen 2027-02 --by FI --checked-by MA", 2, "no reason"),
        ("period reopen 2027-02 --reason delivery-missing --by FI --checked-by FI", 3, "own entry"),
        ("period reopen 2027-02 --reason delivery-missing --by KE --checked-by MA", 3, "keeper"),
        (REOPEN.format("2027-02"), 3, "Reopen 2027-03 first"),
        (REOPEN.format("2026-12"), 2, "2026-12 is not in this book"),
    ],
)
def test_who_may_reopen_what(worked: Desk, line: str, code: int, words: str) -> None:
    close(worked, "2027-02")
    close(worked, "2027-03", today=APRIL)
    assert words in worked.refused(line, code, today=APRIL)


def test_an_open_period_is_not_reopened(worked: Desk) -> None:
    close(worked, "2027-02")
    worked.ok(REOPEN.format("2027-02"))
    assert "is open already" in worked.refused(REOPEN.format("2027-02"), 3)


# Whatever happened

acts = st.sampled_from((
    "issue C1 --by NU", "finish C1 --as-kit --by NU", "issue C2 --with dye --by NU",
    "finish C2 --as-kit --wasted KNIFE 1 dropped --by NU", "case cancel C1 --all-opened --by NU",
    "finish C3 --as-kit --by NU", "discard DYE 1 --lot D1 --reason damaged --by KE",
    "receive ACME --line VISC 3 X 2029-05 29.99 --by KE",
    "receive CART --line DYE 2 Y 2029-01 - --by KE",
    "move VISC 1 --from STORE --to OT1 --by KE", "reverse 10 --reason did-not-happen --by NU",
    "reverse 11 --reason did-not-happen --by NU", "reverse 12 --reason did-not-happen --by KE",
    "move VISC 1 --from STORE --to OT1 --by KE --on 2027-02-11",
    "case change C1 --category free --reason payer-changed --by NU",
))  # fmt: skip
months = st.lists(st.lists(acts, max_size=5), min_size=2, max_size=3)


@settings(
    max_examples=12, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip
@given(months)
def test_statements_tie_follow_each_other_and_never_change(
    moved_in: object, tmp_path_factory: pytest.TempPathFactory, days: list[list[str]]
) -> None:
    folder = tmp_path_factory.mktemp("months") / "desk"
    shutil.copytree(str(moved_in), folder)
    desk, printed, begins = Desk(folder), [], "2027-02-01"
    for number, lines in enumerate(days, start=2):
        desk.today = f"2027-{number:02d}-28"
        for line in lines:
            assert desk.run(f"{line} -y").code in (0, 2, 3)
        printed.append(figures(close(desk, f"--from {begins} --to {desk.today}")))
        begins = days_after(desk.today, 1)
    pages = [figures(desk.ok(f"period show {n}")) for n in range(1, len(days) + 1)]
    assert pages == printed
    assert all("Classes, proof and all places agree." in page for page in pages)
    found = [shown(desk, str(n))["statement"] for n in range(1, len(days) + 1)]
    for before, after in pairwise(found):
        left = {row["class"]: row["closing_minor"] for row in before if row["closing_minor"]}
        opens = {row["class"]: row["opening_minor"] for row in after if row["opening_minor"]}
        assert left == opens
    proven(desk)
    shutil.rmtree(folder.parent)
