"""Sponsors without a file: made, changed in what is given, shown; claims sent stay as they were."""

import pytest
from desk import Desk

from jobs.pages import line_with


@pytest.fixture
def camp(desk: Desk) -> Desk:
    """A sponsor with everything stated."""
    desk.ok("sponsor new CAMP --name 'Lamp Camp' --amount 1200 --deduction 300 --days 30 --by MA")
    return desk


def stated(desk: Desk) -> list[tuple]:
    return desk.rows("SELECT code, name, amount, deduction, days FROM sponsor ORDER BY code")


def test_one_is_made_and_shown(camp: Desk) -> None:
    assert stated(camp) == [("CAMP", "Lamp Camp", 120000, 30000, 30)]
    row = line_with(camp.ok("sponsor show"), "CAMP")
    assert [word in row for word in ("Lamp Camp", "1,200.00", "300.00", "30")] == [True] * 4
    camp.ok("sponsor new FUND --name Fund --by MA")
    assert "no amount stated" in camp.ok("sponsor show FUND")
    assert "CAMP" not in camp.ok("sponsor show FUND")
    assert "FUND,Fund,,0.00," in camp.ok("sponsor show --csv")


def test_what_is_not_given_stays_and_what_is_given_empty_is_not_stated(camp: Desk) -> None:
    camp.ok("sponsor change CAMP --amount 1500 --by MA")
    assert stated(camp) == [("CAMP", "Lamp Camp", 150000, 30000, 30)]
    camp.ok("sponsor change CAMP --days '' --by MA")
    assert stated(camp) == [("CAMP", "Lamp Camp", 150000, 30000, None)]
    assert "nothing changed" in camp.ok("sponsor change CAMP --amount 1500 --by MA")


def test_finance_may_and_a_nurse_may_not(camp: Desk) -> None:
    camp.ok("sponsor change CAMP --days 60 --by FI")
    assert "this is for finance or manager" in camp.refused(
        "sponsor change CAMP --days 61 --by NU", 3
    )
    assert stated(camp)[0][4] == 60


@pytest.mark.parametrize(("line", "code", "words"), [
    ("sponsor new CAMP --name Again", 3, "is in the book already"),
    ("sponsor change NOBODY --days 3", 2, "NOBODY is not in this book"),
    ("sponsor change CAMP", 2, "Nothing was given to record"),
    ("sponsor change CAMP --amount lots", 2, "amount"),
    ("sponsor change CAMP --days -3", 2, "days"),
    ("sponsor change CAMP --amount ''", 2, "wanted with an amount"),
    ("sponsor show NOBODY", 2, "NOBODY is not in this book"),
])  # fmt: skip
def test_bad_input_has_one_message_and_changes_nothing(
    camp: Desk, line: str, code: int, words: str
) -> None:
    before = stated(camp)
    asked = f"{line} --by MA" if "show" not in line else line
    assert words in camp.refused(asked, code)
    assert stated(camp) == before
