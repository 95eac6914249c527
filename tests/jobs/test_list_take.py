"""A new list at seven in the evening: compared, shown with what follows, taken in one entry."""

from pathlib import Path

import pytest
from desk import LISTS, Desk
from terminal import Terminal

from jobs.pages import line_with
from jobs.proven import proven

HEAD = LISTS.splitlines(keepends=True)[0]
FIRST, SECOND, THIRD, FOURTH, FIFTH = LISTS.splitlines(keepends=True)[1:]


def take(desk: Desk, *rows: str) -> str:
    """The command that takes a file of these rows."""
    return f"list take {desk.file('new.csv', HEAD + ''.join(rows))} --by NU"


def test_the_same_file_changes_nothing(desk: Desk) -> None:
    last = desk.last()
    assert "new.csv: 5 cases; already as in the file." in desk.ok(take(desk, *LISTS.splitlines(
        keepends=True)[1:]))  # fmt: skip
    assert desk.last() == last


def test_a_new_list_is_shown_and_asked_about_before_it_is_taken(desk: Desk) -> None:
    row = FIRST.replace("L1", "L9").replace("C1", "C9").replace("P-1", "P-9")
    line = take(desk, row)
    assert "new.csv: 1 added." in desk.refused(line, 2)
    assert "Take it?" in desk.refused(line, 2)
    page = desk.ok(f"{line} -y")
    assert line_with(page, "added", "C9") == "added C9 L9 1: PHACO paid, right, RINGL +21.50"
    assert desk.rows("SELECT kind, document, movement_count, change_count FROM entry "
                     "WHERE number = 10") == [("list", "new.csv", 0, 2)]  # fmt: skip


def test_cases_added_gone_moved_resequenced_and_altered_are_told_apart(desk: Desk) -> None:
    page = desk.ok(take(
        desk, SECOND.replace("C2,2", "C2,1").replace("+21.00,dye", "+21.50,"),
        FIRST.replace("C1,1", "C1,2"),
        FOURTH.replace("L2,2027-03-01,OT2", "L1,2027-03-01,OT1").replace("C4,1", "C4,3"),
        FIRST.replace("C1,1,P-1", "C9,4,P-9"),
    ) + " -y")  # fmt: skip
    assert "1 added, 1 gone, 1 moved, 2 re-sequenced, 1 altered." in page
    assert line_with(page, "gone", "C3") == "gone C3 L1 3: PHACO free, left, FLATL +21.50 cancelled"
    assert line_with(page, "moved", "C4") == "moved C4 L2, 2027-03-01, OT2 L1, 2027-03-01, OT1"
    assert line_with(page, "sequence", "C1") == "sequence C1 1 2"
    assert line_with(page, "power") == "altered C2 power +21.00 power +21.50"
    assert line_with(page, "needs") == "altered C2 needs dye needs nothing"
    assert desk.rows("SELECT code, list, position, cancelled FROM theatre_case ORDER BY code") == [
        ("C1", "L1", 2, 0), ("C2", "L1", 1, 0), ("C3", "L1", 3, 1), ("C4", "L1", 3, 0),
        ("C5", "L2", 2, 0), ("C9", "L1", 4, 0),
    ]  # fmt: skip
    proven(desk)


def test_lenses_missing_freed_and_without_a_spare_are_shown(desk: Desk) -> None:
    """The store has RINGL +21.50 twice, FLATL +21.50 four times; two cases leave no spare."""
    page = desk.ok(take(desk, FIRST, SECOND.replace("+21.00", "+21.50")) + " -n")
    assert "Lens freed: FLATL +21.50." in page
    assert "Lens freed: RINGL +21.00." in page
    assert "Spare lost: no other RINGL +21.50 is left in reach." in page
    third = FIRST.replace("C1,1,P-1", "C9,4,P-9")
    page = desk.ok(take(desk, FIRST, SECOND.replace("+21.00", "+21.50"), THIRD, third) + " -n")
    words = "Lens missing: case C9, RINGL +21.50 (2 in reach, needed by cases before it)."
    assert words in page
    assert "Spare lost" not in page


def test_a_lens_in_another_theatre_is_out_of_reach(desk: Desk) -> None:
    moved = FOURTH.replace("L2,2027-03-01,OT2", "L1,2027-03-01,OT1")
    page = desk.ok(take(desk, FIRST, SECOND, THIRD, moved) + " -n")
    words = "Lens missing: case C4, FLATL +21.00 (none usable in reach; 2 in OT2)."
    assert words in page


def test_a_case_with_its_kit_on_the_trolley_stays_and_is_told(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    page = desk.ok(take(desk, FIRST.replace("+21.50", "+21.00"), SECOND) + " -y")
    words = line_with(page, "Stays: case C1")
    assert "altered in the file; its kit is on the trolley (entry 10)" in words
    assert "case cancel, case convert or case change" in words
    assert desk.rows("SELECT power FROM theatre_case WHERE code = 'C1'") == [(2150,)]
    page = desk.ok(take(desk, SECOND, THIRD) + " -y")
    assert "not in the file; its kit is on the trolley" in line_with(page, "Stays: case C1")
    assert desk.rows("SELECT cancelled FROM theatre_case WHERE code = 'C1'") == [(0,)]
    desk.ok("finish C1 --as-kit --by NU")
    assert "finished (entry" in line_with(desk.ok(take(desk, SECOND, THIRD)), "Stays: case C1")
    proven(desk)


def test_an_issued_case_may_be_resequenced(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    page = desk.ok(take(desk, FIRST.replace("C1,1", "C1,8"), SECOND, THIRD) + " -y")
    assert "1 re-sequenced." in page
    assert "Stays" not in page


def test_requirements_named_at_the_issue_stay(desk: Desk) -> None:
    desk.ok("issue C1 --with dye --by NU")
    assert "already as in the file" in desk.ok(take(desk, FIRST, SECOND, THIRD))


def test_a_list_whose_kits_wait_is_not_taken_to_another_theatre(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    rows = [row.replace("OT1", "OT2") for row in (FIRST, SECOND, THIRD)]
    assert "kits lie on the trolley of OT1 (C1)" in desk.refused(take(desk, *rows) + " -y", 3)


def test_a_list_moved_by_the_file_moves_its_cases(desk: Desk) -> None:
    rows = [row.replace("2027-03-01", "2027-03-02") for row in (FIRST, SECOND, THIRD)]
    page = desk.ok(take(desk, *rows) + " -y")
    assert "3 moved, 1 lists altered." in page
    assert line_with(page, "list", "L1") == "list L1 day 2027-03-01 day 2027-03-02"


def test_a_case_gone_by_one_list_comes_back_by_another(desk: Desk) -> None:
    desk.ok(take(desk, FIRST, SECOND) + " -y")
    moved = THIRD.replace("L1,2027-03-01,OT1", "L2,2027-03-01,OT2")
    page = desk.ok(take(desk, FOURTH, FIFTH, moved) + " -y")
    assert "1 taken back, 1 moved." in page
    assert desk.rows("SELECT list, cancelled FROM theatre_case WHERE code = 'C3'") == [("L2", 0)]


def test_a_case_cancelled_by_a_person_stays_cancelled(desk: Desk) -> None:
    desk.ok("case cancel C3 --by NU")
    page = desk.ok(take(desk, FIRST, SECOND, THIRD))
    assert "already as in the file" in page
    assert "Stays: case C3 (cancelled here; 'case change C3 --again' takes it back)." in page


def test_lists_that_the_file_does_not_name_stay_as_they_are(desk: Desk) -> None:
    desk.ok(take(desk, FIRST, SECOND) + " -y")
    assert desk.rows("SELECT cancelled FROM theatre_case WHERE list = 'L2'") == [(0,), (0,)]


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        (SECOND.replace("+21.00", "21.00"), "power", "a signed power such as +21.50"),
        (SECOND.replace("+21.00", "+21.25"), "power", "half dioptres; no RINGL here has quarters"),
        (SECOND.replace("+21.00", "+21.10"), "power", "a whole number of quarter dioptres"),
        (SECOND.replace("dye", "pupil"), "needs", "words of its kit; no line for pupil"),
        (FIRST, "case", "each once; C1 is in row 2"),
        (SECOND.replace("OT1", "OT9"), "theatre", "OT1, OT2"),
        (SECOND.replace("P-2", "Jo Name"), "patient", "a reference like"),
    ],
)
def test_a_row_that_cannot_be_is_named_and_nothing_is_taken(
    desk: Desk, row: str, column: str, words: str
) -> None:
    said = desk.refused(take(desk, FIRST, row) + " -y", 2)
    assert words in line_with(said, "3", column)


def test_a_minus_power_and_a_quarter_that_the_site_has_are_taken(desk: Desk) -> None:
    desk.ok("item new RINGL-0.25 --name 'Lens -0.25' --class lens --lens-model RINGL "
            "--power -0.25 --by MA")  # fmt: skip
    desk.ok(take(desk, FIRST, SECOND.replace("+21.00", "-0.25"), THIRD) + " -y")
    assert desk.rows("SELECT power FROM theatre_case WHERE code = 'C2'") == [(-25,)]


def test_the_sites_own_column_names_are_used_and_remembered(desk: Desk) -> None:
    text = LISTS.replace("patient", "Ref", 1)
    desk.file("own.csv", text)
    assert "lacks column patient" in desk.refused("list take own.csv --by NU", 2)
    desk.ok("list take own.csv --map Ref patient --by NU")
    assert "already as in the file" in desk.ok("list take own.csv --by NU")


@pytest.mark.parametrize(("typed", "code", "position"), [("n\n", 2, 1), ("y\n", 0, 9)])
def test_at_a_terminal_it_asks_once_and_takes_the_list_only_after_yes(
    tmp_path: Path, typed: str, code: int, position: int
) -> None:
    desk = Desk(tmp_path, today="2027-02-22")
    desk.ok("demo -q")
    row = "OT9,2027-02-24,OT1,C9001,{},P-90001,right,PHACO,paid\n"
    head = "list,day,theatre,case,position,patient,eye,procedure,category\n"
    desk.ok(f"list take {desk.file('a.csv', head + row.format(1))} --by NA -y")
    desk.file("b.csv", head + row.format(9))
    terminal = Terminal.start(["list", "take", "b.csv", "--by", "NA"], tmp_path)
    terminal.read_until("Take it?")
    assert "1 re-sequenced" in terminal.screen
    terminal.type(typed)
    assert terminal.end() == code
    assert desk.rows("SELECT position FROM theatre_case WHERE code = 'C9001'") == [(position,)]


def test_a_dry_run_asks_nothing_and_leaves_the_book_byte_identical(desk: Desk) -> None:
    before = desk.path.read_bytes()
    assert "it would be entry 10" in desk.ok(take(desk, FIRST, SECOND) + " -n")
    assert desk.path.read_bytes() == before


def test_lists_are_taken_by_nurse_and_manager_alone(desk: Desk) -> None:
    line = take(desk, FIRST, SECOND)
    assert "KE is keeper" in desk.refused(line.replace("NU", "KE") + " -y", 3)
    desk.ok(line.replace("NU", "MA") + " -y")


def test_a_new_list_s_cases_may_have_requirements(desk: Desk) -> None:
    text = (
        "list,day,theatre,case,position,patient,eye,procedure,category,lens_model,power,needs\n"
        "N1,2027-03-05,OT1,N1-1,1,P-7,left,PHACO,paid,RINGL,+21.00,{}\n"
    )
    said = desk.refused(f"list take {desk.file('n.csv', text.format('stent'))} --by NU -y", 2)
    assert "no line for stent" in said
    assert "1 added" in desk.ok(f"list take {desk.file('n.csv', text.format('dye'))} --by NU -y")
