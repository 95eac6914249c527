"""A period's cases beside the kits in force for them."""

import json
from pathlib import Path

import pytest
from desk import SITE, Desk, new_desk

from jobs.pages import line_with

MARCH = "cost --month 2027-03 --variance"


@pytest.fixture
def worked(desk: Desk) -> Desk:
    desk.ok("finish C1 --as-kit --wasted VISC 1 dropped --by NU -y")
    desk.ok("finish C2 --as-kit --by NU -y")
    desk.ok("finish C3 --as-kit --by NU -y")
    return desk


def sheet(desk: Desk, name: str, more: str = "", key: str = "case") -> dict[str, dict]:
    found = json.loads(desk.ok(f"{MARCH} {more} --json"))[name]["rows"]
    return {row[key]: row for row in found}


def case(desk: Desk, code: str) -> tuple[int, ...]:
    """Standard, used, price, usage, mix."""
    row = sheet(desk, "variance_cases")[code]
    names = ("standard", "used", "price", "usage", "mix")
    return tuple(row[f"{name}_minor"] for name in names)


@pytest.mark.parametrize("way", ["category", "sponsor", "procedure", "lens", "theatre", "month"])
def test_every_grouping_ties_to_the_cost_page(worked: Desk, way: str) -> None:
    found = sheet(worked, "variance", f"--per {way}", "group")
    rows = json.loads(worked.ok(f"cost --month 2027-03 --per {way} --json"))["cost_by_group"][
        "rows"
    ]
    cost = {row["group"]: row for row in rows}
    assert list(found) == list(cost)
    for name, row in found.items():
        for figure in ("cases", "used_minor", "wasted_minor"):
            assert row[figure] == cost[name][figure]
        split = sum(row[f"{part}_minor"] for part in ("price", "usage", "mix"))
        assert split == row["difference_minor"] == row["used_minor"] - row["standard_minor"]


def test_a_case_is_judged_by_its_kit_with_its_requirements(worked: Desk) -> None:
    """C2 wants dye; of VISC or VISC-B the first is the standard. Prices are the last before
    March: VISC 130.00 received first but D1 at 33.33, K2 without a price, so K1's."""
    prices = {"VISC": 10000, "KNIFE": 3333, "IODINE": 500, "RINGL": 240000, "DYE": 3333}
    plain = prices["RINGL"] + prices["KNIFE"] + prices["IODINE"] + 2 * prices["VISC"]
    assert case(worked, "C1")[0] == plain
    assert case(worked, "C2")[0] == plain + prices["DYE"]


def test_given_stock_saves_its_standard_price_and_is_named_where_there_is_none(
    worked: Desk,
) -> None:
    standard, used, price, usage, mix = case(worked, "C3")
    assert (standard, used) == (3333, 3333)
    assert (price, usage, mix) == (0, 0, 0)
    assert "Never priced, so nothing at standard: FLATL+21.50." in worked.ok(MARCH)
    assert sheet(worked, "left_out", key="code")["FLATL+21.50"]["why"] == "no price"
    line = "--line FLATL+21.50 1 F7 2029-01 900"
    worked.ok(f"receive LENSCO --note N1 {line} --by KE")
    assert case(worked, "C3") == (93333, 3333, -90000, 0, 0)


def test_the_last_price_before_the_period_is_the_standard(desk: Desk) -> None:
    february, march = {"today": "2027-02-20"}, {"today": "2027-03-01"}
    desk.ok("receive ACME --note N1 --line KNIFE 2 K7 2029-01 100 --by KE", **february)
    desk.ok("receive ACME --note N2 --line KNIFE 2 K8 2029-01 900 --by KE", **march)
    desk.ok("finish C3 --as-kit --by NU -y")
    standard, used, price, usage, mix = case(desk, "C3")
    assert (standard, used, price, usage, mix) == (10000, 3333, -6667, 0, 0)


def test_more_than_the_kit_is_usage_another_alternative_is_mix(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --extra KNIFE 1 --by NU -y")
    assert case(desk, "C1")[3:] == (3334, 0)
    desk.ok("case change C1 --used VISC-B 2 --not-used VISC 2 --reason typed-wrongly --by NU")
    assert case(desk, "C1")[3:] == (3334, 2 * 5000 - 2 * 10000)


def test_the_version_of_the_list_s_day_is_the_standard(worked: Desk) -> None:
    before = case(worked, "C3")
    rows = "PHACO,free,1,always,KNIFE,3,,2027-03-{}\n"
    head = "procedure,category,line,kind,item,quantity,requirement,first_day\n"
    worked.ok(f"import kits {worked.file('k.csv', head + rows.format('02'))} --by MA -y")
    assert case(worked, "C3") == before
    worked.ok(f"import kits {worked.file('k.csv', head + rows.format('01'))} --by MA -y")
    assert case(worked, "C3") == (10000, 3333, 0, 3333 - 10000, 0)


def test_a_case_without_a_kit_is_named_and_in_no_figure(worked: Desk) -> None:
    worked.ok("case change C2 --procedure SICS --reason plan-changed --by NU")
    page = worked.ok(MARCH)
    assert "Left out, kit, lens or machine not known: 1 case: C2." in page
    assert sheet(worked, "variance", key="group")["all"]["cases"] == 2
    assert "C2" not in sheet(worked, "variance_cases")


def test_the_furthest_are_named_by_case_and_nobody_is_ranked(worked: Desk) -> None:
    page = worked.ok(MARCH)
    assert line_with(page, "C1 ")
    assert "SA" not in page.split()
    assert "wanted one of" in worked.refused(f"{MARCH} --per surgeon", 2)
    assert "Fewer than 10 cases, to be read with care: free, paid." in page


def test_a_period_or_a_category_without_cases_says_so(worked: Desk) -> None:
    page = worked.ok("cost --month 2027-01 --variance")
    assert "No case with a standard was first used in this period (0 cases)." in page
    camp = worked.file("c.csv", "category,name\ncamp,Camp\n")
    worked.ok(f"import categories {camp} --by MA -y")
    assert list(sheet(worked, "variance", key="group")) == ["free", "paid", "all"]


def test_the_past_is_shown_as_it_was(worked: Desk) -> None:
    before, entry = worked.ok(MARCH), worked.last()[0]
    worked.ok("case change C2 --not-used DYE 1 --reason typed-wrongly --by NU")
    worked.ok("receive LENSCO --note N1 --line FLATL+21.50 1 F7 2029-01 900 --by KE")
    assert worked.ok(f"{MARCH} --as-of-entry {entry}") == before
    assert worked.ok(MARCH) != before


@pytest.mark.parametrize("currency", ["JPY", "KWD"])
def test_currencies_of_no_and_of_three_decimals_sum_too(tmp_path: Path, currency: str) -> None:
    desk = new_desk(tmp_path, currency=currency)
    opening = SITE["opening-stock"].replace(".00,b", ",b").replace(".00\n", "\n")
    for kind, text in {**SITE, "opening-stock": opening}.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA", today="2027-02-01")
    desk.ok("finish C1 --as-kit --extra KNIFE 1 --by NU -y")
    standard, used, price, usage, mix = case(desk, "C1")
    assert price + usage + mix == used - standard
    assert usage == {"JPY": 34, "KWD": 33334}[currency]


@pytest.mark.parametrize(
    "words", ["C1 --variance", "--month 2027-03 --variance --method fifo",
              "--month 2027-03 --variance --movements"],
)  # fmt: skip
def test_what_does_not_go_together_is_refused(worked: Desk, words: str) -> None:
    assert "--variance looks at the cases of a period" in worked.refused(f"cost {words}", 2)
