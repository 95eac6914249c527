"""`cost --trend`: each month as its own page has it, whatever was corrected or reversed later."""

import csv
import io
import json

import pytest
from desk import Desk

from jobs.pages import line_with
from stockbook.domain.cost_trend import months_of


@pytest.fixture
def months(desk: Desk) -> Desk:
    """Cases in three months: one wasted on, one corrected and one reversed in a later month."""
    for case, day in (("C3", "2027-03-01"), ("C1", "2027-03-02")):
        desk.ok(f"finish {case} --as-kit --by NU", today=day)
    finished = desk.last()[0]
    desk.ok("discard KNIFE 1 --from STORE --reason damaged --by KE", today="2027-03-31")
    desk.ok("case change C3 --used DYE 1 --reason typed-wrongly --by NU", today="2027-04-02")
    desk.ok(f"reverse {finished} --reason typing-error --by NU", today="2027-04-03")
    desk.ok("discard VISC 2 --from STORE --reason damaged --by KE", today="2027-05-10")
    desk.today = "2027-05-20"
    return desk


def by_month(desk: Desk, asked: str = "--month 2027-05") -> dict[str, list[dict]]:
    rows = json.loads(desk.ok(f"cost --trend {asked} --json"))["cost_by_month"]["rows"]
    found: dict[str, list[dict]] = {}
    for row in rows:
        found.setdefault(row["month"], []).append(row)
    return found


def test_every_month_is_what_its_own_page_says(months: Desk) -> None:
    found = by_month(months)
    assert list(found) == ["2027-02", "2027-03", "2027-04", "2027-05"]
    assert any(row["total_minor"] for row in found["2027-04"])
    names = ("category", "cases", "used_minor", "mean_minor", "wasted_minor",
             "earlier_cases_minor", "total_minor")  # fmt: skip
    for month, rows in found.items():
        own = json.loads(months.ok(f"cost --month {month} --json"))["cost"]["rows"]
        assert [[r[n] for n in names] for r in rows] == [[r[n] for n in names] for r in own]


def test_the_last_month_ends_with_the_period(months: Desk) -> None:
    (whole,) = [r for r in by_month(months)["2027-03"] if r["category"] == "paid"]
    (cut,) = [
        r for r in by_month(months, "--from 2027-02-05 --to 2027-03-01")["2027-03"]
        if r["category"] == "paid"
    ]  # fmt: skip
    assert (whole["cases"], cut["cases"]) == (1, 0)
    assert cut["last_day"] == "2027-03-01"


def test_as_of_an_entry_it_is_what_stood_then(months: Desk) -> None:
    last = months.last()[0]
    before = months.ok("cost --trend --month 2027-05")
    months.ok("discard VISC 1 --from STORE --reason damaged --by KE")
    assert months.ok("cost --trend --month 2027-05") != before
    assert months.ok(f"cost --trend --month 2027-05 --as-of-entry {last}") == before


def test_the_page_names_its_entry_and_each_category_with_cases(months: Desk) -> None:
    page = months.ok("cost --trend")
    assert "A free case" in page
    assert "A paid case" in page
    assert "common case" not in page
    number, checksum = months.last()
    assert f"Last entry {number}, checksum {checksum}" in page
    assert line_with(page, "2027-02").split()[1] == "0"
    rows = list(csv.DictReader(io.StringIO(months.ok("cost --trend --csv"))))
    assert {row["month"] for row in rows} == {"2027-02", "2027-03", "2027-04", "2027-05"}


@pytest.mark.parametrize("more", ["C3", "--per month", "--method fifo"])
def test_months_go_with_no_other_form(desk: Desk, more: str) -> None:
    assert "--trend shows months" in desk.refused(f"cost --trend {more}", 2)


@pytest.mark.parametrize(
    ("last", "begins", "first", "count"),
    [
        ("2027-12-31", "2027-01-01", "2027-01", 12),
        ("2027-12-31", "2026-12-31", "2027-01", 12),
        ("2027-12-01", "2027-01-31", "2027-01", 12),
        ("2027-12-31", "2027-02-01", "2027-02", 11),
        ("2028-01-15", "2020-01-01", "2027-02", 12),
    ],
)
def test_twelve_months_end_with_the_day_and_none_lies_before_the_book(
    last: str, begins: str, first: str, count: int
) -> None:
    spans = months_of(last, begins)
    assert (spans[0][0], len(spans)) == (first, count)
    assert spans[-1][2] == last
