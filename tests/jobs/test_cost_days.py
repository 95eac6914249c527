"""What days of every kind cost: cases, common use and waste sum to all that ended."""

import json
import shutil
from pathlib import Path

import pytest
from desk import Desk, small_site
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.proven import proven

KITS = """procedure,category,line,kind,item,quantity,requirement,first_day
PHACO,paid,1,lens,,1,,2027-02-15
PHACO,paid,2,always,KNIFE,1,,2027-02-15
PHACO,paid,3,when,DYE,1,dye,2027-02-15
PHACO,paid,4,per-list,IODINE,5.0,,2027-02-15
PHACO,paid,5,per-list,VISC-B,1,,2027-02-15
PHACO,free,1,lens,,1,,2027-02-15
PHACO,free,2,always,KNIFE,1,,2027-02-15
PHACO,free,3,per-list,VISC,1,,2027-02-15
"""
CASES = ("C1", "C2", "C3")
MARCH, APRIL = "2027-03-31", "2027-04-02"


def with_common_use(folder: Path) -> Desk:
    desk = small_site(folder)
    desk.ok(f"import kits {desk.file('k.csv', KITS)} --by MA -y")
    return desk


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    return with_common_use(tmp_path)


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory, moved_in: object) -> Desk:
    return with_common_use(tmp_path_factory.mktemp("common"))


def by_category(desk: Desk, month: str) -> dict[str, dict[str, int]]:
    rows = json.loads(desk.ok(f"cost --month {month} --json"))["cost"]["rows"]
    return {row["category"]: row for row in rows}


def ended(desk: Desk, month: str) -> int:
    """What the movements booked in a month brought to used and waste, in minor units."""
    rows = desk.rows(
        "SELECT SUM(value * ((to_place GLOB 'used/*' OR to_place GLOB 'waste/*') "
        "- (from_place GLOB 'used/*' OR from_place GLOB 'waste/*'))) FROM movement "
        "JOIN entry ON number = entry WHERE booked_on GLOB ?",
        f"{month}-*",
    )
    return int(rows[0][0] or 0)


def sums_up(desk: Desk, month: str) -> None:
    found = by_category(desk, month)
    assert sum(row["total_minor"] for row in found.values()) == ended(desk, month)
    assert sum(row["list_share_minor"] for row in found.values()) == 0
    assert found["common"]["cases"] == 0
    for row in found.values():
        parts = (row["used_minor"], row["wasted_minor"], row["earlier_cases_minor"])
        assert sum(parts) == row["total_minor"]


def each_case_sums_up(desk: Desk) -> None:
    """What each case and the list itself cost is what ended in both months together."""
    whole = 0
    for code in (*CASES, "L1"):
        answer = desk.run(f"cost {code} --json")
        if answer.code == 0:
            whole += sum(row["value_minor"] for row in json.loads(answer.out)["case_cost"]["rows"])
    assert whole == ended(desk, "2027-03") + ended(desk, "2027-04")


acts = st.one_of(
    st.tuples(st.sampled_from(("issue {}", "finish {} --as-kit", "case cancel {} --all-opened",
                               "case cancel {}", "case cancel {} --wasted KNIFE 1 cancelled",
                               "case change {} --again",
                               "finish {} --as-kit --wasted KNIFE 1 dropped",
                               "case change {} --category free --reason payer-changed",
                               "case change {} --category paid --reason payer-changed")),
              st.sampled_from(CASES)),
    st.tuples(st.sampled_from(("issue --list L1", "finish --list L1 --as-kit",
                               "finish L1 --as-kit --wasted IODINE 1 dropped")), st.just("")),
)  # fmt: skip


@settings(
    max_examples=20,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.lists(acts, min_size=2, max_size=10), st.lists(acts, max_size=6))
def test_whatever_happened_a_period_sums_up_and_a_later_month_leaves_it_alone(
    ready: Desk, tmp_path_factory: pytest.TempPathFactory, march: list, april: list
) -> None:
    folder = tmp_path_factory.mktemp("days") / "desk"
    shutil.copytree(ready.folder, folder)
    desk = Desk(folder, today=MARCH)
    for words, case in march:
        assert desk.run(f"{words.format(case)} --by NU").code in (0, 2, 3)
    sums_up(desk, "2027-03")
    before = by_category(desk, "2027-03")
    desk.today = APRIL
    for words, case in april:
        assert desk.run(f"{words.format(case)} --by NU").code in (0, 2, 3)
    for month in ("2027-03", "2027-04"):
        sums_up(desk, month)
    assert by_category(desk, "2027-03") == before
    each_case_sums_up(desk)
    proven(desk)
    shutil.rmtree(folder.parent)


# One by one


def test_a_case_cancelled_after_opening_is_waste_of_its_category_and_no_case(site: Desk) -> None:
    """C1's knife (33.33) was opened; its lens went back."""
    site.ok("issue C1 --by NU")
    site.ok("case cancel C1 --wasted KNIFE 1 cancelled --by NU")
    paid = by_category(site, "2027-03")["paid"]
    assert (paid["cases"], paid["used_minor"], paid["wasted_minor"]) == (0, 0, 3333)
    proven(site)


def test_waste_before_a_cancellation_stays_waste_when_the_case_is_used_later(site: Desk) -> None:
    site.ok("issue C1 --by NU")
    site.ok("case cancel C1 --wasted KNIFE 1 cancelled --by NU")
    site.ok("case change C1 --again --by NU", today=APRIL)
    site.ok("finish C1 --as-kit --by NU", today=APRIL)
    march, april = (by_category(site, month)["paid"] for month in ("2027-03", "2027-04"))
    assert (march["cases"], march["wasted_minor"], march["earlier_cases_minor"]) == (0, 3333, 0)
    assert (april["cases"], april["used_minor"]) == (1, 240000 + 3334)


def test_cancelled_cases_do_not_share_the_list_s_common_use(site: Desk) -> None:
    """Iodine 10.00, VISC-B 50.00 and VISC 100.00 for the list; C1 is cancelled after opening."""
    site.ok("issue --list L1 --by NU")
    site.ok("case cancel C1 --all-opened --by NU")
    site.ok("finish --list L1 --as-kit --by NU")
    found = by_category(site, "2027-03")
    whole = found["common"]["total_minor"]
    assert whole == 1000 + 5000 + 10000
    shares = {name: row["list_share_minor"] for name, row in found.items()}
    assert shares == {"free": whole // 2 + whole % 2, "paid": whole // 2, "common": -whole}
    assert "shared by cases (2)" in site.ok("cost C2")
    assert "shared by" not in site.ok("cost C1")


def test_a_category_corrected_in_a_later_month_leaves_the_shares_as_shown(site: Desk) -> None:
    site.ok("issue --list L1 --by NU")
    site.ok("finish --list L1 --as-kit --by NU")
    before = by_category(site, "2027-03")
    site.ok("case change C2 --category free --reason payer-changed --by NU", today=APRIL)
    assert by_category(site, "2027-03") == before
    april = by_category(site, "2027-04")
    assert {row["list_share_minor"] for row in april.values()} == {0}
    assert april["free"]["earlier_cases_minor"] == -april["paid"]["earlier_cases_minor"] > 0


def test_a_category_corrected_in_the_same_month_takes_its_share_along(site: Desk) -> None:
    site.ok("issue --list L1 --by NU")
    site.ok("finish --list L1 --as-kit --by NU")
    site.ok("case change C2 --category free --reason payer-changed --by NU")
    found = by_category(site, "2027-03")
    whole = found["common"]["total_minor"]
    assert 2 * whole // 3 <= found["free"]["list_share_minor"] <= 2 * whole // 3 + 1
    assert found["free"]["cases"] == 2
