"""`stockbook ready` beside issuing: common use, companions, versions, rescues, cancelled cases."""

import json
import shutil
from pathlib import Path

import pytest
from desk import SITE, TODAY, Desk, new_desk, small_site
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from jobs.pages import line_with

HEADER = "procedure,category,line,kind,item,quantity,requirement,first_day\n"
KITS = (
    HEADER
    + """PHACO,paid,1,always,OPIATE,4,,2027-02-01
PHACO,paid,1,lens,,1,,2027-03-01
PHACO,paid,2,always,KNIFE,1,,2027-03-01
PHACO,paid,3,with-lens,VISC,1,RINGL,2027-03-01
PHACO,paid,4,with-lens,VISC-B,1,FLATL,2027-03-01
PHACO,paid,5,with-machine,CASS,1,PUMP-7,2027-03-01
PHACO,paid,6,when,DYE,1,dye,2027-03-01
PHACO,paid,7,standby,VIT,1,rupture,2027-03-01
PHACO,paid,8,standby,DYE,1,stain,2027-03-01
PHACO,paid,9,per-list,IODINE,5.0,,2027-03-01
PHACO,paid,1,always,OPIATE,9,,2027-03-02
PHACO,free,1,lens,,1,,2027-02-15
PHACO,free,2,per-list,IODINE,10.0,,2027-02-15
PHACO,free,3,per-list,KNIFE,1,,2027-02-15
"""
)
LISTS = """list,day,theatre,case,position,patient,eye,procedure,category,surgeon,lens_model,power,needs
L1,2027-03-01,OT1,C1,1,P-1,right,PHACO,paid,SA,RINGL,+21.50,
L1,2027-03-01,OT1,C2,2,P-2,left,PHACO,paid,SA,FLATL,+21.00,dye
L1,2027-03-01,OT1,C3,3,P-3,left,PHACO,free,SA,FLATL,+21.00,
L2,2027-03-01,OT2,C4,1,P-4,left,PHACO,paid,SA,RINGL,+21.50,
L2,2027-03-01,OT2,C5,2,P-5,right,PHACO,free,SA,RINGL,+21.50,
"""  # noqa: E501 a row of a file
CASES = {
    "C1": ("OT1", "paid", "RINGL+21.50"), "C2": ("OT1", "paid", "FLATL+21.00"),
    "C3": ("OT1", "free", "FLATL+21.00"), "C4": ("OT2", "paid", "RINGL+21.50"),
    "C5": ("OT2", "free", "RINGL+21.50"),
}  # fmt: skip
ONE_BY_ONE = ("KNIFE", "VISC", "VISC-B", "CASS", "DYE", "VIT", "FLATL+21.00", "RINGL+21.50")


def machines(desk: Desk, *theatres: str, last_day: str = "") -> None:
    rows = "".join(f"{theatre},PUMP-7,2027-01-01,{last_day}\n" for theatre in theatres)
    file = desk.file("m.csv", f"theatre,model,first_day,last_day\n{rows}")
    desk.ok(f"import machines {file} --by MA -y")


def with_kits(desk: Desk) -> Desk:
    desk.ok(f"import kits {desk.file('k.csv', KITS)} --by MA -y", today="2027-02-01")
    desk.ok(f"import lists {desk.file('l.csv', LISTS)} --by MA -y", today="2027-02-01")
    return desk


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory, moved_in: object) -> Desk:
    """Kits and lists, and nothing on the shelves."""
    desk = new_desk(tmp_path_factory.mktemp("bare"))
    for kind in ("suppliers", "places", "staff", "items"):
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', SITE[kind])} --by MA", today="2027-02-01")
    return with_kits(desk)


def stocked(desk: Desk, shelves: dict[tuple[str, str], int], expired: set[str]) -> None:
    lines = ["item,place,quantity,lot,serial,expiry,received,total,terms,shadow",
             "OPIATE,STORE,1,O1,,2029-01,2027-01-10,,bought,"]  # fmt: skip
    for (item, place), count in shelves.items():
        day = "2027-02-28" if item in expired and place == "STORE" else "2028-01-31"
        if item.startswith("RINGL"):
            lines += [f"{item},{place},1,R,{place}{n},{day},2027-01-10,5.00,bought,"
                      for n in range(count)]  # fmt: skip
        elif count:
            lines.append(f"{item},{place},{count},{item}{place},,{day},2027-01-10,,bought,")
    desk.ok(f"import opening-stock {desk.file('o.csv', chr(10).join(lines))} --by MA -y",
            today="2027-02-01")  # fmt: skip


def usable(desk: Desk, item: str, theatre: str) -> int:
    """What lies within a theatre's reach and is in date, asked of the file itself."""
    rows = desk.rows(
        "SELECT COALESCE(SUM(on_hand.quantity), 0) FROM on_hand JOIN lot ON lot.code = lot "
        "WHERE item = ? AND place IN (?, 'STORE') AND expires_on >= ?",
        item, theatre, TODAY,
    )  # fmt: skip
    return int(rows[0][0])


def what_lies_there(desk: Desk, cancelled: set[str]) -> bool:
    """Afterwards: an identical spare for each case, the standby lines of the paid ones."""
    left = [CASES[code] for code in CASES if code not in cancelled]
    wanted = [(theatre, lens) for theatre, _, lens in left]
    wanted += [(theatre, item) for theatre, category, _ in left if category == "paid"
               for item in ("VIT", "DYE")]  # fmt: skip
    return all(usable(desk, item, theatre) for theatre, item in wanted)


def is_served(desk: Desk, cancelled: set[str]) -> bool:
    """Issuing both lists in sequence, and what lies there then."""
    for code in ("L1", "L2"):
        cases = {c for c, (theatre, *_) in CASES.items() if theatre == f"OT{code[1]}"}
        if cases - cancelled and desk.run(f"issue --list {code} --by NU").code:
            return False
    return what_lies_there(desk, cancelled)


shelves = st.fixed_dictionaries(
    {(item, place): st.integers(0, 3 if place == "STORE" else 1)
     for item in ONE_BY_ONE for place in ("OT1", "OT2", "STORE")}
    | {("IODINE", place): st.sampled_from((0, 4, 5, 10, 20)) for place in ("OT1", "OT2", "STORE")}
)  # fmt: skip
rich = st.fixed_dictionaries(
    {(item, "STORE"): st.sampled_from((4, 5, 6)) for item in ONE_BY_ONE}
    | {("IODINE", place): st.sampled_from((10, 20)) for place in ("OT1", "STORE")}
)


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    st.one_of(rich, shelves, rich),
    st.one_of(st.just(set()), st.sets(st.sampled_from(ONE_BY_ONE), max_size=1)),
    st.sets(st.sampled_from(tuple(CASES)), max_size=3),
    st.sampled_from((("OT1", "OT2"), ("OT1", "OT2"), ("OT1", "OT2"), ("OT1",))),
)  # fmt: skip
def test_ready_says_yes_if_and_only_if_both_lists_are_issued_and_the_rest_lies_there(
    bare: Desk, tmp_path_factory: pytest.TempPathFactory, there: dict, expired: set,
    cancelled: set, theatres: tuple,
) -> None:  # fmt: skip
    folder = tmp_path_factory.mktemp("random") / "desk"
    shutil.copytree(bare.folder, folder)
    desk = Desk(folder)
    stocked(desk, there, expired)
    machines(desk, *theatres)
    for code in sorted(cancelled):
        desk.ok(f"case cancel {code} --by NU")
    answer = desk.run("ready today --json")
    assert answer.code in (0, 6), answer.err
    event(f"exit {answer.code}")
    found = json.loads(answer.out)
    assert (answer.code == 0) is is_served(desk, cancelled)
    assert {row["case"] for row in found["cases"]["rows"] if row["kind"] == "patient"} == (
        set(CASES) - cancelled
    )
    lists = {row["case"] for row in found["cases"]["rows"] if row["kind"] == "list"}
    assert lists == {f"L{CASES[code][0][2]}" for code in set(CASES) - cancelled}
    shutil.rmtree(folder.parent)


# One by one


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    """The small site with these kits, both machines, a spare of each lens and dye for both."""
    desk = with_kits(small_site(tmp_path))
    machines(desk, "OT1", "OT2")
    lines = desk.file("more.csv", "item,units,lot,serial,expiry,price\n"
                      "RINGL+21.50,1,R7,S7,2029-06,2400.00\nRINGL+21.50,1,R8,S8,2029-06,2400.00\n"
                      "FLATL+21.00,3,F9,,2029-06,100.00\nIODINE,40,I9,,2029-06,100.00\n"
                      "CASS,4,A9,,2029-06,100.00\nVIT,1,T9,,2029-06,100.00\n")  # fmt: skip
    desk.ok(f"receive LENSCO --note N9 --lines {lines} --by KE")
    return desk


def test_what_the_list_uses_in_common_has_a_line_of_its_own_and_is_no_case(site: Desk) -> None:
    page = site.ok("ready L1")
    assert page.splitlines()[0] == "Can be served: 3 of 3 cases. Nothing recorded."
    assert line_with(page, "common") == "list L1, common ready"
    assert page.index("list L1, common") < page.index("C1")


def test_a_missing_list_line_makes_the_list_not_servable(site: Desk) -> None:
    site.ok("discard IODINE 40 --from STORE --lot I9 --reason damaged --by KE")
    site.ok("move IODINE 15 --from OT1 --to QUAR --by KE --reason set-aside")
    answer = site.run("ready L1")
    assert answer.code == 6
    first = answer.out.splitlines()[0]
    assert first == "Cannot be served: what list L1 uses in common. Nothing recorded."
    assert line_with(answer.out, "common ", "short").startswith("list L1, common not ready: IODINE")
    assert line_with(answer.out, "IODINE", "order").startswith("IODINE 10 ml 5.5 ml 4.5 ml list L1")
    assert "IODINE" in site.refused("issue --list L1 --by NU", 3)
    data = json.loads(site.run("ready L1 --json").out)
    assert (
        data["verdict"]["rows"][0] | {"cases": 3, "not_ready": 0, "lists_not_ready": 1}
        == (data["verdict"]["rows"][0])
    )


def test_common_use_that_is_issued_counts_as_served(site: Desk) -> None:
    site.ok("issue C1 --by NU")
    assert line_with(site.ok("ready L1"), "common").endswith("common issued")
    site.ok("finish L1 --as-kit --by NU")
    assert "common" not in site.ok("ready L1")


def test_common_use_issued_in_part_still_draws_the_rest(site: Desk) -> None:
    site.ok("discard IODINE 40 --from STORE --lot I9 --reason damaged --by KE")
    site.ok("move IODINE 15 --from OT1 --to QUAR --by KE --reason set-aside")
    site.ok("issue --list L1 --partial --by NU")
    answer = site.run("ready L1")
    assert line_with(answer.out, "common ", "short").endswith("not ready: IODINE 4.5 ml short")
    site.ok("receive ACME --by KE --line IODINE 50 I8 2029-01 5.00")
    assert site.ok("ready L1")
    site.ok("issue L1 --rest --by NU")
    assert line_with(site.ok("ready L1"), "common").endswith("common issued")


def test_a_list_whose_code_a_case_bears_says_so_in_its_line(site: Desk) -> None:
    text = LISTS.splitlines()[0] + "\nX1,2027-03-02,OT1,X1,1,P-8,left,PHACO,free,SA,RINGL,+21.50,\n"
    site.ok(f"import lists {site.file('x.csv', text)} --by MA")
    answer = site.run("ready X1")
    assert answer.code == 6
    assert "a patient's case bears the code of the list" in answer.out


def test_a_theatre_without_its_machine_is_not_ready_in_words(site: Desk) -> None:
    machines(site, "OT2", last_day="2027-02-28")
    answer = site.run("ready today")
    assert answer.code == 6
    assert line_with(answer.out, "C4").endswith("not ready: no machine for its kit")
    assert line_with(answer.out, "C5").endswith("ready")
    assert "What a case without a known kit needs is not counted." in answer.out


def test_the_version_of_the_list_s_day_is_served(site: Desk) -> None:
    later = LISTS.replace("2027-03-01", "2027-03-02")
    site.ok(f"import lists {site.file('l2.csv', later)} --by MA -y")
    assert "OPIATE 5 short" in line_with(site.run("ready L1").out, "C1")


def test_a_rescue_s_standby_lines_are_wanted_whatever_their_word(site: Desk) -> None:
    for place in ("OT1", "STORE"):
        site.ok(f"discard VIT 1 --from {place} --reason damaged --by KE")
    assert line_with(site.run("ready L1").out, "C1").endswith("not ready: standby VIT 1 short")


def test_the_lines_of_cancelled_cases_are_not_wanted(site: Desk) -> None:
    """The free case alone asks for ten and for a knife in common."""
    site.ok("case cancel C3 --by NU")
    site.ok("discard IODINE 40 --from STORE --lot I9 --reason damaged --by KE")
    site.ok("move IODINE 15 --from OT1 --to QUAR --by KE --reason set-aside")
    assert site.ok("ready L1").startswith("Can be served: 2 of 2 cases.")


def test_the_evening_page_fetches_the_common_use_and_has_a_form_for_it(site: Desk) -> None:
    path = site.folder / "evening.html"
    site.ok(["ready", "L1", "-o", str(path)])
    text = path.read_text()
    assert "Paper form: list L1, common" in text
    assert (
        "<td>IODINE</td><td>Povidone-iodine</td><td>I1</td><td>2027-09</td><td>10 ml</td>" in text
    )
    assert "CASE/L1" not in text
    assert text.count("EYE UNKNOWN") == 0
