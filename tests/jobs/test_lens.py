"""`lens bank`: what lies there, how well it serves, what to add, what to send back."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from desk import Desk, new_desk, small_site


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return small_site(tmp_path)


def sheet(desk: Desk, line: str, name: str = "lens_bank") -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = json.loads(desk.ok(f"lens bank {line} --json"))[name]["rows"]
    return rows


def cell(desk: Desk, item: str, line: str = "") -> dict[str, Any]:
    [found] = [row for row in sheet(desk, line) if row["item"] == item]
    return found


def used(desk: Desk, *cases: str) -> None:
    for case in cases:
        desk.ok(f"finish {case} --as-kit --by NU -y")


def past(desk: Desk, *rows: str) -> None:
    desk.ok(f"import past-use {desk.file('past.csv', past_use(rows))} --by MA -y")


def past_use(rows: tuple[str, ...]) -> str:
    return "item,month,quantity\n" + "".join(f"{row}\n" for row in rows)


def test_on_hand_is_what_is_usable_on_shelves(desk: Desk) -> None:
    assert cell(desk, "FLATL+21.50")["on_hand"] == 4
    desk.ok("quarantine start --item FLATL+21.50 --reason suspected-defect --by MA -y")
    assert cell(desk, "FLATL+21.50")["on_hand"] == 0
    assert "Not to be used and not counted: 4." in desk.ok("lens bank")


def test_a_lens_on_the_trolley_is_neither_on_hand_nor_used(desk: Desk) -> None:
    desk.ok("issue C4 --partial --by NU -y")
    found = cell(desk, "FLATL+21.00")
    assert (found["on_hand"], found["used"]) == (1, 0)


def test_used_is_what_was_implanted_and_past_use_counts_too(desk: Desk) -> None:
    past(desk, "FLATL+21.50,2026-12,30", "FLATL+21.50,2027-01,40")
    used(desk, "C3")
    found = cell(desk, "FLATL+21.50")
    assert (found["used"], found["use_days"]) == (71, 29 + 31 + 31)
    assert found["weeks_of_cover"] == 5  # tenths: 3 lenses, 71 in 13 weeks
    assert found["not_used"] == "no"


def test_a_wasted_lens_is_no_use_of_the_power(desk: Desk) -> None:
    desk.ok("finish C3 --as-kit --wasted FLATL+21.50 1 dropped --by NU -y")
    assert cell(desk, "FLATL+21.50")["used"] == 0


def test_a_reversed_finish_is_no_use(desk: Desk) -> None:
    used(desk, "C3")
    number = desk.last()[0]
    desk.ok(f"reverse {number} --reason wrong-case --by NU -y")
    assert cell(desk, "FLATL+21.50")["used"] == 0


def test_what_was_not_used_in_twelve_months_is_marked(desk: Desk) -> None:
    used(desk, "C3")
    assert cell(desk, "FLATL+21.00")["not_used"] == "yes"
    assert cell(desk, "FLATL+21.00")["weeks_of_cover"] is None
    page = desk.ok("lens bank --model FLATL")
    [line] = [text for text in page.splitlines() if text.startswith(" +21.00")]
    assert "idle" in line


def test_the_grid_has_powers_down_and_models_across(desk: Desk) -> None:
    lines = desk.ok("lens bank").splitlines()
    [top] = [line for line in lines if line.startswith("  Power")]
    assert top.split() == ["Power", "FLATL", "RINGL"]
    [row] = [line for line in lines if line.startswith(" +21.50")]
    assert row.split()[1].startswith("4/0/")
    assert row.split()[2].startswith("2/0/")


def test_every_page_reads_on_eighty_columns(desk: Desk) -> None:
    for line in ("", "--model RINGL", "--budget 9000", "--size 30 --no-spare"):
        page = desk.ok(f"lens bank {line}")
        assert [text for text in page.splitlines() if len(text) > 80] == []


def test_many_models_make_several_grids(desk: Desk) -> None:
    rows = [f"M{n}+21.00,Lens M{n},lens,M{n},+21.00" for n in range(9)]
    items = "\n".join(["item,name,class,lens_model,power", *rows, ""])
    desk.ok(f"import items {desk.file('more.csv', items)} --by MA -y")
    page = desk.ok("lens bank")
    assert sum(line.startswith("  Power") for line in page.splitlines()) == 2
    assert [text for text in page.splitlines() if len(text) > 80] == []


def test_a_model_without_history_says_so_and_is_left_out_beside_others(desk: Desk) -> None:
    used(desk, "C3")
    page = desk.ok("lens bank")
    assert "RINGL: no basis but the published shape." in page
    assert {row["best"] for row in sheet(desk, "") if row["lens_model"] == "RINGL"} == {None}
    alone = desk.ok("lens bank --model RINGL")
    assert "no basis but the published shape" in alone
    assert all(row["best"] is not None for row in sheet(desk, "--model RINGL"))


def test_without_any_use_all_models_count_alike(desk: Desk) -> None:
    assert "No use was seen: no basis but the published shape." in desk.ok("lens bank")
    models = sheet(desk, "", "lens_models")
    assert {row["share"] for row in models} == {500_000}
    assert {row["basis"] for row in models} == {"no basis but the published shape"}


def test_the_chances_are_told_without_and_with_the_spare(desk: Desk) -> None:
    rows = sheet(desk, "--model RINGL --next 2", "lens_chances")
    now = {row["spare"]: row for row in rows if row["bank"] == "now"}
    assert now["no"]["finds_power"] == 1_000_000
    assert now["yes"]["finds_power"] < 1_000_000
    assert now["no"]["finds_power_places"] == 6
    assert now["yes"]["all_served_exactly"] == 0  # one lens besides the spare, two patients


def test_the_best_bank_has_the_size_asked_for(desk: Desk) -> None:
    rows = sheet(desk, "--size 9 --no-spare")
    assert sum(row["best"] for row in rows) == 9
    assert sum(row["best"] for row in sheet(desk, "")) == 9  # as many as lie there


def test_what_is_added_and_what_stays_make_the_best_bank(desk: Desk) -> None:
    line = "--size 12 --next 12"
    best = {row["item"]: row["best"] - row["on_hand"] for row in sheet(desk, line)}
    for row in sheet(desk, line, "lenses_to_add"):
        assert best.pop(row["item"]) == row["lenses"]
    for row in sheet(desk, line, "lenses_to_send_back"):
        best[row["item"]] += row["lenses"]
    # What a coming case is planned with stays, whatever the best bank says.
    planned = {row["item"]: row["planned"] for row in sheet(desk, line)}
    assert all(-planned[item] <= more <= 0 for item, more in best.items())


def test_the_soonest_expiry_goes_back_first(desk: Desk) -> None:
    header = "item,place,quantity,lot,serial,expiry,received,total,terms,shadow\n"
    rows = "FLATL+21.00,STORE,40,LATE,,2029-06,2027-01-10,40.00,bought,\n" + (
        "FLATL+21.00,STORE,3,SOON,,2027-09,2027-01-10,3.00,bought,\n"
    )
    desk.ok(f"import opening-stock {desk.file('open.csv', header + rows)} --by MA -y")
    back = sheet(desk, "--model FLATL --size 20", "lenses_to_send_back")
    lots = [row["lot"] for row in back if row["item"] == "FLATL+21.00"]
    assert lots[0] == "SOON"


def test_a_lens_that_a_coming_case_is_planned_with_is_not_sent_back(desk: Desk) -> None:
    """C1 waits for RINGL +21.50, C2 for RINGL +21.00: both stay though one lens is asked for."""
    planned = {row["item"]: row["planned"] for row in sheet(desk, "--model RINGL")}
    assert planned == {"RINGL+21.00": 1, "RINGL+21.50": 1}
    back = sheet(desk, "--model RINGL --size 1", "lenses_to_send_back")
    assert [(row["item"], row["lenses"]) for row in back] == [("RINGL+21.50", 1)]
    desk.ok("case cancel C1 --by NU -y")
    assert cell(desk, "RINGL+21.50")["planned"] == 0


def test_a_budget_only_adds_and_is_never_exceeded(desk: Desk) -> None:
    added = sheet(desk, "--budget 5000 --model RINGL", "lenses_to_add")
    assert 0 < sum(row["cost_minor"] for row in added) <= 500_000
    assert {row["cost_minor"] // row["lenses"] for row in added} == {240_000}
    assert sheet(desk, "--budget 5000 --model RINGL", "lenses_to_send_back") == []
    assert "of 5,000.00" in desk.ok("lens bank --budget 5000 --model RINGL")


def test_a_budget_that_pays_for_no_lens_says_so(desk: Desk) -> None:
    said = desk.ok("lens bank --budget 1 --model RINGL")
    assert "To add: the budget pays for nothing that is wanted." in said


def test_a_power_never_paid_for_costs_as_the_dearest_of_its_model(desk: Desk) -> None:
    """FLATL +21.50 was donated, +21.00 cost 300.00 each."""
    added = sheet(desk, "--budget 6000 --model FLATL", "lenses_to_add")
    assert {row["cost_minor"] // row["lenses"] for row in added} == {30_000}


def test_the_settings_of_the_shape_count_and_are_printed(desk: Desk) -> None:
    before = cell(desk, "FLATL+21.00")["share"]
    desk.ok("book settings lens_power_mean 19.75 --by MA")
    desk.ok("book settings lens_power_sd 1 --by MA")
    assert cell(desk, "FLATL+21.00")["share"] > before
    page = " ".join(desk.ok("lens bank").split())
    assert "19.75 dioptres with a standard deviation of 1" in page
    assert "lens_power_mean" in page


@pytest.mark.parametrize("setting", [
    "lens_power_mean 9", "lens_power_mean 31", "lens_power_mean x", "lens_power_sd 0",
    "lens_power_sd 0.49", "lens_power_sd 11", "lens_power_sd 2.555",
])  # fmt: skip
def test_an_impossible_shape_is_refused(desk: Desk, setting: str) -> None:
    assert setting.split()[0] in desk.refused(f"book settings {setting} --by MA", 2)


@pytest.mark.parametrize(("line", "words"), [
    ("--model NONE", "lens model: NONE is not in this book. There is: FLATL, RINGL."),
    ("--model RINGLE", "Near: RINGL."),
    ("--size 0", "--size: found '0', wanted 1 to 10000 lenses."),
    ("--size -4", "wanted 1 to 10000 lenses"),
    ("--size 10001", "wanted 1 to 10000 lenses"),
    ("--size 1.5", "wanted a whole number"),
    ("--next 0", "wanted 1 to 500 patients"),
    ("--next 501", "wanted 1 to 500 patients"),
    ("--budget 0", "wanted more than nothing"),
    ("--budget -5", "wanted nothing or more"),
    ("--budget 100 --size 3", "not both"),
])  # fmt: skip
def test_what_cannot_be_asked_is_told(desk: Desk, line: str, words: str) -> None:
    assert words in desk.refused(f"lens bank {line}", 2)


def test_a_budget_without_any_price_is_told(tmp_path: Path) -> None:
    desk = new_desk(tmp_path)
    items = "item,name,class,lens_model,power\nA+21.00,Lens,lens,A,+21.00\n"
    desk.ok(f"import items {desk.file('items.csv', items)} --by MA -y")
    assert "no price is known" in desk.refused("lens bank --budget 500", 2)
    assert "--size N" in desk.refused("lens bank --budget 500", 2)
    assert "Now (0)" in desk.ok("lens bank")
    assert "To send back: nothing." in desk.ok("lens bank --size 3")


def test_a_book_without_lenses_says_so(tmp_path: Path) -> None:
    assert "there is no lens in this book yet" in new_desk(tmp_path).refused("lens bank", 2)


def test_more_lenses_than_anybody_wants_are_not_proposed(desk: Desk) -> None:
    page = desk.ok("lens bank --model RINGL --size 9000 --next 1")
    assert "add nothing for so few patients" in page


def test_the_caution_stands_on_every_page(desk: Desk) -> None:
    for line in ("", "--model RINGL", "--budget 3000"):
        page = " ".join(desk.ok(f"lens bank {line}").split())
        assert "never chooses a lens for a patient and computes no power" in page


def test_the_csv_and_a_file_hold_every_power(desk: Desk) -> None:
    text = desk.ok("lens bank --csv").split("\n\n")[0]
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["item"] for row in rows] == [
        "FLATL+21.00", "FLATL+21.50", "RINGL+21.00", "RINGL+21.50",
    ]  # fmt: skip
    assert rows[0]["power"] == "+21.00"
    desk.ok(["lens", "bank", "-o", str(desk.folder / "bank.xlsx")])
    assert (desk.folder / "bank.xlsx").stat().st_size > 0


def test_the_past_is_asked_with_the_same_words(desk: Desk) -> None:
    used(desk, "C3")
    before = desk.ok("lens bank --as-of 2027-02-02 --json", today="2027-03-02")
    rows = json.loads(before)["lens_bank"]["rows"]
    assert [r["on_hand"] for r in rows if r["item"] == "FLATL+21.50"] == [4]
    assert [r["used"] for r in rows if r["item"] == "FLATL+21.50"] == [0]


def test_what_is_on_order_is_shown_and_taken_off_what_is_to_be_added(desk: Desk) -> None:
    before = {row["item"]: row["lenses"] for row in sheet(desk, "--size 12", "lenses_to_add")}
    item = max(before, key=lambda code: before[code])
    desk.ok(f"order new ACME --line-at {item} 1 100 --due 2027-03-20 --by KE")
    assert cell(desk, item)["on_order"] == 1
    page = desk.ok("lens bank")
    assert "+ 1" in page
    assert "+: on order." in page
    after = {row["item"]: row["lenses"] for row in sheet(desk, "--size 12", "lenses_to_add")}
    assert after.get(item, 0) == before[item] - 1


def test_a_power_that_more_cases_are_planned_with_than_lie_there_is_added(desk: Desk) -> None:
    head = "list,day,theatre,case,position,patient,eye,procedure,category,lens_model,power"
    rows = [f"LX,2027-03-09,OT1,X{n},{n},P-{n}9,left,PHACO,paid,RINGL,+21.00" for n in range(1, 8)]
    desk.ok(f"import lists {desk.file('x.csv', chr(10).join([head, *rows]))} --by MA -y")
    added = {row["item"]: row["lenses"] for row in sheet(desk, "--size 2", "lenses_to_add")}
    assert added["RINGL+21.00"] == 7 + 1 - 1
