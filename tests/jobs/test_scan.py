"""`stockbook scan`: what a scan means here; nothing is recorded, every line is answered."""

import contextlib
import io
import json
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk import TODAY, Answer, Desk
from scanner import objects, scanned
from terminal import Terminal

from stockbook.domain.scan_elements import GS
from stockbook.domain.scans import merge, read_symbol
from stockbook.jobs.scan import what_is

VISC, BOX = "09521101530001", "19521101530008"


def told(desk: Desk, *scans: str | bytes, words: tuple[str, ...] = ()) -> Answer:
    """The answer to these scans; the book is as it was."""
    before = desk.path.read_bytes()
    content = b"".join(s if isinstance(s, bytes) else s.encode() + b"\r\n" for s in scans)
    answer = scanned(content, *words, book=desk.path, day=TODAY)
    assert desk.path.read_bytes() == before
    return answer


def test_a_pack_is_its_item_with_level_and_units(desk: Desk) -> None:
    answer = told(desk, VISC, f"]d201{BOX}")
    assert answer.code == 0
    assert answer.out.splitlines() == [
        "VISC Viscoelastic, each of 1",
        "VISC Viscoelastic, outer of 10; sent as ]d2",
    ]


def test_a_printed_lot_is_in_this_book_or_new_to_it(desk: Desk) -> None:
    answer = told(desk, f"]d201{VISC}1727053110V2{GS}", f"]d201{VISC}1728053110V9{GS}")
    first, second = answer.out.splitlines()
    assert "lot V2, in this book; expires 2027-05-31, 91 days left" in first
    assert "lot V9, new to this book; expires 2028-05-31, 457 days left" in second


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ("270228", "EXPIRED 2027-02-28, 1 day ago"),
        ("270301", "expires 2027-03-01, 0 days left"),
        ("270302", "expires 2027-03-02, 1 day left"),
        ("270300", "expires 2027-03, 30 days left; printed without a day"),
    ],
)
def test_a_pack_is_usable_through_its_expiry(desk: Desk, day: str, words: str) -> None:
    assert words in told(desk, f"01{VISC}17{day}").out


def test_as_of_moves_the_day_that_is_judged(desk: Desk) -> None:
    answer = told(desk, f"01{VISC}17270301", words=("--as-of", "2027-03-02"))
    assert "EXPIRED 2027-03-01, 1 day ago" in answer.out
    assert told(desk, VISC, words=("--as-of", "2027-02-30")).code == 2


@pytest.mark.parametrize(
    ("scan", "doubt"),
    [
        (f"01{VISC}17170228", "EXPIRY_LONG_PAST"),
        (f"01{VISC}17170301", None),
        (f"01{VISC}17420302", "EXPIRY_FAR_AHEAD"),
        (f"01{VISC}17420301", None),
        (f"01{VISC}1728010111280101", "EXPIRY_NOT_AFTER_PRODUCTION"),
        (f"01{VISC}1728010211280101", None),
        (f"01{VISC}1728010110V2", "EXPIRY_NOT_AS_IN_BOOK"),
        (f"01{VISC}1727053110V2", None),
    ],
)
def test_a_date_that_is_hard_to_believe_is_said_not_changed(
    desk: Desk, scan: str, doubt: str | None
) -> None:
    (found,) = objects(told(desk, scan, words=("--json",)))
    assert found.get("doubts", []) == ([doubt] if doubt else [])
    assert found["ok"]


def test_the_object_names_item_units_and_lots(desk: Desk) -> None:
    (found,) = objects(told(desk, f"01{BOX}1727053110V2", words=("--json",)))
    assert found["gtin14"] == BOX
    assert (found["days_left"], found["expired"]) == (91, False)
    ((lot,),) = desk.rows("SELECT code FROM lot WHERE number = 'V2'")
    assert found["book"] == {
        "known": True, "item": "VISC", "unit_places": 0, "level": "outer", "units": 10,
        "lots": [{"lot": lot, "item": "VISC", "number": "V2", "serial": None,
                  "expires_on": "2027-05-31"}],
    }  # fmt: skip


def test_several_lots_may_bear_a_printed_number(desk: Desk) -> None:
    desk.ok("receive ACME --line VISC 2 V2 2027-05-31 100.00 --reason agreed-price --by KE")
    (found,) = objects(told(desk, f"01{VISC}10V2", words=("--json",)))
    assert len(found["book"]["lots"]) == 2


def test_an_unknown_identifier_names_no_lot(desk: Desk) -> None:
    answer = told(desk, "01095211015300181727053110V2")
    assert answer.out.startswith(
        "GTIN 09521101530018 is no pack size of this book; lot V2; expires"
    )


@pytest.fixture
def lenses(desk: Desk) -> Desk:
    """The site with a pack size of a lens that is kept by serial, and one named by HIBC."""
    rows = "09521101530025,RINGL+21.50,each,1\n+A123BJC5D6E71G,DYE,each,1\n"
    rows = f"identifier,item,level,units\n{rows}"
    desk.ok(f"import pack-sizes {desk.file('more.csv', rows)} --by MA")
    return desk


def test_a_lost_separator_before_a_serial_is_judged_by_the_item(lenses: Desk) -> None:
    lens, other = "0109521101530025", f"01{VISC}"
    answer = told(lenses, f"{lens}10R121S1", f"{other}10R121S1", words=("--json",))
    first, second = objects(answer)
    assert answer.code == 2
    assert (first["error"], first["hint"]) == (
        "GS_MISSING_OR_LOT_TOO_LONG", [["10", "R1"], ["21", "S1"]],
    )  # fmt: skip
    assert second["lot"] == "R121S1"


def test_a_lens_is_found_by_its_serial(lenses: Desk) -> None:
    (found,) = objects(told(lenses, f"010952110153002510R1{GS}21S2", words=("--json",)))
    assert [lot["serial"] for lot in found["book"]["lots"]] == ["S2"]


def test_a_hibc_symbol_is_found_by_labeller_product_and_unit(lenses: Desk) -> None:
    answer = told(lenses, "+A123BJC5D6E71G", "+$A1234GU")
    first, second = answer.out.splitlines()
    assert first == "DYE Capsule dye, each of 1"
    assert second.startswith("HIBC second symbol (of the one that ends in 'G'); lot A1234, new")


def test_the_identifier_that_the_book_knows_counts(lenses: Desk) -> None:
    texts = ("(01)09521101530018", "+A123BJC5D6E71G")
    pack = merge([read_symbol(text, TODAY) for text in texts])
    with contextlib.closing(sqlite3.connect(lenses.path)) as db:
        meaning = what_is(db, pack, TODAY)
    assert meaning.item is not None
    assert meaning.item.code == "DYE"


def test_a_secondary_hibc_symbol_is_no_identifier_of_a_pack_size(desk: Desk) -> None:
    rows = "identifier,item,level,units\n+$A1234GU,DYE,each,1\n"
    said = desk.refused(f"import pack-sizes {desk.file('more.csv', rows)} --by MA", 2)
    assert "the symbol with the product number" in said


@pytest.mark.parametrize(
    ("scan", "words"),
    [
        ("CASE/C2", "case C2: list L1, PHACO, paid"),
        ("CASE/C99", "case C99: not in this book"),
        ("LIST/L1", "list L1: 2027-03-01, OT1, morning"),
        ("LOT/1", "lot 1: VISC Viscoelastic, lot V1, expiry 2027-06"),
        ("LOT/99999", "lot 99999: not in this book"),
        ("SHELF/STORE/VISC", "shelf STORE VISC: Viscoelastic, label 04-2"),
        ("SHELF/OT1/DYE", "shelf OT1 DYE: Capsule dye"),
        ("SHELF/OT9/DYE", "shelf OT9 DYE: not in this book"),
        ("SHELF/OT1/DYES", "shelf OT1 DYES: not in this book"),
        ("STAFF/NU", "staff NU: nurse"),
        ("ACT/NEXT", "NEXT: the current case is finished"),
    ],
)
def test_codes_of_the_site_say_what_they_mean(desk: Desk, scan: str, words: str) -> None:
    rows = "place,item,label\nSTORE,VISC,04-2\n"
    desk.ok(f"import shelves {desk.file('shelves.csv', rows)} --by MA")
    assert told(desk, scan).out == words + "\n"
    (found,) = objects(told(desk, scan, words=("--json",)))
    assert found["book"]["known"] is ("not in this book" not in words)


def test_no_patient_is_named(desk: Desk) -> None:
    assert "P-2" not in told(desk, "CASE/C2").out + told(desk, "CASE/C2", words=("--json",)).out


def test_every_line_is_answered_and_a_refused_one_makes_exit_2(desk: Desk) -> None:
    answer = told(desk, VISC, "", b"\xff\xfe\n", "9" * 20_000, "hello", VISC)
    assert answer.code == 2
    lines = answer.out.splitlines()
    assert [line.partition(":")[0] for line in lines[1:5]] == [
        "Refused, EMPTY", "Refused, NOT_UTF_8", "Refused, TOO_LONG", "Refused, NOT_GS1",
    ]  # fmt: skip
    assert lines[0] == lines[5] == "VISC Viscoelastic, each of 1"


@pytest.mark.parametrize(("length", "error"), [(4096, "UNKNOWN_AI"), (4097, "TOO_LONG")])
def test_a_long_line_is_refused_by_name(desk: Desk, length: int, error: str) -> None:
    scan = f"99{'x' * 88}{GS}".ljust(length, "z")
    (found,) = objects(told(desk, scan, words=("--json",)))
    assert found["error"] == error


def test_one_scan_may_be_an_argument(desk: Desk) -> None:
    assert desk.ok(["scan", f"(01){VISC}(10)V1"]).startswith("VISC Viscoelastic, each of 1; lot V1")
    assert desk.ok(["scan", f"01{VISC}10V1{{GS}}"]).startswith("VISC Viscoelastic")
    assert "Refused, BAD_CHECK_DIGIT" in desk.run(["scan", "09521101530002"]).out
    assert desk.run(["scan", "09521101530002"]).code == 2


def test_a_scanner_may_send_another_character_for_the_separator(desk: Desk) -> None:
    scan = f"01{VISC}10V1|17270630"
    assert "lot V1, in this book" in told(desk, scan, words=("--separator", "|")).out
    said = told(desk, scan).out
    assert "BAD_CSET" in said
    assert "if the scanner sends | for the separator, say so" in said
    assert "separator: found 'A'" in told(desk, scan, words=("--separator", "A")).err


def test_without_a_book_only_the_scan_itself_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    answer = scanned(f"01{VISC}10V1\nCASE/C1\n".encode(), day=TODAY)
    assert answer.code == 0
    assert answer.out.splitlines() == [f"GTIN {VISC}; lot V1", "case C1"]
    assert answer.err == "No book here: only what the scan itself says.\n"
    assert scanned(VISC.encode(), "-q", day=TODAY).err == ""
    assert list(tmp_path.iterdir()) == []


def test_a_book_that_was_named_has_to_be_there(tmp_path: Path) -> None:
    answer = scanned(VISC.encode(), book=tmp_path / "none.stockbook", day=TODAY)
    assert (answer.code, answer.out) == (4, "")


@pytest.fixture
def process(desk: Desk) -> Iterator[subprocess.Popen]:
    """The command in a process of its own, with pipes."""
    words = ["scan", "--json", "--book", str(desk.path)]
    with subprocess.Popen(
        [sys.executable, "-m", "stockbook", *words], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as process:
        yield process
        process.kill()


def test_each_line_is_answered_at_once(process: subprocess.Popen) -> None:
    for scan in (VISC, "nothing", "5" * 100_000, VISC):
        process.stdin.write(scan.encode() + b"\n")
        process.stdin.flush()
        assert json.loads(process.stdout.readline())["ok"] is (scan == VISC)
    process.stdin.close()
    assert process.wait(timeout=30) == 2


def test_an_endless_line_is_answered_before_it_ends(process: subprocess.Popen) -> None:
    process.stdin.write(b"5" * 1_000_000)
    process.stdin.flush()
    assert json.loads(process.stdout.readline())["error"] == "TOO_LONG"
    process.stdin.write(b"5\n" + VISC.encode() + b"\n")
    process.stdin.close()
    assert json.loads(process.stdout.readline())["gtin14"] == VISC
    assert process.wait(timeout=30) == 2


def test_at_a_terminal_a_scan_is_answered_and_ctrl_c_ends(desk: Desk) -> None:
    terminal = Terminal.start(["scan", "--as-of", TODAY, "--book", str(desk.path)], desk.folder)
    terminal.read_until("Scan now")
    terminal.type(f"]d201{VISC}10V2{GS}17270531\r")
    terminal.read_until("lot V2, in this book; expires 2027-05-31, 91 days left")
    assert terminal.interrupt() == 130
    assert "Traceback" not in terminal.screen


@pytest.mark.parametrize("given", ["<&-", "< /dev/null"])
def test_an_input_that_is_none_leaves_no_traceback(desk: Desk, given: str) -> None:
    command = f'"{sys.executable}" -m stockbook scan --book "{desk.path}" {given}'
    done = subprocess.run(
        ["bash", "-c", command], check=False, capture_output=True, cwd=desk.folder, text=True
    )
    assert (done.returncode, done.stdout) == (0, "")
    assert "Traceback" not in done.stderr


def test_an_input_that_breaks_is_said(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    class Broken(io.RawIOBase):
        def readable(self) -> bool:
            return True

        def readinto(self, _: object) -> int:
            raise OSError(5, "Input/output error")

    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BufferedReader(Broken())))
    assert "standard input cannot be read (Input/output error)" in desk.refused("scan", 2)


def test_a_scan_says_where_the_item_belongs(desk: Desk) -> None:
    shelves = desk.file("s.csv", "place,item,label\nOT1,VISC,B-3\nSTORE,VISC,04-2\n")
    levels = "place,item,keep_at_least,fill_to,lists\nOT1,VISC,2,6,\nOT2,VISC,,,2\n"
    desk.ok(f"import shelves {shelves} --by MA")
    desk.ok(f"import levels {desk.file('l.csv', levels)} --by MA")
    (line,) = told(desk, VISC).out.splitlines()
    assert line.split("; ")[1:] == [
        "belongs in OT1, shelf B-3, filled to 6 below 2",
        "belongs in OT2, filled for 2 lists",
        "belongs in STORE, shelf 04-2",
    ]
    (said,) = objects(told(desk, VISC, words=("--json",)))
    assert said["book"]["belongs"][0] == {
        "place": "OT1", "shelf": "B-3", "keep_at_least": 2, "fill_to": 6, "lists": 0
    }  # fmt: skip
    assert "belongs" not in told(desk, "CASE/C1").out
