"""Another procedure with the kit that was opened: only what the trolley lacks is issued."""

import pytest
from desk import Desk

from jobs.pages import line_with, moves
from jobs.proven import of_case, on_trolleys, proven

KITS = """procedure,category,surgeon,line,kind,item,quantity,requirement
SICS,paid,,1,lens,,1,
SICS,paid,,2,always,KNIFE,2,
SICS,paid,,3,one-of,VISC,1,
SICS,paid,,3,one-of,VISC-B,1,
SICS,paid,,4,when,OPIATE,1,pain
SICS,paid,,5,standby,VIT,1,
VITR,paid,,1,always,CASS,1,
"""


@pytest.fixture
def site(desk: Desk) -> Desk:
    desk.ok(f"import kits {desk.file('k2.csv', KITS)} --by MA")
    return desk


@pytest.fixture
def issued(site: Desk) -> Desk:
    """C1 with VISC 2, KNIFE 1, IODINE 2.5 and its lens on the trolley (entry 11)."""
    site.ok("issue C1 --by NU")
    return site


def test_before_the_issue_it_is_a_change_alone(site: Desk) -> None:
    site.ok("case convert C2 SICS --by NU")
    assert site.rows("SELECT procedure, needs FROM theatre_case WHERE code = 'C2'") == [
        ("SICS", "[]")
    ]
    assert site.rows("SELECT kind, movement_count FROM entry WHERE number = 11") == [("case", 0)]
    site.ok("issue C2 --by NU")
    proven(site)


def test_what_is_on_the_trolley_is_not_issued_again(issued: Desk) -> None:
    page = issued.ok("case convert C1 SICS --by NU")
    assert [(m[0], m[1], m[3], m[4]) for m in moves(issued)] == [("K1", 1, "OT1", "trolley/OT1")]
    assert "Stays on the trolley, though this kit does not ask for it: IODINE 2.5 ml, VISC 1." in (
        page
    )
    assert issued.rows("SELECT kind, request_key, document FROM entry WHERE number = 12") == [
        ("convert", "issue/C1/after/11", "C1")
    ]


def test_what_stays_counts_as_used_at_the_finish(issued: Desk) -> None:
    issued.ok("case convert C1 SICS --by NU")
    issued.ok("finish C1 --as-kit --by NU")
    used = {lot: quantity for (place, lot), (quantity, _) in of_case(issued, "C1").items()
            if place == "used/paid"}  # fmt: skip
    assert used == {"K1": 2, "I1": 25, "V1": 1, "V2": 1, "S1": 1}
    proven(issued)


def test_what_is_no_longer_needed_is_wasted_or_returned_in_the_same_entry(issued: Desk) -> None:
    page = issued.ok("case convert C1 SICS --wasted IODINE 0.5 opened-not-used --returned VISC 1 "
                     "--by NU")  # fmt: skip
    assert line_with(page, "I1").endswith("trolley/OT1 waste/paid opened-not-used")
    assert line_with(page, "V2").endswith("trolley/OT1 STORE")
    assert of_case(issued, "C1")[("trolley/OT1", "I1")][0] == 20
    issued.ok("finish C1 --as-kit --by NU")
    assert on_trolleys(issued) == []
    proven(issued)


def test_a_requirement_of_the_new_kit_is_issued_with_it(issued: Desk) -> None:
    issued.ok("case convert C1 SICS --with pain --by NU")
    assert ("trolley/OT1", "O1") in of_case(issued, "C1")
    assert issued.rows("SELECT needs FROM theatre_case WHERE code = 'C1'") == [('["pain"]',)]


def test_what_the_new_kit_lacks_refuses_it_all_unless_partial(issued: Desk) -> None:
    said = issued.refused("case convert C1 VITR --by NU", 3)
    assert line_with(said, "CASS") == "C1 CASS 1 0 1 none anywhere"
    page = issued.ok("case convert C1 VITR --partial --by NU")
    assert "Warning: CASS is missing: 1, recorded with the case." in page
    proven(issued)


def test_converting_to_what_it_is_records_nothing(issued: Desk) -> None:
    last = issued.last()
    assert "nothing changed" in issued.ok("case convert C1 PHACO --by NU")
    assert issued.last() == last


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("case convert C1 NOKIT --by NU", 3, "there is no kit NOKIT/paid"),
        ("case convert C1 SICS --returned KNIFE 2 --by NU", 3, "more of KNIFE"),
        ("case convert C1 SICS --wasted KNIFE 1 lost --by NU", 2, "opened-not-used"),
        ("case convert C1 SICS --with pupil --by NU", 2, "kit SICS/paid has no line for pupil"),
        ("case convert C2 SICS --returned KNIFE 1 --by NU", 2, "nothing of it is on a trolley"),
        ("case convert C1 SICS --by FI", 3, "FI is finance"),
    ],
)
def test_a_wrong_conversion_is_refused(issued: Desk, line: str, code: int, words: str) -> None:
    assert words in issued.refused(line, code)


def test_a_finished_or_cancelled_case_is_not_converted(issued: Desk) -> None:
    issued.ok("finish C1 --as-kit --by NU")
    assert "case C1 is finished (entry 12)" in issued.refused("case convert C1 SICS --by NU", 3)
    issued.ok("case cancel C2 --by NU")
    assert "case C2 is cancelled" in issued.refused("case convert C2 SICS --by NU", 3)


def test_a_conversion_can_be_reversed_and_the_case_is_as_before(issued: Desk) -> None:
    before = of_case(issued, "C1")
    issued.ok("case convert C1 SICS --wasted IODINE 0.5 opened-not-used --by NU")
    issued.ok("reverse 12 --reason wrong-case --by NU")
    assert of_case(issued, "C1") == before
    assert issued.rows("SELECT procedure FROM theatre_case WHERE code = 'C1'") == [("PHACO",)]
    proven(issued)


def test_a_converted_case_can_be_cancelled(issued: Desk) -> None:
    issued.ok("case convert C1 SICS --by NU")
    issued.ok("case cancel C1 --wasted KNIFE 2 cancelled --by NU")
    assert on_trolleys(issued) == []
    proven(issued)


def test_an_issue_is_not_reversed_under_its_conversion(issued: Desk) -> None:
    issued.ok("case convert C1 SICS --by NU")
    said = issued.refused("reverse 11 --reason wrong-case --by NU", 3)
    assert "case C1 has the later convert 12. Reverse that first." in said
    issued.ok("reverse 12 --reason wrong-case --by NU")
    issued.ok("reverse 11 --reason wrong-case --by NU")
    assert on_trolleys(issued) == []
    proven(issued)
