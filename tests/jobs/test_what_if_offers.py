"""Suppliers' offers beside what cases cost: ranked, reckoned by hand, refused by row."""

import csv
import io
import json
from fractions import Fraction

import pytest
from desk import Desk
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from jobs.pages import cells
from stockbook.domain.offers import Offer, Wanted, ranked

HEADER = "supplier,item,pack,price,least_packs,currency\n"
OFFERS = (
    HEADER
    + """Acme,VISC,10,900.00,2,INR
Bell,VISC,10,800.00,,
Bell,VISC,100,7000.00,1,inr
Acme,IODINE,100,150.00,5,INR
Acme,RINGL,1,2000.00,1,INR
Acme,OPIATE,10,150.00,1,INR
Acme,FLATL,1,100.00,1,INR
"""
)
DAYS_OF_FEBRUARY = 28


@pytest.fixture
def worked(desk: Desk) -> Desk:
    """Two paid cases with RINGL, and a free one with a donated FLATL."""
    for case in ("C1", "C2", "C3"):
        desk.ok(f"finish {case} --as-kit --by NU -y")
    return desk


def offers(desk: Desk, text: str = OFFERS, more: str = "") -> list[dict[str, object]]:
    line = f"what-if --from 2027-02-02 --to 2027-03-01 --offers {desk.file('o.csv', text)} {more}"
    return json.loads(desk.ok(f"{line} --json"))["offers"]["rows"]


def test_of_each_item_the_offer_that_makes_a_case_cheapest_comes_first(worked: Desk) -> None:
    found = [(row["item"], row["supplier"], row["pack"]) for row in offers(worked)]
    assert found == [
        ("IODINE", "Acme", 1000), ("RINGL", "Acme", 1), ("VISC", "Bell", 100), ("VISC", "Bell", 10),
        ("VISC", "Acme", 10), ("FLATL", "Acme", 1), ("OPIATE", "Acme", 10),
    ]  # fmt: skip


def test_what_a_case_costs_and_what_a_year_saves_are_reckoned_from_what_cases_took(
    worked: Desk,
) -> None:
    """Two of three cases took two VISC each, at 100.00; 3 cases in 28 days."""
    row = next(row for row in offers(worked) if row["pack"] == 100)
    assert row["case_now_minor"] == round(Fraction(4 * 100_00, 3))
    assert row["case_offered_minor"] == round(Fraction(4 * 70_00, 3))
    assert row["saved_a_year_minor"] == round(Fraction(4 * 30_00 * 365, DAYS_OF_FEBRUARY))
    assert row["least_order_minor"] == 7000_00


def test_what_nobody_pays_for_cannot_be_saved(worked: Desk) -> None:
    """OPIATE is used by no case, FLATL was given."""
    rows = {row["item"]: row for row in offers(worked)}
    for item in ("OPIATE", "FLATL"):
        assert rows[item]["case_now_minor"] is rows[item]["saved_a_year_minor"] is None
    page = worked.ok("what-if --month 2027-03 --offers o.csv")
    assert "None bought: no case takes any that is paid for." in page
    assert "Result of the period" not in page


def test_offers_are_for_the_mix_and_the_lenses_that_were_asked_about(worked: Desk) -> None:
    by_lens = {row["item"]: row for row in offers(worked, more="--lens free RINGL")}
    assert by_lens["RINGL"]["case_now_minor"] == 2400_00
    assert by_lens["RINGL"]["case_offered_minor"] == 2000_00
    free = {row["item"]: row for row in offers(worked, more="--share free 100")}
    assert free["RINGL"]["case_now_minor"] is None


def test_a_least_order_that_lasts_longer_than_a_year_is_marked(worked: Desk) -> None:
    """52 uses a year at 4 in 28 days."""
    text = HEADER + "Acme,VISC,1,1.00,53,\nBell,VISC,1,1.00,52,\n"
    page = worked.ok(
        f"what-if --from 2027-02-02 --to 2027-03-01 --offers {worked.file('o.csv', text)}"
    )
    assert cells(page, "VISC", "Acme")[5] == "53.00*"
    assert cells(page, "VISC", "Bell")[5] == "52.00"
    assert "*: the least order lasts longer than a year" in page


def test_a_spreadsheet_says_the_same(worked: Desk) -> None:
    page = Workbook()
    for row in csv.reader(io.StringIO(OFFERS)):
        page.active.append(row)
    page.save(worked.folder / "o.xlsx")
    found = json.loads(
        worked.ok("what-if --from 2027-02-02 --to 2027-03-01 --offers o.xlsx --json")
    )
    assert found["offers"]["rows"] == offers(worked)


def test_offers_stand_beside_the_result(worked: Desk) -> None:
    worked.file("o.csv", OFFERS)
    before = worked.path.read_bytes()
    page = worked.ok("what-if --month 2027-03 --tariff paid 9000 --offers o.csv")
    assert "Result of the period" in page
    assert "With offer" in page
    assert worked.path.read_bytes() == before


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Acme,VOSC,10,900.00,1,", "VOSC is not in this book. Near: VISC"),
        ("Acme,VISC,ten,900.00,1,", "plain number"),
        ("Acme,VISC,0,900.00,1,", "above zero"),
        ("Acme,VISC,1.5,900.00,1,", "a whole number"),
        ("Acme,VISC,10,nine,1,", "plain number"),
        ("Acme,VISC,10,-900.00,1,", "nothing or more"),
        ("Acme,VISC,10,9.005,1,", "at most 2 decimals"),
        ("Acme,VISC,10,900.00,0,", "1 or more, or nothing"),
        ("Acme,VISC,10,900.00,1,USD", "INR, the book's"),
        ("Acme,VISC,10,900.00,9007199254740991,", "an amount that can be real"),
        (",VISC,10,900.00,1,", "text"),
        ("bell,VISC,10,850.00,1,", "each offer once; this pack of it is in row 2"),
    ],
)
def test_a_row_that_cannot_be_meant_is_named(worked: Desk, row: str, said: str) -> None:
    worked.file("o.csv", HEADER + "Bell,VISC,10,800.00,,\n" + row + "\n")
    err = worked.refused("what-if --month 2027-03 --offers o.csv", 2)
    assert "o.csv: 1 row has a fault; nothing was taken" in err
    assert said in " ".join(err.split())
    assert cells(err, "3 ")[0] == "3"


def test_all_bad_rows_are_named_at_once_and_unknown_columns_too(worked: Desk) -> None:
    worked.file("o.csv", HEADER + "Acme,VOSC,10,x,1,\nAcme,VISC,0,9,1,EUR\n")
    assert "4 faults" in worked.refused("what-if --month 2027-03 --offers o.csv", 2)
    worked.file("o.csv", "supplier,item,price\nAcme,VISC,1\n")
    assert "lacks column pack" in worked.refused("what-if --month 2027-03 --offers o.csv", 2)
    assert "no such file" in worked.refused("what-if --month 2027-03 --offers none.csv", 2)


# As a rule


@st.composite
def many(draw: st.DrawFn) -> list[Offer]:
    numbers = st.integers(1, 10**6)
    return [
        Offer(draw(st.sampled_from("AB")), f"S{n}", draw(numbers), draw(numbers), 1, 0, n)
        for n in range(draw(st.integers(1, 8)))
    ]


@given(many(), st.fractions(Fraction(1, 100), 100), st.fractions(0, 10**6))
def test_whoever_makes_a_case_cheaper_saves_more(
    made: list[Offer], a_case: Fraction, cost: Fraction
) -> None:
    found = ranked(made, lambda _: Wanted(a_case, cost, Fraction(1000)))
    for item in "AB":
        own = [one for one in found if one.offer.item == item]
        costs = [one.cost_a_case for one in own]
        assert costs == sorted(costs)
        saved = [one.saved_a_year for one in own]
        assert saved == sorted(saved, reverse=True)
        for one in own:
            assert one.saved_a_year == (cost - one.cost_a_case) * 1000
