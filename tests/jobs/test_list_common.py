"""A list's own case beside the cases on it: shown, never gone, moved with care, cancelled."""

from pathlib import Path

import pytest
from desk import LIST_KITS, LISTS, Desk, small_site

from jobs.pages import line_with
from jobs.proven import on_trolleys, proven


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    desk = small_site(tmp_path)
    desk.ok(f"import kits {desk.file('k.csv', LIST_KITS)} --by MA -y")
    return desk


@pytest.fixture
def issued(site: Desk) -> Desk:
    site.ok("issue C1 --by NU")
    return site


def common(site: Desk) -> dict[str, int]:
    """What the list's own case has, by place and item."""
    rows = site.rows(
        "SELECT place || ' ' || item, SUM(case_balance.quantity) FROM case_balance "
        "JOIN lot ON lot.code = lot WHERE case_code = 'L1' GROUP BY 1"
    )
    return dict(rows)


def test_the_list_shows_where_its_common_use_stands_and_counts_it_nowhere(site: Desk) -> None:
    assert "in common" not in site.ok("list show L1")
    site.ok("issue C1 --by NU")
    assert "Used in common by the list: issued." in site.ok("list show L1")
    assert line_with(site.ok("list show"), "L1") == "L1 2027-03-01 OT1 morning 2 1 0 0"
    site.ok("finish L1 --as-kit --by NU")
    assert "Used in common by the list: finished." in site.ok("list show L1")


def test_a_list_s_file_never_misses_its_own_case(issued: Desk) -> None:
    fewer = "".join(f"{row}\n" for row in LISTS.splitlines() if ",C2," not in row)
    said = issued.ok(f"list take {issued.file('f.csv', fewer)} --by NU -y")
    assert "1 gone" in said
    assert "L1" not in [line.split()[1] for line in said.splitlines() if line.startswith("gone")]
    assert common(issued) == {"trolley/OT1 IODINE": 50, "trolley/OT1 VISC": 2}
    proven(issued)


def test_no_case_takes_the_code_of_a_list_s_or_a_service_s_use(issued: Desk) -> None:
    issued.ok("issue --service ward --extra VISC 1 --by NU")
    for code in ("L1", "WARD-20270301-1"):
        text = LISTS.replace(",C3,", f",{code},")
        said = issued.refused(f"list take {issued.file('x.csv', text)} --by NU -y", 2)
        assert f"{code} is common use of a" in said
        issued.refused(f"import lists {issued.file('x.csv', text)} --by MA -y", 2)


def test_a_list_does_not_leave_the_theatre_where_its_common_use_lies(issued: Desk) -> None:
    issued.ok("case cancel C1 --by NU")
    said = issued.refused("list change L1 --theatre OT2 --by NU", 3)
    assert "kits lie on the trolley of OT1 (its common use)" in said
    issued.ok("list change L1 --day 2027-03-02 --by NU")
    issued.ok("case cancel L1 --by NU")
    issued.ok("list change L1 --theatre OT2 --by NU")
    assert on_trolleys(issued) == []
    proven(issued)


def test_common_use_that_was_cancelled_is_issued_anew_with_the_next_case(issued: Desk) -> None:
    issued.ok("case cancel L1 --wasted IODINE 1 cancelled --by NU")
    assert common(issued) == {"waste/common IODINE": 10}
    issued.ok("issue C2 --by NU")
    assert common(issued) == {
        "waste/common IODINE": 10, "trolley/OT1 IODINE": 50, "trolley/OT1 VISC": 2,
    }  # fmt: skip
    assert issued.rows("SELECT cancelled FROM theatre_case WHERE code = 'L1'") == [(0,)]
    issued.ok("finish --list L1 --as-kit --by NU")
    assert on_trolleys(issued) == []
    proven(issued)


@pytest.mark.parametrize(
    ("line", "left"),
    [
        ("case cancel L1 --by NU", {}),
        ("case cancel L1 --all-opened --by NU", {"waste/common IODINE": 50,
                                                 "waste/common VISC": 2}),
        ("finish L1 --as-kit --by NU", {"used/common IODINE": 50, "used/common VISC": 2}),
        ("finish --list L1 --as-kit --by NU", {"used/common IODINE": 50, "used/common VISC": 2}),
    ],
)  # fmt: skip
def test_when_every_case_is_cancelled_the_common_use_is_told_and_ended(
    issued: Desk, line: str, left: dict
) -> None:
    assert "in common" not in issued.ok("case cancel C2 --by NU")
    assert "in common" not in issued.ok("case cancel C3 --by NU")
    assert "Warning: what list L1 uses in common is still on the trolley" in issued.ok(
        "case cancel C1 --by NU"
    )
    assert "used in common by the list" in line_with(issued.ok("today --role nurse"), "L1")
    issued.ok(line)
    assert common(issued) == left
    assert on_trolleys(issued) == []
    proven(issued)


def test_what_is_used_in_common_has_no_plan(issued: Desk) -> None:
    for line in ("case change L1 --category paid", "case convert L1 PHACO"):
        assert "not an operation" in issued.refused(f"{line} --by NU", 3)


def test_a_finished_common_use_is_corrected_like_a_case(issued: Desk) -> None:
    issued.ok("finish L1 --as-kit --by NU")
    issued.ok("case change L1 --not-used IODINE 2 --reason typed-wrongly --by NU")
    assert common(issued) == {"used/common IODINE": 30, "used/common VISC": 2}
    proven(issued)
