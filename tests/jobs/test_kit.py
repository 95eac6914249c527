"""`kit show` explains every line; `kit change` writes a version from a day on."""

import csv
import io
import json
from pathlib import Path

import pytest
from desk import Desk, small_site


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    return small_site(tmp_path)


def holds(site: Desk) -> None:
    assert "The book is sound" in site.ok("book verify")
    assert "The proof holds." in site.ok("cost --month 2027-03")


def row(page: str, first: str) -> str:
    return next(line for line in page.splitlines() if line.startswith(first))


# Shown


def test_all_kits_are_shown_with_their_first_days_and_differences_as_differences(
    site: Desk,
) -> None:
    page = site.ok("kit show")
    assert row(page, "PHACO/paid/SB").split()[1:5] == ["the", "beginning", "differences", "2"]
    assert "no KNIFE; CASS 1" in page
    assert "whole" in row(page, "PHACO/paid ")


def test_every_line_is_explained(site: Desk) -> None:
    page = site.ok("kit show phaco/paid/sb")
    assert "Made of: PHACO/paid from the beginning, then PHACO/paid/SB" in page
    assert "the case's lens, category paid" in row(page, "(lens)")
    assert "the first of these that is there" in row(page, "VISC or VISC-B")
    assert "when dye is required" in row(page, "DYE")
    assert "standby, not drawn" in row(page, "VIT")
    assert "difference of surgeon SB" in row(page, "CASS")
    assert "KNIFE" not in page


def test_the_total_is_what_every_case_draws_at_the_last_price(site: Desk) -> None:
    page = site.ok("kit show PHACO/paid --on 2027-03-01")
    assert row(page, "IODINE").split()[-2:] == ["2.00", "5.00"]
    assert row(page, "VISC or").split()[-2:] == ["100.00", "200.00"]
    assert "238.33" in row(page, "    ") or "238.33" in page
    assert "Without a price, so not in the sum: the lens." in page


def test_a_companion_that_does_not_fit_is_said_to_be_not_here(site: Desk) -> None:
    text = (
        "procedure,category,kind,item,quantity,requirement\n"
        "SICS,paid,with-lens,VISC,1,RINGL\nSICS,paid,with-machine,CASS,1,PUMP-7\n"
        "SICS,paid,per-list,DYE,1,\n"
    )
    site.ok(f"import kits {site.file('k.csv', text)} --by MA")
    text = "theatre,model,first_day\nOT1,PUMP-7,2027-01-01\n"
    site.ok(f"import machines {site.file('m.csv', text)} --by MA")
    page = site.ok("kit show SICS/paid --lens FLATL --theatre OT2")
    assert "(not here)" in row(page, "VISC")
    assert "(not here)" in row(page, "CASS")
    assert "once for the list" in row(page, "DYE")
    page = site.ok("kit show SICS/paid --lens RINGL --theatre OT1")
    assert "(not here)" not in page


def test_an_unknown_kit_names_the_nearest(site: Desk) -> None:
    assert "Near: PHACO/paid" in site.refused("kit show PHAKO/paid", 2)
    assert "PROCEDURE/CATEGORY" in site.refused("kit show PHACO", 2)
    assert "RINGL" in site.refused("kit show PHACO/paid --lens RNGL", 2)


def test_the_csv_of_all_kits_is_taken_in_again_unchanged(site: Desk) -> None:
    text = (
        "procedure,category,surgeon,line,kind,item,quantity,requirement,first_day\n"
        "PHACO,any,,1,always,OPIATE,1,,2027-04-01\nPHACO,free,,1,always,OPIATE,0,,2027-04-01\n"
        "PHACO,free,,2,standby,VIT,1,rupture,2027-04-01\n"
        "PHACO,free,,3,with-machine,IODINE,0.5,PUMP-7,2027-04-01\n"
    )
    site.ok(f"import kits {site.file('k.csv', text)} --by MA -y")
    exported = site.ok("kit show --csv")
    before = site.last()
    said = site.ok(f"import kits {site.file('again.csv', exported)} --by MA")
    assert "all known already" in said
    assert site.last() == before


def test_the_data_of_one_kit_are_whole_numbers_and_say_why(site: Desk) -> None:
    data = json.loads(site.ok("kit show PHACO/paid --json"))
    lines = {line["items"]: line for line in data["kit_lines"]["rows"]}
    assert lines["VISC VISC-B"]["cost_minor"] == 20000
    assert lines["DYE"]["requirement"] == "dye"
    rows = list(csv.DictReader(io.StringIO(site.ok("kit show PHACO/paid --csv"))))
    assert [r["line"] for r in rows if r["kind"] == "one-of"] == ["4", "4"]


# Changed


def test_a_change_is_a_version_and_earlier_days_keep_what_they_had(site: Desk) -> None:
    said = site.ok("kit change PHACO/free --from 2027-03-01 --line always DYE 1 --by MA -y")
    assert "+ DYE 1" in said
    assert "DYE" not in site.ok("kit show PHACO/free --on 2027-02-28")
    assert "DYE" in site.ok("kit show PHACO/free --on 2027-03-01")
    assert "DYE" in site.ok("issue C3 --by NU")
    site.ok("finish C3 --as-kit --by NU")
    holds(site)


def test_a_line_takes_the_place_of_what_the_kit_has_about_its_item(site: Desk) -> None:
    said = site.ok(
        "kit change PHACO/paid --from 2027-04-01 --line always KNIFE 3 --without DYE "
        "--line one-of VISC-B 1 --line one-of OPIATE 1 --line-for when wound CASS 1 --by MA -y"
    )
    assert "- KNIFE 1" in said
    assert "+ KNIFE 3" in said
    assert "- DYE 1 (when dye)" in said
    page = site.ok("kit show PHACO/paid --on 2027-04-01")
    assert " 3  always" in row(page, "KNIFE")
    assert row(page, "VISC-B or OPIATE")
    assert "when wound is required" in row(page, "CASS")


def test_without_in_a_kit_of_differences_leaves_the_item_out(site: Desk) -> None:
    site.ok("kit change PHACO/paid/SB --from 2027-04-01 --without IODINE --by MA -y")
    page = site.ok("kit show PHACO/paid/SB --on 2027-04-01")
    assert "IODINE" not in page
    assert "IODINE" in site.ok("kit show PHACO/paid/SB --on 2027-03-31")
    assert "no KNIFE; CASS 1; no IODINE" in site.ok("kit show")


def test_a_surgeon_without_differences_gets_a_first_version_of_them(site: Desk) -> None:
    said = site.ok("kit change PHACO/paid/SA --from 2027-03-01 --line always DYE 1 --by MA -y")
    assert "its first" in said
    assert "difference of surgeon SA" in row(site.ok("kit show PHACO/paid/SA"), "DYE")


def test_nothing_is_recorded_before_somebody_agrees(site: Desk) -> None:
    line = "kit change PHACO/free --from 2027-04-01 --line always DYE 1 --by MA"
    assert "Record this version" in site.refused(line, 2)
    before = site.last()
    assert "Dry run" in site.ok(f"{line} -n")
    assert site.last() == before


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("kit change PHACO/free --from 2027-04-01 --without DYE --by MA -y", 2, "DYE is in no"),
        ("kit change SICS/free --from 2027-04-01 --line always DYE 1 --by MA -y", 2, "no SICS"),
        ("kit change PHACO/free --from 2027-04-01 --line always KNIFE 1 --by MA -y", 3, "already"),
        ("kit change PHACO/free --from 2027-04-01 --line when DYE 1 --by MA -y", 2, "a word"),
        ("kit change PHACO/free --from 2027-04-01 --line always DYE 0 --by MA -y", 2, "above"),
        ("kit change PHACO/free --from 2027-04-01 --by MA", 2, "Give a --line"),
        ("kit change PHACO/free --from 2027-04-01 --line always DYE 1 --by NU -y", 3, "manager"),
    ],
)
def test_a_wrong_change_is_refused_in_words(site: Desk, words: str, code: int, said: str) -> None:
    assert said in site.refused(words, code)


def test_a_kit_is_never_left_empty(site: Desk) -> None:
    text = "procedure,category,kind,item,quantity\nSICS,free,always,DYE,1\n"
    site.ok(f"import kits {site.file('k.csv', text)} --by MA")
    said = site.refused("kit change SICS/free --from 2027-04-01 --without DYE --by MA -y", 3)
    assert "nothing would be left" in said
