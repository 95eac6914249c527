"""Past forecasts beside what happened, each from the book as it stood then."""

import json
from pathlib import Path

import pytest
from desk import Desk, new_desk

from stockbook.domain.days import days_after


@pytest.fixture
def weeks(desk: Desk) -> Desk:
    """Ten weeks of a ward that uses four a week, and a case a week from the fifth on."""
    desk.ok("book settings lead_days 7 --by MA")
    desk.ok("receive ACME --note N1 --line OPIATE 30 X1 2031-05 1.00 --by KE")
    for week in range(10):
        day = days_after("2027-03-02", 7 * week)
        desk.ok("issue --service ward --extra OPIATE 4 --by NU -y", today=day)
        if week == 7:
            desk.ok("receive ACME --note N2 --line OPIATE 30 X2 2031-05 1.00 --by KE", today=day)
    desk.today = "2027-05-12"
    return desk


def looks(desk: Desk, more: str = "") -> list[dict[str, object]]:
    return json.loads(desk.ok(f"forecast --review {more} --json"))["forecast_review"]["rows"]


def test_what_was_expected_stands_beside_what_was_used(weeks: Desk) -> None:
    found = [row for row in looks(weeks, "4") if row["item"] == "OPIATE"]
    assert [row["first_day"] for row in found] == [
        "2027-04-26", "2027-04-19", "2027-04-12", "2027-04-05"
    ]  # fmt: skip
    assert all(row["used"] == 8 and row["days"] == 14 for row in found)
    assert all(row["level"] >= 8 and row["enough"] for row in found)
    assert all(abs(float(str(row["expected_use"])) - 8) < 4 for row in found)


def test_a_forecast_of_the_past_knows_nothing_of_later_days(weeks: Desk) -> None:
    """Recording more today, for today, changes no look back."""
    before = looks(weeks, "3")
    weeks.ok("issue --service ward --extra OPIATE 20 --by NU -y")
    assert looks(weeks, "3") == before


def test_what_came_in_time_was_avoided(weeks: Desk) -> None:
    """On 2027-04-19 two were left; eight were used in the fortnight, thirty came."""
    by_day = {row["first_day"]: row for row in looks(weeks, "4") if row["item"] == "OPIATE"}
    assert by_day["2027-04-19"]["usable"] == 30 + 4 - 4 * 7
    assert by_day["2027-04-19"]["avoided"]
    assert not by_day["2027-04-05"]["avoided"]


def test_somebody_who_went_without_counts_as_short(desk: Desk) -> None:
    desk.ok("book settings lead_days 7 --by MA")
    desk.ok("finish C1 --as-kit --by NU -y")
    desk.today = "2027-03-09"
    for place, units in (("OT1", 2), ("STORE", 5)):
        desk.ok(f"discard KNIFE {units} --from {place} --reason damaged --by KE")
    desk.ok("issue C2 --partial --by NU -y")
    desk.today = "2027-03-24"
    found = {row["item"]: row for row in looks(desk, "1")}
    assert found["KNIFE"]["short"]
    page = desk.ok("forecast --review 1")
    assert "Levels (enough until the next delivery with 95 %) were enough in" in page
    assert "95 % interval" in page
    assert "1 (" in next(line for line in page.splitlines() if line.startswith("KNIFE "))


def test_a_young_book_has_nothing_to_look_back_on(tmp_path: Path) -> None:
    desk = new_desk(tmp_path)
    assert "Nothing to look back on" in desk.ok("forecast --review")


@pytest.mark.parametrize("text", ["0", "53", "many"])
def test_an_absurd_number_of_periods_is_refused(desk: Desk, text: str) -> None:
    assert "--review" in desk.refused(f"forecast --review {text}", 2)
