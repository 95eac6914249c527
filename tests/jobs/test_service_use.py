"""The ward, the clinic, the wet lab: what they use is used in common, on a case of their own."""

from pathlib import Path

import pytest
from desk import Desk, small_site


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    return small_site(tmp_path)


def holds(site: Desk) -> None:
    assert "The book is sound" in site.ok("book verify")
    assert "The proof holds." in site.ok("cost --month 2027-03")


def test_a_service_s_use_ends_as_common_in_one_entry(site: Desk) -> None:
    said = site.ok("issue --service ward --extra VISC 2 --extra DYE 1 --by NU")
    assert "For ward, used in common: WARD-20270301-1" in said
    rows = site.rows(
        "SELECT item, from_place, to_place, movement.quantity, case_code FROM movement "
        "JOIN lot ON lot.code = lot WHERE entry = ? ORDER BY line",
        site.last()[0],
    )
    assert rows == [
        ("VISC", "STORE", "used/common", 2, "WARD-20270301-1"),
        ("DYE", "STORE", "used/common", 1, "WARD-20270301-1"),
    ]
    holds(site)


def test_each_use_has_the_next_case_of_its_service_and_day(site: Desk) -> None:
    for number in (1, 2):
        said = site.ok("issue --service wet-lab --extra VISC 1 --by NU")
        assert f"WET-LAB-20270301-{number}" in said


def test_the_cost_shows_it_under_common_by_service(site: Desk) -> None:
    site.ok("issue --service ward --extra VISC 2 --by NU")
    site.ok("issue --service clinic --extra VISC 1 --by NU")
    page = site.ok("cost --month 2027-03")
    ward = next(line for line in page.splitlines() if line.startswith("of it for ward"))
    assert ward.split()[-1] == "200.00"
    assert "of it for clinic" in page
    assert "used in common by the service ward" in site.ok("cost WARD-20270301-1")
    assert "WARD-20270301-1" in site.ok("trace WARD-20270301-1")


def test_a_named_lot_is_seen(site: Desk) -> None:
    site.ok("issue --service ward --extra VISC 1 --lot VISC V3 --by NU")
    assert site.on_hand("VISC", "STORE")[("STORE", "V3")] == 4


def test_it_is_undone_by_a_reversal(site: Desk) -> None:
    before = site.on_hand("VISC")
    site.ok("issue --service ward --extra VISC 2 --by NU")
    site.ok(f"reverse {site.last()[0]} --reason typing-error --by NU")
    assert site.on_hand("VISC") == before
    holds(site)


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("issue --service ward --by NU", 2, "nothing to issue"),
        ("issue --service ward --extra VISC 99 --by NU", 3, "cannot be served"),
        ("issue --service Ward/2 --extra VISC 1 --by NU", 2, "one lower-case word"),
        ("issue --service ward --list L1 --by NU", 2, "--service WORD"),
        ("issue --service ward --extra VISC 1 --partial --by NU", 2, "goes with --extra"),
        ("issue --service ward --extra VISC 1 --by KE", 3, "nurse"),
    ],
)
def test_a_wrong_service_use_is_refused(site: Desk, line: str, code: int, said: str) -> None:
    assert said in site.refused(line, code)
