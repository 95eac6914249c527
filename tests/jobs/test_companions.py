"""Companions: what follows the lens model, and what follows the machine of the theatre."""

from pathlib import Path

import pytest
from desk import Desk, small_site

HEADER = "procedure,category,surgeon,line,kind,item,quantity,requirement,first_day\n"
COMPANIONS = (
    HEADER
    + """PHACO,paid,,1,lens,,1,,2027-02-15
PHACO,paid,,2,with-lens,VISC,1,RINGL,2027-02-15
PHACO,paid,,3,with-lens,VISC-B,1,FLATL,2027-02-15
PHACO,paid,,4,with-machine,KNIFE,1,PUMP-7,2027-02-15
PHACO,paid,,5,with-machine,DYE,1,PUMP-9,2027-02-15
"""
)


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    desk = small_site(tmp_path)
    desk.ok(f"import kits {desk.file('k.csv', COMPANIONS)} --by MA -y")
    return desk


def machines(site: Desk, *rows: str) -> None:
    text = "theatre,model,first_day,last_day\n" + "".join(f"{row}\n" for row in rows)
    site.ok(f"import machines {site.file('m.csv', text)} --by MA -y")


def drawn(site: Desk, case: str) -> dict[str, int]:
    rows = site.rows(
        "SELECT item, SUM(movement.quantity) FROM movement JOIN lot ON lot.code = lot "
        "WHERE case_code = ? GROUP BY item",
        case,
    )
    return dict(rows)


def holds(site: Desk) -> None:
    assert "The book is sound" in site.ok("book verify")
    assert "The proof holds." in site.ok("cost --month 2027-03")


def test_only_the_companion_of_the_case_s_own_lens_model_and_machine_is_drawn(site: Desk) -> None:
    machines(site, "OT1,PUMP-7,2027-01-01,", "OT2,PUMP-9,2027-01-01,")
    site.ok("issue C1 --by NU")
    assert drawn(site, "C1") == {"RINGL+21.50": 1, "VISC": 1, "KNIFE": 1}
    site.ok("finish C1 --as-kit --by NU")
    holds(site)


def test_a_theatre_without_a_machine_that_the_kit_follows_is_refused_by_name(site: Desk) -> None:
    machines(site, "OT2,PUMP-9,2027-01-01,")
    said = site.refused("issue C1 --by NU", 3)
    assert "C1" in said
    assert "PUMP-7, PUMP-9" in said
    assert "OT1 on 2027-03-01" in said


@pytest.mark.parametrize(
    ("span", "there"),
    [("2027-03-02,", False), ("2027-03-01,", True), ("2027-02-28,", True),
     ("2027-02-01,2027-02-28", False), ("2027-02-01,2027-03-01", True),
     ("2027-02-01,2027-03-02", True)],
)  # fmt: skip
def test_the_machine_that_stands_there_on_the_list_s_day_counts(
    site: Desk, span: str, *, there: bool
) -> None:
    machines(site, f"OT1,PUMP-7,{span}")
    assert site.run("issue C1 --by NU -n").code == (0 if there else 3)


def test_a_machine_moved_to_another_theatre_takes_its_cassette_along(site: Desk) -> None:
    machines(site, "OT1,PUMP-7,2027-01-01,2027-02-28", "OT1,PUMP-9,2027-03-01,")
    site.ok("issue C1 --by NU")
    assert "DYE" in drawn(site, "C1")
    assert "KNIFE" not in drawn(site, "C1")


def test_a_requirement_is_never_the_model_of_a_companion(site: Desk) -> None:
    machines(site, "OT1,PUMP-7,2027-01-01,")
    assert "no requirements" in site.refused("issue C1 --with ringl --by NU", 2)


@pytest.mark.parametrize(
    ("row", "wanted"),
    [
        ("PHACO,paid,,1,with-lens,VISC,1,NOLENS,", "one of: flatl, ringl"),
        ("PHACO,paid,,1,with-lens,VISC,1,,", "one of"),
        ("PHACO,paid,,1,with-machine,VISC,1,,", "capitals"),
        ("PHACO,paid,,1,per-list,VISC,1,dye,", "none with a line of kind per-list"),
        ("PHACO,paid,,1,when,VISC,1,,", "a word with a line of kind when"),
    ],
)
def test_each_kind_of_line_has_its_own_word_beside_it(site: Desk, row: str, wanted: str) -> None:
    answer = site.run(f"import kits {site.file('bad.csv', HEADER + row)} --by MA -y")
    assert answer.code == 2
    assert wanted in answer.err


@pytest.mark.parametrize(
    ("row", "wanted"),
    [("OT9,PUMP-7,2027-01-01,", "one of: ot1, ot2"), ("OT1,PUMP-7,2027-01-02,2027-01-01", "later"),
     ("OT1,,2027-01-01,", "capitals")],
)  # fmt: skip
def test_a_machine_needs_a_theatre_a_model_and_days_in_order(
    site: Desk, row: str, wanted: str
) -> None:
    text = f"theatre,model,first_day,last_day\n{row}\n"
    answer = site.run(f"import machines {site.file('m.csv', text)} --by MA -y")
    assert answer.code == 2
    assert wanted in answer.err


def test_lists_to_fill_for_name_a_case_whose_theatre_has_no_machine(site: Desk) -> None:
    levels = "place,item,keep_at_least,fill_to,lists\nOT1,RINGL+21.50,,,1\n"
    site.ok(f"import levels {site.file('l.csv', levels)} --by MA -y")
    assert "no machine for its kit" in site.ok("move --fill OT1 --by KE -n")
