"""Which kit a case gets: the version of its list's day, a base for any, the differences."""

from pathlib import Path

import pytest
from desk import Desk, small_site

HEADER = "procedure,category,surgeon,line,kind,item,quantity,requirement,first_day\n"


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    return small_site(tmp_path)


def kits(site: Desk, *rows: str) -> None:
    text = HEADER + "".join(f"{row}\n" for row in rows)
    site.ok(f"import kits {site.file('k.csv', text)} --by MA -y")


def drawn(site: Desk, case: str) -> dict[str, int]:
    site.ok(f"issue {case} --partial --by NU")
    rows = site.rows(
        "SELECT item, SUM(movement.quantity) FROM movement JOIN lot ON lot.code = lot "
        "WHERE case_code = ? GROUP BY item",
        case,
    )
    return dict(rows)


def holds(site: Desk) -> None:
    assert "The book is sound" in site.ok("book verify")
    assert "The proof holds." in site.ok("cost --month 2027-03")


@pytest.mark.parametrize(
    ("first_day", "holds_already"),
    [("2027-02-28", True), ("2027-03-01", True), ("2027-03-02", False)],
)
def test_a_version_holds_from_its_first_day_on(
    site: Desk, first_day: str, *, holds_already: bool
) -> None:
    kits(site, f"PHACO,free,,1,always,DYE,1,,{first_day}")
    assert ("DYE" in drawn(site, "C3")) is holds_already
    holds(site)


def test_the_latest_version_that_has_begun_is_the_one_in_force(site: Desk) -> None:
    kits(
        site, "PHACO,free,,1,always,DYE,1,,2027-02-01", "PHACO,free,,1,always,VISC,1,,2027-02-20",
        "PHACO,free,,1,always,OPIATE,1,,2027-03-05",
    )  # fmt: skip
    assert drawn(site, "C3") == {"VISC": 1}


def test_a_kit_that_begins_only_later_is_none_on_an_earlier_day(site: Desk) -> None:
    kits(site, "SICS,free,,1,always,DYE,1,,2027-03-02")
    row = "L3,2027-03-01,OT1,day,C9,1,P-9,left,SICS,free\n"
    text = "list,day,theatre,part,case,position,patient,eye,procedure,category\n" + row
    site.ok(f"import lists {site.file('l.csv', text)} --by MA -y")
    assert "no kit SICS/free on 2027-03-01" in site.refused("issue C9 --by NU", 3)


def test_a_category_s_kit_holds_only_differences_where_there_is_a_base_for_any(site: Desk) -> None:
    kits(
        site, "PHACO,any,,1,always,VISC,2,,2027-02-15", "PHACO,any,,2,always,OPIATE,1,,2027-02-15",
        "PHACO,free,,1,always,VISC,1,,2027-02-15", "PHACO,free,,2,always,OPIATE,0,,2027-02-15",
        "PHACO,free,,3,always,DYE,1,,2027-02-15",
    )  # fmt: skip
    assert drawn(site, "C3") == {"VISC": 1, "DYE": 1}
    holds(site)


def test_a_base_for_any_serves_a_category_without_differences(site: Desk) -> None:
    kits(site, "SICS,any,,1,always,DYE,1,,")
    row = "L3,2027-03-01,OT1,day,C9,1,P-9,left,SICS,free\n"
    text = "list,day,theatre,part,case,position,patient,eye,procedure,category\n" + row
    site.ok(f"import lists {site.file('l.csv', text)} --by MA -y")
    assert drawn(site, "C9") == {"DYE": 1}


def test_a_surgeon_s_differences_for_any_category_apply_and_the_closer_ones_last(
    site: Desk,
) -> None:
    kits(
        site, "PHACO,any,SB,1,always,CASS,0,,", "PHACO,any,SB,2,always,OPIATE,2,,",
        "PHACO,paid,SB,1,always,KNIFE,0,,", "PHACO,paid,SB,2,always,OPIATE,1,,",
    )  # fmt: skip
    found = drawn(site, "C4")
    assert found["OPIATE"] == 1
    assert not found.keys() & {"CASS", "KNIFE"}


def test_quantity_nothing_is_for_differences_alone(site: Desk) -> None:
    text = HEADER + "SICS,free,,1,always,DYE,0,,\n"
    said = site.refused(f"import kits {site.file('k.csv', text)} --by MA -y", 2)
    assert "above zero" in site.run(f"import kits {site.file('k.csv', text)} --by MA -y").err
    assert "nothing was taken" in said


def test_any_is_no_category_of_a_site(site: Desk) -> None:
    text = "category,name\nany,Anybody\n"
    assert "any is kept" in site.refused(f"import categories {site.file('c.csv', text)} --by MA", 2)


def test_a_file_with_a_later_version_leaves_the_earlier_one(site: Desk) -> None:
    kits(site, "PHACO,free,,1,always,DYE,1,,2027-03-02")
    assert site.rows("SELECT code, first_day FROM kit WHERE code LIKE 'PHACO/free%'") == [
        ("PHACO/free", None), ("PHACO/free@2027-03-02", "2027-03-02"),
    ]  # fmt: skip
