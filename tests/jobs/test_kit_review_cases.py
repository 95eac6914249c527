"""`kit review` of cases that did not go straight: converted, rescued, cancelled, corrected."""

import json
from pathlib import Path

import pytest
from desk import Desk, small_site

from jobs.proven import proven

KITS = """procedure,category,line,kind,item,quantity,requirement
SICS,free,1,always,KNIFE,1,
SICS,free,2,always,VISC,1,
SICS,free,3,standby,VIT,1,rupture
SICS,free,4,per-list,IODINE,5.0,
SICS,paid,1,always,KNIFE,1,
SICS,paid,2,always,VISC,2,
GRAF,free,1,always,KNIFE,1,
GRAF,free,2,always,DYE,1,
GRAF,free,3,always,VISC,2,
"""
HEAD = "list,day,theatre,case,position,patient,eye,procedure,category,surgeon\n"


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    desk = small_site(tmp_path)
    desk.ok(f"import kits {desk.file('k.csv', KITS)} --by MA -y")
    rows = [f"LS,2027-03-01,OT1,S{n},{n},P-{n},left,SICS,free,SA" for n in range(1, 5)]
    rows.append("LS,2027-03-01,OT1,G1,5,P-9,left,GRAF,free,SA")
    desk.ok(f"import lists {desk.file('s.csv', HEAD + chr(10).join(rows))} --by MA")
    return desk


def finished(site: Desk, case: str, *words: str) -> None:
    site.ok(f"finish {case} --as-kit {' '.join(words)} --by NU")


def reviewed(site: Desk, kit: str = "SICS/free") -> dict[str, dict[str, dict]]:
    """The review's lines, extras and waste, each by item."""
    data = json.loads(site.ok(f"kit review {kit} --json"))
    names = {"lines": "items", "extras": "item", "waste": "item"}
    return {
        part: {row[name]: row for row in data[f"kit_review_{part}"]["rows"]}
        for part, name in names.items()
    }


def back(site: Desk, item: str, kit: str = "SICS/free") -> tuple[int, int, int]:
    """Of a line: the cases in which it came back, the cases that drew it, the units."""
    line = reviewed(site, kit)["lines"][item]
    return line["returned"], line["cases"], line["units_back"]


def test_what_stayed_or_was_wasted_of_the_first_kit_is_no_extra_of_the_second(site: Desk) -> None:
    """GRAF has dye and one VISC more; one VISC stays and comes back, the dye is wasted."""
    site.ok("issue G1 --by NU")
    site.ok("case convert G1 SICS --wasted DYE 1 opened-not-used --by NU")
    finished(site, "G1", "--returned VISC 1")
    finished(site, "S1")
    found = reviewed(site)
    assert found["extras"] == {}
    assert back(site, "VISC") == (0, 2, 0)
    assert found["waste"]["DYE"] | {"wasted": 1, "units": 1} == found["waste"]["DYE"]
    assert "No case" in site.ok("kit review GRAF/free")
    proven(site)


def test_what_of_the_second_kit_came_back_counts_in_a_converted_case_too(site: Desk) -> None:
    site.ok("issue G1 --by NU")
    site.ok("case convert G1 SICS --returned VISC 1 --returned DYE 1 --by NU")
    finished(site, "G1", "--returned VISC 1")
    assert back(site, "VISC") == (1, 1, 1)


def test_a_real_extra_of_a_converted_case_is_one(site: Desk) -> None:
    site.ok("case convert G1 SICS --by NU")
    finished(site, "G1", "--extra DYE 1")
    assert reviewed(site)["extras"]["DYE"]["taken"] == 1


def test_a_rescue_s_standby_lines_are_no_extras_and_do_not_come_back_for_the_line(
    site: Desk,
) -> None:
    site.ok("issue S1 --rescue rupture --by NU")
    finished(site, "S1", "--reason capsule-rupture")
    finished(site, "S2")
    assert reviewed(site)["extras"] == {}
    assert set(reviewed(site)["lines"]) == {"KNIFE", "VISC"}
    proven(site)


def test_an_extra_of_an_item_in_the_kit_that_came_back_leaves_the_line_used(site: Desk) -> None:
    site.ok("issue S1 --by NU")
    site.ok("issue S1 --extra VISC 2 --by NU")
    finished(site, "S1", "--returned VISC 2")
    assert back(site, "VISC") == (0, 1, 0)
    site.ok("issue S2 --by NU")
    site.ok("issue S2 --extra VISC 2 --by NU")
    finished(site, "S2", "--returned VISC 3")
    assert back(site, "VISC") == (1, 2, 1)


def test_a_cancelled_case_counts_for_nothing(site: Desk) -> None:
    for case in ("S1", "S2"):
        site.ok(f"issue {case} --by NU")
    site.ok("case cancel S1 --wasted KNIFE 1 cancelled --by NU")
    finished(site, "S2")
    found = reviewed(site)
    assert back(site, "VISC") == (0, 1, 0)
    assert found["waste"] == {}
    assert "1 case finished" in site.ok("kit review SICS/free")


def test_a_case_taken_back_counts_from_then_on(site: Desk) -> None:
    """Its first kit went back and its knife was opened; the second time all was used."""
    site.ok("issue S1 --by NU")
    site.ok("case cancel S1 --wasted KNIFE 1 cancelled --by NU")
    site.ok("case change S1 --again --by NU")
    site.ok("issue S1 --by NU")
    finished(site, "S1", "--returned KNIFE 1")
    found = reviewed(site)
    assert back(site, "VISC") == (0, 1, 0)
    assert back(site, "KNIFE") == (1, 1, 1)
    assert found["waste"] == {}
    proven(site)


def test_a_correction_is_taken_as_if_the_finish_had_said_it(site: Desk) -> None:
    finished(site, "S1")
    finished(site, "S2", "--returned VISC 1")
    site.ok("case change S1 --not-used VISC 1 --used DYE 1 --reason typed-wrongly --by NU")
    site.ok("case change S2 --used VISC 1 --reason typed-wrongly --by NU")
    assert back(site, "VISC") == (1, 2, 1)
    assert reviewed(site)["extras"]["DYE"]["taken"] == 1


def test_a_category_corrected_later_leaves_the_case_with_the_kit_that_it_had(site: Desk) -> None:
    """The free kit's one VISC is not held against the paid kit's two."""
    finished(site, "S1")
    site.ok("case change S1 --category paid --reason payer-changed --by NU")
    assert "1 case finished" in site.ok("kit review SICS/free")
    assert back(site, "VISC") == (0, 1, 0)
    assert reviewed(site)["extras"] == {}
    assert "No case" in site.ok("kit review SICS/paid")


def test_an_exchange_of_lots_is_neither_back_nor_an_extra(site: Desk) -> None:
    """S1's presumed knife was in truth that of S2: the two exchange on the trolley."""
    for case in ("S1", "S2", "S3", "S4"):
        site.ok(f"issue {case} --by NU")
    finished(site, "S1", "--lot KNIFE K2")
    for case in ("S2", "S3", "S4"):
        finished(site, case)
    assert back(site, "KNIFE") == (0, 4, 0)
    assert reviewed(site)["extras"] == {}
    proven(site)


def test_common_and_service_use_belong_to_no_case_s_kit(site: Desk) -> None:
    finished(site, "S1")
    site.ok("finish LS --as-kit --wasted IODINE 1 dropped --by NU")
    site.ok("issue --service ward --extra DYE 1 --by NU")
    found = reviewed(site)
    assert set(found["lines"]) == {"KNIFE", "VISC"}
    assert found["extras"] == {}
    assert "1 case finished" in site.ok("kit review SICS/free")


def test_an_extra_of_what_the_list_uses_in_common_is_shown_and_not_proposed(site: Desk) -> None:
    for case in ("S1", "S2"):
        finished(site, case, "--extra IODINE 1")
    assert reviewed(site)["extras"]["IODINE"]["taken"] == 2
    assert "Proposed:" not in site.ok("kit review SICS/free")


def test_an_extra_that_a_later_version_has_is_not_proposed_again(site: Desk) -> None:
    for case in ("S1", "S2"):
        finished(site, case, "--extra DYE 1")
    assert "Proposed: DYE 1" in site.ok("kit review SICS/free")
    site.ok("kit accept SICS/free --from 2027-03-02 --by MA -y")
    page = site.ok("kit review SICS/free", today="2027-03-02")
    assert "2 of 2" in page
    assert "Proposed:" not in page
