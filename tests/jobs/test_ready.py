"""`stockbook ready`: the verdict, a line a case, what is missing; nothing is recorded."""

import json
import shutil
from dataclasses import replace

import pytest
from desk import TODAY, Desk, new_desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ledger.books import opened

from jobs.pages import line_with
from jobs.shelves import give, label
from stockbook.domain.facts import Case
from stockbook.ledger.facts import find


@pytest.fixture
def served(desk: Desk) -> Desk:
    """The small site with the one spare that list L1 lacks."""
    lines = desk.file("spare.csv", "item,units,lot,serial,expiry,price\n"
                      "RINGL+21.00,1,R9,S9,2029-06,2400.00\n")  # fmt: skip
    desk.ok(f"receive LENSCO --note N9 --lines {lines} --by KE")
    return desk


def test_a_list_that_can_be_served_says_so_first_and_exits_0(served: Desk) -> None:
    page = served.ok("ready L1")
    assert page.splitlines()[0] == "Can be served: 3 of 3 cases. Nothing recorded."
    assert line_with(page, "C2").startswith("2 C2 PHACO paid left RINGL +21.00 R2 / S3 STORE ready")
    assert "Missing" not in page


def test_a_list_that_cannot_be_served_exits_6_and_says_what_is_missing(desk: Desk) -> None:
    answer = desk.run("ready L1")
    assert (answer.code, answer.err) == (6, "")
    assert answer.out.splitlines()[0] == "Cannot be served: 1 of 3 cases. Nothing recorded."
    assert line_with(answer.out, "C2").endswith("not ready: no spare RINGL+21.00")
    assert "RINGL+21.00 2 1 1 spare C2 order 1: not in the house" in [
        " ".join(line.split()) for line in answer.out.splitlines()
    ]


def test_the_book_is_byte_identical_afterwards(desk: Desk) -> None:
    before = desk.path.read_bytes()
    for asked in ("L1", "today", "L2 --json", "L2 --csv"):
        desk.run(f"ready {asked}")
    assert desk.path.read_bytes() == before


def test_a_case_without_power_is_not_ready_and_the_rest_of_its_kit_is_counted(desk: Desk) -> None:
    page = desk.run("ready L2").out
    assert line_with(page, "C5").endswith("not ready: power unknown")
    desk.ok("discard KNIFE 5 --from STORE --reason damaged --by KE")
    assert line_with(desk.run("ready L2").out, "C5").endswith("power unknown, KNIFE 1 short")


def altered(desk: Desk, was: str, becomes: str, kind: str = "lists") -> None:
    """One text of the site's file is another from now on."""
    text = (desk.folder / f"{kind}.csv").read_text()
    assert was in text
    desk.ok(f"import {kind} {desk.file('new.csv', text.replace(was, becomes))} --by MA -y")


@pytest.mark.parametrize(
    ("was", "becomes", "words"),
    [
        ("PHACO,free,CAMP,SA,FLATL,+21.50", "GRAFT,free,CAMP,SA,FLATL,+21.50", "no kit GRAFT/free"),
        ("right,PHACO,paid,,SA,RINGL,+21.50,", "right,PHACO,paid,,SA,,,", "power unknown"),
    ],
)
def test_what_is_not_known_stands_in_the_case_s_line(
    served: Desk, was: str, becomes: str, words: str
) -> None:
    altered(served, was, becomes)
    page = served.run("ready L1")
    assert page.code == 6
    assert f"not ready: {words}" in page.out


def test_the_lists_of_a_day_share_the_store(served: Desk) -> None:
    page = served.run("ready today").out
    assert "Ready? L1, L2, 2027-03-01" in page
    assert "Not counted" not in page
    assert "Not counted, though of the same day: L2." in served.run("ready L1").out


def test_morning_lists_come_before_afternoon_lists(served: Desk) -> None:
    altered(served, "L1,2027-03-01,OT1,morning", "L1,2027-03-01,OT1,afternoon")
    assert "Ready? L2, L1, 2027-03-01" in served.run("ready 2027-03-01").out


def test_usable_is_judged_as_at_the_day_of_the_list(desk: Desk) -> None:
    altered(desk, "L1,2027-03-01", "L1,2027-06-15")
    page = desk.run("ready L1").out
    assert "2027-06-15" in page
    assert line_with(page, "C1").endswith("ready")
    desk.ok("discard VISC 5 --from STORE --lot V3 --reason damaged --by KE")
    desk.ok("discard VISC-B 6 --from STORE --reason damaged --by KE")
    page = desk.run("ready L1").out
    assert "VISC 1 short" in line_with(page, "C1")
    assert "9 in STORE expired 2027-05-31" in page


def test_a_day_without_a_list_has_nothing_to_serve(desk: Desk) -> None:
    said = desk.ok("ready tomorrow").splitlines()
    assert said[0] == "Nothing to serve: no case waits. Nothing recorded."


@pytest.mark.parametrize("asked", ["L9", "2027-02-30", "morrow"])
def test_what_is_neither_a_list_nor_a_day_is_refused(desk: Desk, asked: str) -> None:
    assert "list:" in desk.refused(f"ready {asked}", 2)


def test_an_issued_case_is_served_and_its_spare_still_wanted(served: Desk) -> None:
    served.ok("issue C2 --by NU")
    page = served.ok("ready L1")
    assert line_with(page, "C2").endswith("R2 / S3 trolley/OT1 issued")
    served.ok("discard RINGL+21.00 1 --from STORE --reason damaged --by KE")
    page = served.run("ready L1")
    assert page.code == 6
    assert line_with(page.out, "C2").endswith("not ready: no spare RINGL+21.00")


def test_a_case_issued_in_part_still_draws_the_rest(served: Desk) -> None:
    served.ok("discard DYE 3 --from STORE --lot D1 --reason damaged --by KE")
    served.ok("issue C2 --by NU --partial")
    assert line_with(served.run("ready L1").out, "C2").endswith("not ready: DYE 1 short")
    served.ok("receive ACME --by KE --line DYE 1 D7 2029-01 5.00")
    assert line_with(served.ok("ready L1"), "C2").endswith("issued")


def test_a_finished_case_is_left_out(served: Desk) -> None:
    served.ok("issue C1 --by NU")
    served.ok("finish C1 --as-kit --by NU")
    page = served.ok("ready L1")
    assert page.startswith("Can be served: 2 of 2 cases.")
    assert "Left out: C1 (finished)." in page


def test_a_cancelled_case_is_left_out(desk: Desk) -> None:
    with opened(desk.path) as book:
        case = find(book.db, Case, "C2")
    assert case is not None
    give(desk, replace(case, cancelled=True))
    page = desk.ok("ready L1")
    assert page.startswith("Can be served: 2 of 2 cases.")
    assert "Left out: C2 (cancelled)." in page


def test_a_list_of_which_every_case_is_finished_has_nothing_to_serve(served: Desk) -> None:
    served.ok("issue --list L1 --by NU")
    served.ok("finish --list L1 --as-kit --by NU")
    assert served.ok("ready L1").startswith("Nothing to serve")


def test_the_list_s_cases_are_drawn_in_their_sequence_from_one_shelf(served: Desk) -> None:
    served.ok("discard KNIFE 5 --from STORE --reason damaged --by KE")
    served.ok("discard KNIFE 1 --from OT1 --reason damaged --by KE")
    page = served.run("ready L1").out
    assert [line_with(page, case).split("not ready: ")[-1] for case in ("C1", "C2")] == [
        line_with(page, "C1"), line_with(page, "C2"),
    ]  # fmt: skip
    assert line_with(page, "C3").endswith("not ready: KNIFE 1 short")
    assert line_with(page, "KNIFE", "order").startswith("KNIFE 3 2 1 kit C3")


def test_quarantined_stock_is_named_with_its_quarantine(served: Desk) -> None:
    served.ok("quarantine start --item DYE --reason recall-notice --by MA")
    page = served.run("ready L1").out
    assert line_with(page, "C2").endswith("not ready: DYE 1 short")
    assert "3 in STORE in quarantine" in page


def test_a_missing_standby_line_makes_the_case_not_ready(served: Desk) -> None:
    served.ok("discard VIT 1 --from OT1 --reason damaged --by KE")
    page = served.run("ready L1")
    assert page.code == 6
    assert line_with(page.out, "C1").endswith("not ready: standby VIT 1 short")
    assert line_with(page.out, "VIT", "order").startswith("VIT 1 0 1 standby C1, C2 order 1")


def test_what_lies_in_another_theatre_is_offered(served: Desk) -> None:
    served.ok("move VIT 1 --from OT1 --to OT2 --by KE")
    page = served.run("ready L1").out
    assert line_with(page, "VIT", "fetch").endswith("fetch 1 from OT2 to OT1")


def test_many_missing_things_stay_few_words_in_the_line(desk: Desk) -> None:
    for item, place, lot in (("KNIFE", "OT1", "K1"), ("KNIFE", "STORE", "K2"),
                             ("IODINE", "OT1", "I1"), ("VIT", "OT1", "T1")):  # fmt: skip
        left = desk.on_hand(item, place)[place, lot]
        amount = left / 10 if item == "IODINE" else left
        desk.ok(f"discard {item} {amount} --from {place} --lot {lot} --reason damaged --by KE")
    assert line_with(desk.run("ready L1").out, "C2").endswith("standby VIT 1 short, 1 more")


def test_lots_that_expire_soon_are_a_short_warning(served: Desk) -> None:
    """V2 expires on the 91st day after the list."""
    assert "Warning" not in served.ok("ready L1")
    served.ok("book settings expiring_days 91 --by MA")
    page = served.ok("ready L1")
    assert "Warning: expires within 91 days: VISC V2 (2027-05-31)." in page.splitlines()


def test_as_data_the_names_stay(desk: Desk) -> None:
    found = json.loads(desk.run("ready L1 --json").out)
    verdict = found["verdict"]["rows"][0]
    assert (verdict["can_be_served"], verdict["cases"], verdict["not_ready"]) == ("no", 3, 1)
    assert (
        found["cases"]["rows"][1] | {"lot": "R2", "power_hundredths": 2100, "ready": "no"}
        == (found["cases"]["rows"][1])
    )
    missing = found["missing"]["rows"][0]
    assert (missing["item"], missing["short"], missing["nearest_act"]) == (
        "RINGL+21.00", 1, "none",
    )  # fmt: skip


def test_a_file_is_written_whatever_the_answer(desk: Desk) -> None:
    for name in ("ready.xlsx", "ready.csv", "evening.html"):
        path = desk.folder / name
        assert desk.run(["ready", "L1", "-o", str(path)]).code == 6
        assert path.stat().st_size > 100
    assert ".html" in desk.refused(["ready", "L1", "-o", str(desk.folder / "x.png")], 2)


def test_other_questions_have_no_page_to_print(desk: Desk) -> None:
    assert "wanted a file" in desk.refused(["stock", "-o", str(desk.folder / "x.html")], 2)


def test_shelf_labels_lead_the_walk(served: Desk) -> None:
    give(served, label("STORE", "VISC", "B7"))
    path = served.folder / "evening.html"
    served.ok(["ready", "L1", "-o", str(path)])
    assert "<td>B7</td><td>VISC</td>" in path.read_text()


@pytest.mark.parametrize("before", range(4))
def test_ready_then_issue_agree_on_the_small_site(served: Desk, before: int) -> None:
    """Whatever was discarded before: yes means the list is issued, a missing kit line refuses."""
    for line in ("KNIFE 5 --from STORE", "KNIFE 1 --from OT1", "DYE 3 --from STORE --lot D1")[
        :before
    ]:
        served.ok(f"discard {line} --reason damaged --by KE")
    assert agrees(served)


def agrees(desk: Desk) -> bool:
    """The answer beside what issuing does."""
    answer = desk.run("ready L1 --json")
    found = json.loads(answer.out)
    in_kit = any("kit" in row["missing_as"].split() for row in found["missing"]["rows"])
    assert answer.code == (0 if found["verdict"]["rows"][0]["can_be_served"] == "yes" else 6)
    assert desk.run("issue --list L1 --by NU -n").code == (3 if in_kit else 0)
    return True


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory, moved_in: object) -> Desk:
    """A site with kits and a list and nothing on its shelves."""
    from desk import SITE

    desk = new_desk(tmp_path_factory.mktemp("empty"))
    for kind in ("suppliers", "places", "staff", "items", "kits", "lists"):
        file = desk.file(f"{kind}.csv", SITE[kind])
        desk.ok(f"import {kind} {file} --by MA", today="2027-02-01")
    return desk


ITEMS = ("VISC", "VISC-B", "DYE", "KNIFE", "IODINE", "VIT", "FLATL+21.50")
LENSES = ("RINGL+21.00", "RINGL+21.50")
stocks = st.tuples(
    st.fixed_dictionaries(
        {i: st.tuples(st.integers(0, 5), st.integers(0, 5)) for i in (*ITEMS, *LENSES)}
    ),
    st.sampled_from(("2027-02-28", TODAY, "2028-01-31")),
)


@settings(
    max_examples=25,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(stocks)
def test_yes_means_the_list_is_issued_and_a_missing_line_refuses_it(
    empty: Desk, tmp_path_factory: pytest.TempPathFactory, stock: tuple
) -> None:
    folder = tmp_path_factory.mktemp("random") / "desk"
    shutil.copytree(empty.folder, folder)
    desk = Desk(folder)
    by_item, expiry = stock
    lines = ["item,place,quantity,lot,serial,expiry,received,total,terms,shadow",
             "OPIATE,STORE,1,O1,,2029-01,2027-01-10,,bought,"]  # fmt: skip
    for item, (here, store) in by_item.items():
        for place, most in (("OT1", here), ("STORE", store)):
            if item in LENSES:
                lines += [f"{item},{place},1,R,{place}{n}{item},2029-01,2027-01-10,5.00,bought,"
                          for n in range(most)]  # fmt: skip
            elif most:
                day = expiry if item in ("VISC", "DYE") else "2028-01-31"
                lines.append(f"{item},{place},{most},{item}{place},,{day},2027-01-10,,bought,")
    desk.ok(f"import opening-stock {desk.file('o.csv', chr(10).join(lines))} --by MA -y",
            today="2027-02-01")  # fmt: skip
    assert agrees(desk)
