"""`kit review` reads the movements; `kit accept` records what it proposes, computed anew."""

import json
from pathlib import Path

import pytest
from desk import Desk, small_site
from published.tables import records

from stockbook.domain.kit_review import SPOILED_LENSES

KITS = """procedure,category,surgeon,line,kind,item,quantity,requirement,first_day
SICS,free,,1,always,KNIFE,1,,
SICS,free,,2,always,VISC,1,,
SICS,paid,,1,always,KNIFE,1,,
SICS,paid,SB,1,always,DYE,1,,
"""
CASES = 8


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    desk = small_site(tmp_path)
    desk.ok(f"import kits {desk.file('k.csv', KITS)} --by MA -y")
    rows = [f"S1,2027-03-01,OT1,S{n},{n},P-{n},left,SICS,free,SA" for n in range(1, CASES + 1)]
    head = "list,day,theatre,case,position,patient,eye,procedure,category,surgeon"
    desk.ok(f"import lists {desk.file('s.csv', chr(10).join([head, *rows]))} --by MA")
    return desk


def finish(site: Desk, case: int, *words: str) -> None:
    site.ok(f"finish S{case} --as-kit {' '.join(words)} --by NU")


def holds(site: Desk) -> None:
    assert "The book is sound" in site.ok("book verify")
    assert "The proof holds." in site.ok("cost --month 2027-03")


def row(page: str, first: str) -> str:
    return next(line for line in page.splitlines() if line.startswith(first))


def half_and_more(site: Desk, returned: int) -> None:
    for case in range(1, CASES + 1):
        finish(site, case, "--returned VISC 1" if case <= returned else "")


@pytest.mark.parametrize(("returned", "proposed"), [(3, False), (4, False), (5, True)])
def test_a_line_that_comes_back_more_than_half_the_time_is_proposed_for_standby(
    site: Desk, returned: int, *, proposed: bool
) -> None:
    half_and_more(site, returned)
    page = site.ok("kit review SICS/free")
    assert f"{returned} of 8" in row(page, "VISC")
    assert ("standby" in row(page, "VISC")) is proposed
    assert ("Nothing is proposed" in page) is not proposed
    holds(site)


@pytest.mark.parametrize(("added", "proposed"), [(1, False), (2, False), (3, True)])
def test_an_extra_in_more_than_three_tenths_of_the_cases_is_proposed(
    site: Desk, added: int, *, proposed: bool
) -> None:
    for case in range(1, 8):
        finish(site, case, "--extra DYE 1" if case <= added else "")
    page = site.ok("kit review SICS/free")
    assert f"{added} of 7" in row(page, "DYE")
    assert ("Proposed: DYE 1" in page) is proposed


def test_accepting_writes_the_proposed_version_from_its_first_day(site: Desk) -> None:
    half_and_more(site, 5)
    assert "Record this version" in site.refused(
        "kit accept SICS/free --from 2027-03-02 --by MA", 2
    )
    said = site.ok("kit accept SICS/free --from 2027-03-02 --by MA -y")
    assert "- VISC 1" in said
    assert "+ VISC 1 (standby)" in said
    assert "standby" in row(site.ok("kit show SICS/free --on 2027-03-02"), "VISC")
    assert "always" in row(site.ok("kit show SICS/free --on 2027-03-01"), "VISC")
    holds(site)


def test_a_proposal_accepted_is_not_proposed_again(site: Desk) -> None:
    half_and_more(site, 5)
    site.ok("kit accept SICS/free --from 2027-03-01 --by MA -y")
    said = site.refused("kit accept SICS/free --from 2027-03-02 --by MA -y", 3)
    assert "proposes nothing" in said


def test_a_proposal_that_changed_meanwhile_is_refused(site: Desk) -> None:
    from stockbook.domain.entries import Signature
    from stockbook.errors import Refused
    from stockbook.jobs.kit_review import Span, accept_review
    from stockbook.ledger.opening import open_book

    half_and_more(site, 5)
    book = open_book(site.path)
    span = Span("2027-01-01", "2027-03-01")
    signed = Signature("MA", "2027-03-01", "2027-03-01T08:00:00Z", "2027-03-01")
    shown = accept_review(book, signed, "SICS/free", span, "2027-03-02")
    assert shown.entry is None
    site.ok("kit change SICS/free --from 2027-03-01 --line always OPIATE 1 --by MA -y")
    before = site.last()
    with pytest.raises(Refused, match="changed while it was read"):
        accept_review(book, signed, "SICS/free", span, "2027-03-02", agreed=shown.kit)
    book.close()
    assert site.last() == before


def test_an_all_as_it_is_review_is_not_accepted(site: Desk) -> None:
    finish(site, 1)
    said = site.refused("kit accept SICS/free --from 2027-03-02 --by MA -y", 3)
    assert "proposes nothing" in said


def test_waste_stands_by_reason_in_units_and_money(site: Desk) -> None:
    finish(site, 1, "--wasted KNIFE 1 dropped")
    finish(site, 2)
    line = row(site.ok("kit review SICS/free").partition("Wasted")[2].strip(), "KNIFE")
    assert "dropped" in line
    assert "1 of 2: 50.0 % (9.5-90.5)" in line


def test_a_reversed_finish_counts_for_nothing(site: Desk) -> None:
    finish(site, 1, "--returned VISC 1")
    finish(site, 2)
    finish(site, 3, "--returned VISC 1")
    assert "2 of 3" in row(site.ok("kit review SICS/free"), "VISC")
    site.ok(f"reverse {site.last()[0]} --reason wrong-case --by NU")
    assert "2 cases finished" in site.ok("kit review SICS/free")
    assert "1 of 2" in row(site.ok("kit review SICS/free"), "VISC")


def test_a_lot_exchanged_for_another_did_not_come_back(site: Desk) -> None:
    site.ok("issue S1 --by NU")
    finish(site, 1, "--lot VISC V3")
    assert "0 of 1" in row(site.ok("kit review SICS/free"), "VISC")


def test_a_surgeon_with_differences_has_a_review_of_his_own(site: Desk) -> None:
    rows = (
        "X1,2027-03-01,OT1,X1,1,P-1,left,SICS,paid,SB\nX1,2027-03-01,OT1,X2,2,P-2,left,SICS,paid,SA"
    )
    head = "list,day,theatre,case,position,patient,eye,procedure,category,surgeon"
    site.ok(f"import lists {site.file('x.csv', f'{head}{chr(10)}{rows}')} --by MA")
    for case in ("X1", "X2"):
        site.ok(f"finish {case} --as-kit --by NU")
    page = site.ok("kit review")
    assert row(page, "SICS/paid/SB").split()[1] == "1"
    assert row(page, "SICS/paid ").split()[1] == "1"
    assert "1 case finished" in site.ok("kit review SICS/paid/SB")
    assert "1 case finished" in site.ok("kit review SICS/paid/SA")


def test_a_proposal_for_a_surgeon_becomes_a_difference_of_that_surgeon(site: Desk) -> None:
    half_and_more(site, 5)
    site.ok("kit accept SICS/free/SA --from 2027-03-02 --by MA -y")
    assert "VISC 1 (standby)" in row(site.ok("kit show"), "SICS/free/SA")
    assert "always" in row(site.ok("kit show SICS/free --on 2027-03-02"), "VISC")


def test_spoiled_lenses_stand_beside_the_published_figure(site: Desk) -> None:
    site.ok("finish C1 --as-kit --by NU")
    page = site.ok("kit review PHACO/paid")
    assert "Lenses spoiled: 0 of 1" in page
    assert f"Published: 6.62 in 1,000 ({SPOILED_LENSES[1]})" in page


def test_the_time_looked_at_is_months_or_two_days(site: Desk) -> None:
    finish(site, 1)
    assert "2027-01-01 to 2027-03-01" in site.ok("kit review SICS/free")
    assert "2027-03-01 to 2027-03-01" in site.ok("kit review SICS/free --months 1")
    assert "No case" in site.ok("kit review SICS/free --from 2027-02-01 --to 2027-02-28")
    assert "1 case" in site.ok("kit review SICS/free --from 2027-03-01 --to 2027-03-01")
    site.refused("kit review --months 2 --from 2027-03-01 --to 2027-03-01", 2)


def test_a_review_answers_as_data(site: Desk) -> None:
    half_and_more(site, 5)
    data = json.loads(site.ok("kit review SICS/free --json"))
    lines = {line["items"]: line for line in data["kit_review_lines"]["rows"]}
    assert lines["VISC"]["returned"] == 5
    assert lines["VISC"]["from_ten_thousandths"] == 3057
    assert lines["VISC"]["proposed"] == "standby"
    assert data["kit_review_extras"]["rows"] == []


def test_the_figure_of_spoiled_lenses_is_the_published_one() -> None:
    (row_of_it,) = [one for one in records("trade_facts.csv") if one["fact"] == "IOL waste"]
    hundredths, source = SPOILED_LENSES
    assert row_of_it["value"] == f"{hundredths // 100}.{hundredths % 100}"
    assert row_of_it["unit"] == "per 1000 implantations"
    assert row_of_it["source"] == source.replace(",", "")
