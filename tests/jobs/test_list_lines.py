"""What a list uses in common: issued once with its first case, finished with the list, shared."""

import json
from pathlib import Path

import pytest
from desk import Desk, small_site
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.list_shares import by_category, parts_of, shared, shares_of

KITS = """procedure,category,kind,item,quantity,requirement,first_day
PHACO,paid,lens,,1,,2027-02-15
PHACO,paid,per-list,VISC,1,,2027-02-15
PHACO,paid,when,DYE,1,dye,2027-02-15
PHACO,paid,per-list,IODINE,10.0,,2027-02-15
PHACO,free,lens,,1,,2027-02-15
PHACO,free,per-list,VISC,2,,2027-02-15
"""


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    desk = small_site(tmp_path)
    desk.ok(f"import kits {desk.file('k.csv', KITS)} --by MA -y")
    return desk


def has(site: Desk, case: str, kind: str) -> dict[str, int]:
    rows = site.rows(
        "SELECT item, SUM(case_balance.quantity) FROM case_balance JOIN lot ON lot.code = lot "
        "JOIN place ON place.code = place WHERE case_code = ? AND place.kind = ? GROUP BY item",
        case, kind,
    )  # fmt: skip
    return dict(rows)


def holds(site: Desk) -> None:
    assert "The book is sound" in site.ok("book verify")
    assert "The proof holds." in site.ok("cost --month 2027-03")


def test_the_list_s_lines_are_issued_once_with_its_first_case(site: Desk) -> None:
    said = site.ok("issue C2 --by NU")
    assert "Once for list L1" in said
    assert said.count("Recorded as entry") == 2
    assert has(site, "L1", "trolley") == {"VISC": 2, "IODINE": 100}
    assert has(site, "C2", "trolley") == {"RINGL+21.00": 1, "DYE": 1}
    assert "Once for list" not in site.ok("issue C1 --by NU")
    assert has(site, "L1", "trolley") == {"VISC": 2, "IODINE": 100}
    assert site.rows("SELECT kind, category, list FROM theatre_case WHERE code = 'L1'") == [
        ("list", None, "L1")
    ]


def test_of_each_item_the_list_takes_the_most_that_a_kit_of_it_says(site: Desk) -> None:
    site.ok("issue C3 --by NU")
    assert has(site, "L1", "trolley")["VISC"] == 2


def test_a_whole_list_s_issue_begins_with_what_it_uses_in_common(site: Desk) -> None:
    said = site.ok("issue --list L1 --by NU")
    assert said.splitlines()[3].startswith("L1: used in common by the list, 2 items")
    keys = site.rows("SELECT request_key FROM entry ORDER BY number DESC LIMIT 4")
    assert [key for (key,) in keys] == [
        "issue/C3/0", "issue/C2/0", "issue/C1/0", "issue/L1/0",
    ]  # fmt: skip


def test_common_lines_that_are_missing_stop_the_whole_issue(site: Desk) -> None:
    site.ok("move IODINE 15 --from OT1 --to QUAR --by KE --reason set-aside")
    said = site.refused("issue C1 --by NU", 3)
    assert "IODINE" in said
    site.ok("issue C1 --partial --by NU")
    assert has(site, "L1", "trolley") == {"VISC": 2, "IODINE": 55}


def test_the_list_s_finish_ends_its_common_lines_as_common(site: Desk) -> None:
    site.ok("issue --list L1 --by NU")
    site.ok("finish --list L1 --as-kit --by NU")
    assert has(site, "L1", "used") == {"VISC": 2, "IODINE": 100}
    places = site.rows("SELECT DISTINCT place FROM case_balance WHERE case_code = 'L1'")
    assert places == [("used/common",)]
    assert site.rows("SELECT * FROM on_hand WHERE place LIKE 'trolley/%'") == []
    holds(site)


def test_a_list_with_a_case_left_open_keeps_its_common_lines_open(site: Desk) -> None:
    site.ok("issue --list L1 --by NU")
    site.ok("finish --list L1 --leave C3 --as-kit --by NU")
    assert has(site, "L1", "trolley") == {"VISC": 2, "IODINE": 100}
    assert "L1" in site.ok("today --role nurse")
    site.ok("finish C3 --as-kit --by NU")
    site.ok("finish --list L1 --as-kit --by NU")
    assert has(site, "L1", "trolley") == {}
    assert "finished already" in site.refused("finish --list L1 --as-kit --by NU", 3)
    holds(site)


def test_the_list_s_own_case_is_finished_by_itself_too(site: Desk) -> None:
    site.ok("issue C1 --by NU")
    said = site.ok("finish L1 --as-kit --returned IODINE 5 --wasted VISC 1 dropped --by NU")
    assert "used in common by the list" in said
    assert has(site, "L1", "used") == {"VISC": 1, "IODINE": 50}
    assert has(site, "L1", "waste") == {"VISC": 1}
    assert site.rows("SELECT place FROM case_balance WHERE case_code = 'L1' AND place LIKE 'w%'")[
        0
    ] == ("waste/common",)
    site.ok("finish C1 --as-kit --by NU")
    holds(site)


def test_a_case_finished_without_an_issue_brings_the_common_lines_along(site: Desk) -> None:
    said = site.ok("finish C1 --as-kit --by NU")
    assert said.count("Recorded as entry") == 3
    assert has(site, "L1", "trolley") == {"VISC": 2, "IODINE": 100}


def test_a_reversed_common_issue_is_done_again_with_the_next_case(site: Desk) -> None:
    site.ok("issue C1 --by NU")
    number = site.last()[0] - 1
    site.ok(f"reverse {number} --reason typing-error --by NU")
    assert has(site, "L1", "trolley") == {}
    site.ok("issue C2 --by NU")
    assert has(site, "L1", "trolley") == {"VISC": 2, "IODINE": 100}
    site.ok("finish --list L1 --as-kit --by NU")
    holds(site)


def test_a_list_file_given_again_does_not_miss_the_list_s_own_case(site: Desk) -> None:
    site.ok("issue C1 --by NU")
    said = site.ok("import lists lists.csv --by MA")
    assert "all known already" in said


def test_a_case_that_bears_its_list_s_code_is_refused_in_words(site: Desk) -> None:
    text = (
        "list,day,theatre,case,position,patient,eye,procedure,category,lens_model,power\n"
        "X1,2027-03-01,OT1,X1,1,P-8,left,PHACO,paid,RINGL,+21.00\n"
    )
    site.ok(f"import lists {site.file('x.csv', text)} --by MA")
    assert "bears the same code" in site.refused("issue X1 --by NU", 3)


def test_a_theatre_filled_for_its_next_list_has_the_common_lines_too(site: Desk) -> None:
    levels = "place,item,lists\nOT1,VISC,1\n"
    site.ok(f"import levels {site.file('l.csv', levels)} --by MA")
    site.ok("move --fill OT1 --by KE -y")
    assert sum(site.on_hand("VISC", "OT1").values()) == 2


# Shared in reports


def finished(site: Desk) -> None:
    site.ok("issue --list L1 --by NU")
    site.ok("finish --list L1 --as-kit --by NU")


def test_a_case_shows_its_part_beside_its_own_lines(site: Desk) -> None:
    finished(site)
    parts = []
    for case in ("C1", "C2", "C3"):
        data = json.loads(site.ok(f"cost {case} --json"))["case_cost"]
        parts.append(int(data["list_share_minor"]))
        assert "shared by cases (3)" in site.ok(f"cost {case}")
    whole = site.rows("SELECT SUM(value) FROM case_balance WHERE case_code = 'L1'")[0][0]
    assert sum(parts) == whole
    assert max(parts) - min(parts) <= 1
    assert "used in common by its list" in site.ok("cost L1")


def test_a_period_gives_the_common_use_to_the_categories_exactly(site: Desk) -> None:
    finished(site)
    rows = json.loads(site.ok("cost --month 2027-03 --json"))["cost"]["rows"]
    share = {row["category"]: row["list_share_minor"] for row in rows}
    common = next(row for row in rows if row["category"] == "common")
    assert sum(share.values()) == 0
    assert share["common"] == -common["total_minor"]
    assert common["cases"] == 0
    page = site.ok("cost --month 2027-03")
    assert "Part of lists' common use, by cases" in page
    assert "The proof holds." in page


def test_without_common_use_nothing_is_shared(site: Desk) -> None:
    assert "Part of lists'" not in site.ok("cost --month 2027-02")


def test_the_key_is_a_setting_of_the_site(site: Desk) -> None:
    assert "cases" in site.ok("book settings list_share")
    assert "wanted one of: cases" in site.refused("book settings list_share minutes --by MA", 2)


@given(st.integers(0, 10**9), st.integers(1, 70))
def test_parts_sum_to_the_whole_and_differ_by_one_at_most(whole: int, count: int) -> None:
    parts = shared(whole, [f"C{n}" for n in range(count)])
    assert sum(parts.values()) == whole
    assert max(parts.values()) - min(parts.values()) <= 1


def test_what_no_case_shares_stays_common() -> None:
    assert parts_of({"L1": 100}, {"L1": []}) == []
    parts = parts_of({"L1": 100}, {"L1": [("C1", "free"), ("C2", "paid"), ("C3", "free")]})
    assert shares_of(parts, by_category) == {"free": 66, "paid": 34}
