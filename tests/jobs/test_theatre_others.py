"""A sitting in theatre and what disturbs it: other people, doubled scans, noise."""

import io
import sys

import pytest
from desk import SITE, Desk

from jobs.proven import of_case, on_trolleys, proven
from jobs.test_theatre import RESCUE, VISC_V2, sit
from stockbook.domain.entries import Signature
from stockbook.errors import Refused
from stockbook.jobs.theatre import sit_down, take_scan
from stockbook.ledger.opening import open_book

SIGNED = Signature("NU", "2027-03-01", "2027-03-01T08:00:00Z", "2027-03-01")
LENS = "RINGL+21.50 S1"


@pytest.fixture
def issued(desk: Desk) -> Desk:
    desk.ok("issue C1 --by NU")
    return desk


@pytest.fixture
def rescue(desk: Desk) -> Desk:
    desk.ok(f"import kits {desk.file('rescue.csv', RESCUE)} --by MA -y")
    desk.ok("issue C1 --by NU")
    return desk


def piped(desk: Desk, text: bytes, monkeypatch: pytest.MonkeyPatch, *more: str, code: int) -> str:
    """Scans from a pipe, byte by byte as they come; all that was said."""
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text), encoding="utf-8"))
    answer = desk.run(["theatre", "L1", *more])
    assert answer.code == code, f"{answer.out}\n{answer.err}"
    return answer.out + answer.err


# What is scanned twice


def test_a_lens_scanned_twice_is_one_lens(issued: Desk) -> None:
    said = sit(issued, "C1", LENS, LENS, "NEXT")
    assert "RINGL+21.50 lot S1: scanned before, counted once." in said
    assert of_case(issued, "C1")["used/paid", "S1"][0] == 1
    proven(issued)


def test_a_lens_scanned_for_one_case_is_refused_for_another(issued: Desk) -> None:
    issued.ok("case change C3 --lens RINGL --power +21.50 --by NU")
    issued.ok("issue C3 --by NU")
    said = sit(issued, "C1", LENS, "C3", LENS, code=2)
    assert "!! RINGL+21.50 S1 was scanned for C1. One lens, one case." in said


def test_a_lens_that_was_used_before_is_refused(issued: Desk) -> None:
    issued.ok("case change C3 --lens RINGL --power +21.50 --by NU")
    issued.ok("issue C3 --by NU")
    said = sit(issued, "C1", LENS, "NEXT", "C3", LENS, code=2)
    assert "!! RINGL+21.50 S1 was used or wasted before. Read the pack again." in said


def test_a_lens_seen_on_another_cases_trolley_is_refused(desk: Desk) -> None:
    desk.ok("issue C1 --lot RINGL+21.50 S2 --by NU")
    desk.ok("case change C3 --lens RINGL --power +21.50 --by NU")
    said = sit(desk, "C3", "RINGL+21.50 S2", code=2)
    assert "!! RINGL+21.50 S2 was seen for C1. One lens, one case." in said


def test_next_twice_finishes_one_case(issued: Desk) -> None:
    said = sit(issued, "C1", "NEXT", "NEXT", code=2)
    assert "C1 finished, entry 11." in said
    assert "!! no case is current. Scan its strip first." in said
    assert issued.last()[0] == 11


def test_rescue_twice_is_one_rescue_kit_until_it_is_asked_once_more(rescue: Desk) -> None:
    said = sit(rescue, "C1", "RESCUE", "RESCUE", "NEXT")
    assert "C1 has a rescue kit (entry" in said
    kinds = [kind for (kind,) in rescue.rows("SELECT kind FROM entry WHERE document = 'C1'")]
    assert kinds.count("rescue") == 1
    proven(rescue)


def test_packs_of_one_item_are_counted_as_they_are_scanned(issued: Desk) -> None:
    said = sit(issued, "C1", VISC_V2, VISC_V2, VISC_V2)
    assert "as presumed (1 of 2)" in said
    assert "besides the kit (3 of 2)" in said


# Lenses that are not there


def test_a_case_that_would_end_without_a_lens_is_asked_about(desk: Desk) -> None:
    desk.ok("discard RINGL+21.50 1 --lot S1 --from STORE --reason damaged --by KE")
    desk.ok("discard RINGL+21.50 1 --lot S2 --from STORE --reason damaged --by KE")
    desk.ok("issue C1 --partial --by NU")
    said = sit(desk, "C1", "NEXT")
    assert "C1 HAS NO LENS. Scan the lens; if none was implanted, NEXT once more." in said
    assert "finished" not in said.partition("as it stands")[0]
    assert "C1 finished" in sit(desk, "NEXT")
    proven(desk)


def test_the_lens_that_a_partial_issue_lacked_is_drawn_when_it_is_scanned(desk: Desk) -> None:
    desk.ok("move RINGL+21.50 1 --lot S1 --from STORE --to QUAR --by KE")
    desk.ok("move RINGL+21.50 1 --lot S2 --from STORE --to QUAR --by KE")
    desk.ok("issue C1 --partial --by NU")
    desk.ok("move RINGL+21.50 1 --lot S1 --from QUAR --to STORE --by KE")
    said = sit(desk, "C1", LENS, "NEXT")
    assert "was missing at the issue: drawn now" in said
    assert of_case(desk, "C1")["used/paid", "S1"][0] == 1
    proven(desk)


def test_a_plan_that_changed_after_the_lens_was_scanned_stops_next(desk: Desk) -> None:
    sit(desk, "C1", LENS)
    desk.ok("case change C1 --power +21.00 --by NU")
    last = desk.last()
    assert "NOT THE LENS of case C1" in sit(desk, "NEXT", code=2)
    assert desk.last() == last


def test_what_is_missing_stands_under_the_refusal(desk: Desk) -> None:
    desk.ok("discard KNIFE 3 --lot K1 --from OT1 --reason damaged --by KE")
    desk.ok("discard KNIFE 5 --lot K2 --from STORE --reason damaged --by KE")
    said = sit(desk, "C1", "NEXT", code=2)
    assert "!! Not issued: case C1 cannot be served in full." in said
    assert "none anywhere" in said


# Bottles and boxes


def test_a_bottle_confirms_what_the_kit_took_of_it_once(issued: Desk) -> None:
    said = sit(issued, "C1", "IODINE I1", "IODINE I1", "NEXT")
    assert "IODINE lot I1, 2.5 ml: as presumed." in said
    assert "IODINE lot I1: scanned before, counted once." in said
    assert of_case(issued, "C1")["used/paid", "I1"][0] == 25
    proven(issued)


def test_a_bottle_that_is_in_no_kit_says_how_to_record_so_much_of_it(desk: Desk) -> None:
    desk.ok("issue C3 --by NU")
    said = sit(desk, "C3", "IODINE I1", code=2)
    assert "a scan says no ml. First stockbook issue C3 --extra IODINE QTY, then scan it." in said
    desk.ok("issue C3 --extra IODINE 1.5 --by NU")
    sit(desk, "C3", "IODINE I1", "NEXT")
    assert of_case(desk, "C3")["used/free", "I1"][0] == 15


def test_a_bottle_that_was_confirmed_and_then_fell_is_one_bottle(issued: Desk) -> None:
    sit(issued, "C1", "IODINE I1", "DROPPED", "IODINE I1", "NEXT")
    assert of_case(issued, "C1")["waste/paid", "I1"][0] == 25
    assert ("used/paid", "I1") not in of_case(issued, "C1")


def test_no_more_is_returned_than_lies_on_the_trolley(issued: Desk) -> None:
    back = ("RETURNED", "KNIFE K1")
    said = sit(issued, "C1", "KNIFE K1", *back, *back, "RETURNED", "VIT T1", code=2)
    assert "!! KNIFE: 1 on the trolley, none of it left to return." in said
    assert "!! VIT: 0 on the trolley, none of it left to return." in said
    sit(issued, "UNDO", "NEXT")
    assert of_case(issued, "C1").get(("used/paid", "K1")) is None
    proven(issued)


def test_a_box_is_not_a_pack(issued: Desk) -> None:
    said = sit(issued, "C1", "]d201195211015300081728013110V2", code=2)
    assert "!! outer pack of 10 VISC. Scan the unit's own pack, or type VISC LOT." in said


# Cancelled and converted


def test_an_extra_that_was_opened_for_a_cancelled_case_is_wasted_from_its_shelf(
    issued: Desk,
) -> None:
    said = sit(issued, "C1", "VIT T1", "KNIFE K1", "CANCEL")
    assert "C1 cancelled, entry 11; 2 packs wasted." in said
    assert of_case(issued, "C1").keys() == {("waste/paid", "T1"), ("waste/paid", "K1")}
    assert issued.on_hand("VIT") == {}
    proven(issued)


def test_a_pack_opened_for_a_case_that_was_never_issued_is_wasted(desk: Desk) -> None:
    sit(desk, "C1", "KNIFE K1", "VISC V77 2029-01-31", "CANCEL")
    assert of_case(desk, "C1").keys() == {("waste/paid", "K1"), ("waste/paid", "V77")}
    proven(desk)


def test_an_act_that_waits_stops_cancel(issued: Desk) -> None:
    assert "DROPPED waits for what it is about" in sit(issued, "C1", "DROPPED", "CANCEL", code=2)


def test_a_case_converted_into_what_it_is_says_so(rescue: Desk) -> None:
    assert "C1 is PHACO already." in sit(rescue, "C1", "CONVERT", "KIT/PHACO")


def test_with_the_last_case_cancelled_ends_what_the_list_used_in_common(rescue: Desk) -> None:
    rescue.ok("case cancel C3 --by NU")
    sit(rescue, "C1", "NEXT")
    assert on_trolleys(rescue) != []
    assert "L1 finished" in sit(rescue, "C2", "CANCEL")
    assert on_trolleys(rescue) == []
    proven(rescue)


def test_what_is_in_common_and_left_over_is_named_at_the_end(rescue: Desk) -> None:
    for case in ("C2", "C3"):
        rescue.ok(f"case cancel {case} --by NU")
    rescue.ok("finish C1 --as-kit --by NU")
    assert "Used in common, still on the trolley: stockbook finish L1" in sit(rescue, "LEAVE")


# What others do meanwhile


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("finish C1 --as-kit --by NU", "is finished (entry 11)"),
        ("case cancel C1 --by NU", "is cancelled"),
    ],
)
def test_what_waits_for_a_case_that_somebody_ended_is_shown_and_dropped(
    issued: Desk, line: str, words: str
) -> None:
    sit(issued, "C1", VISC_V2)
    issued.ok(line)
    last = issued.last()
    assert f"case C1 {words} meanwhile. UNDO drops its 1 scan." in sit(issued, "NEXT", code=2)
    said = sit(issued, "C1", "UNDO", "C1", code=2)
    assert f"!! case C1 {words}. UNDO drops what still waits: VISC V2." in said
    assert "VISC lot V2, 1: taken back." in said
    assert f"!! case C1 {words}. Not taken." in said
    assert issued.last() == last


def test_a_case_that_a_new_list_leaves_out_meanwhile_is_recorded_no_more(desk: Desk) -> None:
    sit(desk, "C2", "KNIFE K1")
    head, *rows = SITE["lists"].splitlines()
    left = [row for row in rows if row.startswith("L1") and ",C2," not in row]
    desk.ok(f"list take {desk.file('new.csv', chr(10).join([head, *left, '']))} --by NU -y")
    assert "!! case C2 is cancelled meanwhile. UNDO drops its 1 scan." in sit(desk, "NEXT", code=2)
    proven(desk)


def test_a_case_moved_to_another_list_is_not_recorded_here(desk: Desk) -> None:
    sit(desk, "C1", VISC_V2)
    desk.ok("case change C1 --list L2 --position 9 --by NU")
    said = sit(desk, "NEXT", code=2)
    assert "!! case C1 is of list L2, not of L1 meanwhile. UNDO drops its 1 scan." in said
    assert "Never recorded, C1 is over: C1 VISC lot V2. Scan its strip, UNDO drops it." in said


def test_the_same_code_at_a_second_terminal_goes_on_alone(issued: Desk) -> None:
    book = open_book(issued.path)
    _, first = sit_down(book, SIGNED, "L1")
    _, second = sit_down(book, SIGNED, "L1")
    take_scan(book, SIGNED, "L1", "C1", seat=second.seat)
    with pytest.raises(Refused, match=r"goes on at another terminal\. LEAVE, and sit down again"):
        take_scan(book, SIGNED, "L1", VISC_V2, seat=first.seat)
    assert take_scan(book, SIGNED, "L1", "LEAVE", seat=first.seat).left
    assert take_scan(book, SIGNED, "L1", "NEXT", seat=second.seat).words.startswith("C1 finished")
    book.close()


def test_a_list_that_is_over_leaves_no_sitting_behind(issued: Desk) -> None:
    sit(issued, "C1", "NEXT", "C2", VISC_V2)
    assert issued.rows("SELECT COUNT(*) FROM sitting") == [(1,)]
    sit(issued, "UNDO", "C2", "NEXT", "C3", "NEXT")
    assert issued.rows("SELECT COUNT(*) FROM sitting") == [(0,)]


def test_a_lens_corrected_afterwards_is_back_in_the_tally(issued: Desk) -> None:
    sit(issued, "C1", LENS, "NEXT")
    issued.ok("case change C1 --not-used RINGL+21.50 1 --reason written-late --by NU")
    assert "Lenses: 1 out = 0 implanted + 0 spoiled + 1 back." in sit(issued, "LEAVE")


def test_a_lens_exchanged_for_another_of_its_kind_is_one_lens_out(issued: Desk) -> None:
    said = sit(issued, "C1", "RINGL+21.50 S2", "NEXT")
    assert "Lenses: 1 out = 1 implanted + 0 spoiled + 0 back." in said


def test_a_pack_the_book_lacks_is_used_instead_of_the_presumed_one(issued: Desk) -> None:
    sit(issued, "C1", "VISC V77 2029-01-31", "VISC V77", "NEXT")
    used = {lot: n for (_, lot), (n, _) in of_case(issued, "C1").items() if lot.startswith("V")}
    assert used == {"V77": 2}
    assert sum(issued.on_hand("VISC").values()) == 15
    proven(issued)


# Who sits, and what comes through the pipe


@pytest.mark.parametrize(
    ("first", "words"),
    [
        ("STAFF/XX", "XX is not in this book"),
        ("CASE/C1", "CASE/C1: nobody sits here yet. Scan your badge first."),
        ("\n\n", "Who records this?"),
    ],
)
def test_the_first_scan_is_a_badge_of_this_book(
    issued: Desk, monkeypatch: pytest.MonkeyPatch, first: str, words: str
) -> None:
    before = issued.path.read_bytes()
    assert words in piped(issued, first.encode(), monkeypatch, code=2)
    assert issued.path.read_bytes() == before


def test_a_pipe_with_empty_lines_and_no_last_line_end_is_read_whole(
    issued: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = piped(issued, b"STAFF/NU\r\n\n \r\nCASE/C1\n\nACT/NEXT", monkeypatch, code=0)
    assert "C1 finished" in said


def test_bytes_that_are_no_text_are_one_refused_scan(
    issued: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = piped(issued, b"C1\n\xff\xfe\n]d2\xc3\x28\nNEXT\n", monkeypatch, "--by", "NU", code=2)
    assert "C1 finished" in said
    assert "2 scans refused." in said


def test_the_end_of_input_in_the_middle_of_a_case_keeps_what_was_scanned(
    issued: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = piped(issued, f"C1\n{VISC_V2}\n".encode(), monkeypatch, "--by", "NU", code=0)
    assert "Waits to be recorded: C1 VISC lot V2" in said
    assert "Resumed: 1 scan not recorded yet; current case: C1." in sit(issued, "NEXT")


def test_yesterdays_list_is_scanned_as_yesterday(desk: Desk) -> None:
    line = ["theatre", "L1", "C1", LENS, "NEXT", "--by", "NU", "--on", "yesterday", "--at", "16:40"]
    assert "C1 finished" in desk.ok(line, today="2027-03-02")
    assert desk.rows("SELECT DISTINCT happened_on, happened_at FROM entry WHERE number > 9") == [
        ("2027-03-01", "16:40")
    ]


ONE_LINE = [
    (["C4"], "case C4 is of list L2, not of L1. Not taken."),
    (["C1", "RINGL+21.00 S3"], "NOT THE LENS of case C1: RINGL+21.00 in the hand, "),
    (["NEXT"], "no case is current. Scan its strip first."),
    (["C1", "STAFF/KE"], "NU sits here. LEAVE first, then KE signs in."),
    (["C1", "DROPPED", "NEXT"], "DROPPED waits for what it is about. Scan that, or UNDO."),
    (["C1", "NEXT", "C1"], "case C1 is finished (entry 11). Not taken."),
    (["C1", "KIT/SICS"], "SICS: scan CONVERT before the kit of another procedure."),
]


@pytest.mark.parametrize(("scans", "words"), ONE_LINE)
def test_a_refusal_says_what_is_wrong_in_one_line_of_a_terminal(
    issued: Desk, scans: list[str], words: str
) -> None:
    refused = [x for x in sit(issued, *scans, code=2).splitlines() if x.startswith("!! ")]
    assert words in refused[0]
    assert len(f"!! {words}") <= 80
