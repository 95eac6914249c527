"""What a period's cases cost by group, tied to the page by category, and at the same mix."""

import json
import statistics
from fractions import Fraction

import pytest
from desk import Desk
from hypothesis import given
from hypothesis import strategies as st

from jobs.pages import line_with
from stockbook.domain.cost_groups import CaseSum, groups_of, quartile, standardised

WAYS = ("category", "sponsor", "procedure", "lens", "surgeon", "theatre", "month")


@pytest.fixture
def worked(desk: Desk) -> Desk:
    desk.ok("finish C1 --as-kit --wasted VISC 1 dropped --by NU -y")
    desk.ok("finish C2 --as-kit --by NU -y")
    desk.ok("finish C3 --as-kit --by NU -y")
    return desk


def groups(desk: Desk, way: str, more: str = "--month 2027-03") -> dict[str, dict]:
    rows = json.loads(desk.ok(f"cost {more} --per {way} --json"))["cost_by_group"]["rows"]
    return {row["group"]: row for row in rows}


@pytest.mark.parametrize("way", WAYS)
def test_every_way_of_grouping_sums_to_the_page_by_category(worked: Desk, way: str) -> None:
    found = groups(worked, way)
    everything = found.pop("all")
    page = json.loads(worked.ok("cost --month 2027-03 --json"))["cost"]["rows"]
    patients = [row for row in page if row["category"] != "common"]
    assert everything["used_minor"] == sum(row["used_minor"] for row in patients)
    assert everything["wasted_minor"] == sum(row["wasted_minor"] for row in patients)
    assert everything["cases"] == sum(row["cases"] for row in patients) == 3
    for name in ("used_minor", "wasted_minor", "cases"):
        assert sum(row[name] for row in found.values()) == everything[name]


def test_groups_are_named_and_stand_by_name(worked: Desk) -> None:
    assert list(groups(worked, "category")) == ["free", "paid", "all"]
    assert list(groups(worked, "sponsor")) == ["(none)", "CAMP", "all"]
    assert list(groups(worked, "surgeon")) == ["SA", "all"]
    assert list(groups(worked, "lens")) == ["FLATL", "RINGL", "all"]
    assert list(groups(worked, "month")) == ["2027-03", "all"]
    page = worked.ok("cost --month 2027-03 --per category")
    assert "Fewer than 10 cases, to be read with care: free, paid." in page
    assert line_with(page, "free").startswith("free 1 ")


def test_a_category_corrected_later_moves_the_case(worked: Desk) -> None:
    worked.ok("case change C2 --category free --reason payer-changed --by NU")
    found = groups(worked, "category")
    assert (found["free"]["cases"], found["paid"]["cases"]) == (2, 1)


def test_the_past_is_shown_as_it_was(worked: Desk) -> None:
    before, entry = worked.ok("cost --month 2027-03 --per category"), worked.last()[0]
    worked.ok("case change C2 --category free --reason payer-changed --by NU")
    then = worked.ok(f"cost --month 2027-03 --per category --as-of-entry {entry}")
    assert then == before


def test_a_period_without_cases_says_so(worked: Desk) -> None:
    assert "No case was first used in this period" in worked.ok("cost --month 2027-01 --per lens")


@pytest.mark.parametrize(
    ("words", "said"),
    [("--per weather", "wanted"), ("C1 --per lens", "no CASE"), ("--per lens --method fifo", "no")],
)
def test_what_cannot_be_grouped_is_refused(worked: Desk, words: str, said: str) -> None:
    assert said in worked.refused(f"cost {words}", 2)


# As rules


@given(st.lists(st.integers(0, 10**7), min_size=2, max_size=40))
def test_quartiles_are_those_of_the_standard_library(values: list[int]) -> None:
    wanted = statistics.quantiles([Fraction(value) for value in values], n=4, method="inclusive")
    found = [quartile(values, n) for n in (1, 2, 3)]
    assert all(
        abs(ours - theirs) <= Fraction(1, 2) for ours, theirs in zip(found, wanted, strict=True)
    )


sums = st.lists(
    st.tuples(st.sampled_from("ab"), st.sampled_from("PQR"), st.integers(0, 10**6)),
    min_size=1, max_size=30,
).map(
    lambda rows: [CaseSum(str(n), g, mix, {"x": used}, 0) for n, (g, mix, used) in enumerate(rows)]
)  # fmt: skip


@given(sums)
def test_all_cases_at_their_own_mix_cost_their_mean_and_groups_sum_to_all(
    made: list[CaseSum],
) -> None:
    groups_found, everything = groups_of(made)
    assert everything.same_mix == everything.mean
    assert everything.covered == 1000
    assert sum(one.used for one in groups_found) == everything.used
    assert sum(one.cases for one in groups_found) == everything.cases == len(made)


@given(sums, st.integers(1, 10**6))
def test_a_group_dearer_by_as_much_in_everything_is_dearer_by_that_at_the_same_mix(
    made: list[CaseSum], more: int
) -> None:
    """Whatever the mixes are: free looks cheaper only because its mix differs."""
    whole = {mix: sum(one.mix == mix for one in made) for mix in "PQR"}
    dearer = [CaseSum(s.case, s.group, s.mix, {"x": s.used + more}, 0) for s in made]
    plain, found = standardised(made, whole)[0], standardised(dearer, whole)[0]
    assert plain is not None
    assert found is not None
    assert abs(found - plain - more) <= 1
