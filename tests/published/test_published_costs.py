"""Published shares of cost: the cost page prints what the table has, beside the site's own."""

import json
from fractions import Fraction

import pytest
from desk import Desk
from hypothesis import given
from hypothesis import strategies as st

from published.tables import records
from stockbook.domain.published_costs import FULL, MAIN, PUBLISHED, main_share


def rows_of(source: str) -> list[dict[str, str]]:
    return [one for one in records("trade_facts.csv") if one["source"] == source]


@pytest.mark.parametrize("one", PUBLISHED, ids=lambda one: one.source)
def test_a_range_is_that_of_the_rows_with_its_source(one: object) -> None:
    rows = rows_of(one.source)  # type: ignore[attr-defined]
    values = [Fraction(row["value"]) * 10 for row in rows]
    assert (one.least, one.most) == (min(values), max(values))  # type: ignore[attr-defined]
    assert all(row["unit"].startswith("%") for row in rows)


def test_a_share_that_a_row_counts_out_is_the_rounded_quotient() -> None:
    for row in rows_of(PUBLISHED[0].source):
        part, whole = row["fact"].rpartition("(")[2].rstrip(")").split(" of ")
        assert round(Fraction(int(part), int(whole)) * 100) == int(row["value"])


def test_the_currency_and_year_are_those_of_the_rows() -> None:
    for one in PUBLISHED:
        for row in rows_of(one.source):
            words = row["unit"].removeprefix("%").strip(" ()").split()
            assert all(word in one.where for word in words)


def test_the_cost_page_sets_the_site_s_own_share_beside(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    page = desk.ok("cost")
    data = json.loads(desk.ok("cost --json"))
    used: dict[str, int] = {}
    for row in data["cost_by_class"]["rows"]:
        used[row["class"]] = used.get(row["class"], 0) + row["used_minor"]
    share = round(Fraction(1000 * (used["lens"] + used["viscoelastic"]), sum(used.values())))
    shown = [r for r in data["published_shares"]["rows"] if r["figure"] == MAIN]
    assert [row["here_thousandths"] for row in shown] == [share]
    assert f"{share // 10}.{share % 10} % (lens, viscoelastic)" in page
    for words in ("24 to 37 %", "34.4 %", "85 %", "USD of 2010", "never as pass or fail"):
        assert words in page
    assert page.count("unknown: overhead is not known of every case") == 2
    assert [r["here_thousandths"] for r in data["published_shares"]["rows"]][:2] == [None, None]
    assert "published" not in desk.ok("cost --csv").lower()


def test_with_a_rate_of_overhead_supplies_have_a_share_of_the_whole_cost(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    rate = "case 10000.00"
    desk.ok(["book", "settings", "overhead", rate, "--on", "2027-03-01", "--by", "FI", "-y"])
    data = json.loads(desk.ok("cost --json"))
    direct = sum(r["used_minor"] + r["wasted_minor"] for r in data["cost"]["rows"])
    share = round(Fraction(1000 * direct, direct + 1_000_000))
    assert [r["here_thousandths"] for r in data["published_shares"]["rows"]][:2] == [share, share]
    assert f"{share // 10}.{share % 10} %" in desk.ok("cost")


def test_the_site_says_which_classes_count(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok(["book", "settings", "main_supplies", "viscoelastic,blades , lens", "--by", "MA"])
    assert "(blades, lens, viscoelastic)" in desk.ok("cost")
    assert "no such class was used" in desk.ok("cost --month 2027-02")
    desk.refused(["book", "settings", "main_supplies", "lens,,dye", "--by", "MA"], 2)


@given(st.tuples(*[st.integers(0, 10**9)] * 5), st.tuples(*[st.booleans()] * 5))
def test_the_own_share_lies_between_nothing_and_all(
    values: tuple[int, ...], counted: tuple[bool, ...]
) -> None:
    used = {name: value for name, value in zip("abcde", values, strict=True) if value}
    classes = {name for name, counts in zip("abcde", counted, strict=True) if counts}
    found = main_share(used, classes)
    if found is None:
        assert sum(used.values()) == 0 or not used.keys() & classes
    else:
        assert 0 <= found.thousandths <= 1000
        rest = main_share(used, set("abcde") - classes)
        other = rest.thousandths if rest else 0
        assert abs(found.thousandths + other - 1000) <= 1
        assert set(found.classes) == used.keys() & classes


def test_what_the_full_cost_would_be_is_not_guessed() -> None:
    assert {one.what for one in PUBLISHED} == {FULL, MAIN}
