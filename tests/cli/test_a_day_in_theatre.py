"""A whole day: 28 cases in two theatres, scanned at two real terminals, all that can go wrong.

It ends with every trolley empty, every lens accounted for, the cases' costs summing to the
month's page to the minor unit, and a sound book.
"""

import json
import os
import shutil
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from desk import Desk
from terminal import Terminal

from cli.day_site import (
    CASES,
    DAY,
    LISTS,
    MONTH,
    NEXT_DAY,
    day_site,
    lens_of,
    lens_scan,
    outer,
    pack_scan,
)

NURSES = {"MON1": "NU", "MON2": "NV"}


@pytest.fixture(scope="module")
def morning(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site's folder on the day itself: both lists are issued."""
    desk = day_site(tmp_path_factory.mktemp("day"))
    for code, nurse in NURSES.items():
        desk.ok(f"issue --list {code} --by {nurse} -q")
    return desk.folder


@pytest.fixture
def site(morning: Path, tmp_path: Path) -> Desk:
    folder = tmp_path / "day"
    shutil.copytree(morning, folder)
    return Desk(folder, DAY)


@dataclass
class Theatre:
    """A terminal in one theatre: what was scanned there, and how often."""

    desk: Desk
    terminal: Terminal
    scans: int = 0
    lines: list[str] = field(default_factory=list)

    @classmethod
    def open(cls, desk: Desk, code: str, *, badge: str | None = None) -> "Theatre":
        """A nurse sits down at the list; by her badge, the first scan."""
        terminal = Terminal.start(["theatre", code], desk.folder)
        terminal.read_until("Scan or type your staff code.")
        theatre = cls(desk, terminal)
        theatre.scan(f"STAFF/{badge or NURSES[code]}", f"List {code}, {DAY}")
        return theatre

    def scan(self, text: str, wanted: str) -> str:
        """One scan, and what is said to it."""
        self.terminal.screen = ""
        self.terminal.type(text + "\n")
        said = self.terminal.read_until(wanted)
        self.scans += 1
        self.lines += said.splitlines()
        return said

    def case(self, case: str) -> None:
        """A strip: its case stands in large letters."""
        self.scan(f"CASE/{case}", "Scan packs, or NEXT.")

    def lens(self, case: str, serial: str | None = None, wanted: str = "as presumed") -> str:
        """The lens in the hand: the one that lies on the trolley for the case, or another."""
        serial = serial or lens_on_trolley(self.desk, case)
        self.scan(lens_scan(lens_of(case), serial), wanted)
        return serial

    def next(self, case: str) -> str:
        """The case is finished."""
        return self.scan("ACT/NEXT", f"{case} finished, entry ")

    def plain(self, case: str) -> None:
        """A case without deviation."""
        self.case(case)
        self.lens(case)
        self.next(case)

    def leave(self) -> str:
        """The list's end, as it is printed; the scans of the badge and of leaving count too."""
        self.terminal.screen = ""
        self.terminal.type("LEAVE\n")
        assert self.terminal.end() == 0, self.terminal.screen
        return self.terminal.screen.replace("\r", "")

    def kill(self) -> None:
        """The power goes: nothing is said any more."""
        os.kill(self.terminal.pid, signal.SIGKILL)
        assert self.terminal.end() == -signal.SIGKILL


@contextmanager
def two_theatres(site: Desk) -> Iterator[tuple[Theatre, Theatre]]:
    """Both lists at once, each at its own terminal."""
    first, second = (Theatre.open(site, code) for code in LISTS)
    yield first, second
    for theatre in (first, second):
        if theatre.terminal.code is None:
            os.kill(theatre.terminal.pid, signal.SIGKILL)


def lens_on_trolley(desk: Desk, case: str) -> str:
    rows = desk.rows(
        "SELECT serial FROM case_balance JOIN lot ON lot.code = lot WHERE case_code = ? "
        "AND place LIKE 'trolley/%' AND serial IS NOT NULL",
        case,
    )
    return str(rows[0][0])


def spare_of(desk: Desk, case: str) -> str:
    """The serial of a lens of the same model and power that lies on the shelf."""
    rows = desk.rows(
        "SELECT serial FROM on_hand JOIN lot ON lot.code = lot WHERE item = ? AND place = 'STORE' "
        "ORDER BY serial DESC",
        lens_of(case),
    )
    return str(rows[0][0])


def of_case(desk: Desk, case: str) -> dict[tuple[str, str], int]:
    """Steps that a case used or wasted, by kind of place and lot."""
    rows = desk.rows(
        "SELECT place, COALESCE(serial, number), case_balance.quantity FROM case_balance "
        "JOIN lot ON lot.code = lot WHERE case_code = ?",
        case,
    )
    return {(place, lot): quantity for place, lot, quantity in rows}


def costs_agree(desk: Desk) -> None:
    """What the cases cost is, to the minor unit, what the month's page says."""
    month = json.loads(desk.ok(f"cost --month {MONTH} --json"))["cost"]["rows"]
    sums: dict[str, list[int]] = {row["category"]: [0, 0] for row in month}
    for code, cases in CASES.items():
        for case in (code, *cases):
            cost = json.loads(desk.ok(f"cost {case} --json"))["case_cost"]
            kept = sums[cost["category"] or "common"]
            for row in cost["rows"]:
                kept[row["ended"] == "wasted"] += row["value_minor"]
    assert {r["category"]: [r["used_minor"], r["wasted_minor"]] for r in month} == sums
    used = -sum(used for used, _ in sums.values())
    wasted = -sum(wasted for _, wasted in sums.values())
    page = desk.ok(f"cost --month {MONTH}").replace(",", "")
    assert f"{used / 100:.2f}" in line_of(page, "- used")
    assert f"{wasted / 100:.2f}" in line_of(page, "- wasted")
    assert "The proof holds." in page


def line_of(page: str, start: str) -> str:
    return next(line for line in page.splitlines() if line.startswith(start))


def day_is_over(desk: Desk) -> None:
    assert desk.rows("SELECT * FROM on_hand WHERE place LIKE 'trolley/%'") == []
    assert desk.rows("SELECT * FROM case_balance WHERE place LIKE 'trolley/%'") == []
    assert desk.rows("SELECT * FROM sitting") == []
    costs_agree(desk)
    assert "The book is sound" in desk.ok("book verify")


def test_a_day_without_deviation_is_three_scans_a_case(site: Desk) -> None:
    with two_theatres(site) as theatres:
        for pair in zip(*CASES.values(), strict=True):
            for theatre, case in zip(theatres, pair, strict=True):
                theatre.plain(case)
        scans = [theatre.scans for theatre in theatres]
        ends = [theatre.leave() for theatre in theatres]
    badges = len(theatres)
    assert sum(scans) - badges == 84
    assert sum(scans) - badges <= 3 * sum(map(len, CASES.values()))
    for end in ends:
        assert "Cases: 14 finished, 0 cancelled, 0 not finished." in end
        assert "Lenses: 14 out = 14 implanted + 0 spoiled + 0 back." in end
        assert "presumed" not in end
    day_is_over(site)


def first_half(site: Desk, one: Theatre, two: Theatre) -> None:
    """A lens that fell, a rupture, a conversion, a cancellation, a payer that was another."""
    one.scan("CASE/Y01", "!! case Y01 is of list SUN1, not of MON1. Not taken.")
    one.plain("A01")

    two.plain("B01")
    one.case("A02")
    one.scan("ACT/DROPPED", "the next pack scanned is waste.")
    fallen = one.lens("A02", wanted="dropped")
    one.scan("ACT/NEXT", "A02 HAS NO LENS.")
    one.lens("A02", spare_of(site, "A02"), "besides the kit")
    one.next("A02")
    assert of_case(site, "A02")["waste/paid", fallen] == 1

    one.case("A03")
    one.scan("ACT/RESCUE", "Rescue kit of A03, entry")
    one.scan("ACT/RESCUE", "Another one: RESCUE once more.")
    one.scan(pack_scan("VIT", "VIT-1"), "as presumed")
    one.scan("ACT/RETURNED", "goes back.")
    one.scan(pack_scan("SUT", "SUT-1"), "returned")
    one.lens("A03")
    two.plain("B02")
    one.next("A03")
    assert of_case(site, "A03")["used/free", "VIT-1"] == 1
    assert ("used/free", "SUT-1") not in of_case(site, "A03")

    one.case("A04")
    one.scan("ACT/CONVERT", "the next kit scanned or named is the case's.")
    one.scan("KIT/SICS", "A04 is SICS now, entry")
    one.lens("A04")
    one.next("A04")
    assert of_case(site, "A04")["used/paid", "CRES-1"] == 1

    one.case("A05")
    one.scan(pack_scan("KNIFE", "KNIFE-1"), "as presumed")
    one.scan(pack_scan("SUT", "SUT-1"), "not in the kit: an extra")
    one.scan("ACT/CANCEL", "A05 cancelled, entry")
    assert of_case(site, "A05") == {("waste/paid", "KNIFE-1"): 1, ("waste/paid", "SUT-1"): 1}

    for theatre, case in ((one, "A06"), (two, "B03"), (two, "B04"), (two, "B05")):
        theatre.plain(case)
    site.ok("case change A06 --category paid --reason payer-changed --by NU")
    assert {place for place, _ in of_case(site, "A06")} == {"used/paid"}


def second_half(site: Desk, one: Theatre, two: Theatre) -> None:
    """Packs the book lacks, extras, packs that were not used, other lots, slips of the hand."""
    one.case("A07")
    one.scan(pack_scan("VISC", "V77", "290131"), "instead of the presumed lot")
    one.scan(f"]d201{outer('VISC')}17290131" + "10V77", "Scan the unit's own pack")
    one.lens("A07")
    assert "recorded as found at use" in one.next("A07")
    assert of_case(site, "A07")["used/paid", "V77"] == 1
    assert ("used/paid", "VISC-1") not in of_case(site, "A07")

    one.case("A08")
    one.scan(pack_scan("VISC", "VISC-1"), "as presumed")
    one.scan(pack_scan("VISC", "VISC-1"), "besides the kit")
    one.scan("sut SUT-1", "not in the kit: an extra")
    one.lens("A08")
    one.next("A08")
    assert of_case(site, "A08")["used/paid", "VISC-1"] == 2

    one.case("A09")
    one.scan("ACT/OPENED", "the next pack scanned is waste.")
    one.scan(pack_scan("KNIFE", "KNIFE-1"), "opened")
    one.lens("A09")
    one.next("A09")
    assert of_case(site, "A09")["waste/free", "KNIFE-1"] == 1

    one.case("A10")
    one.scan("ACT/RETURNED", "goes back.")
    one.scan(pack_scan("VISC", "VISC-1"), "returned")
    one.lens("A10")
    one.next("A10")
    assert not any(lot == "VISC-1" for _, lot in of_case(site, "A10"))

    one.case("A11")
    one.scan(pack_scan("KNIFE", "KNIFE-3"), "instead of the presumed lot")
    other = one.lens("A11", spare_of(site, "A11"), "instead of the presumed lot")
    one.lens("A11", other, "counted once")
    two.plain("B06")
    one.next("A11")
    assert of_case(site, "A11")["used/paid", other] == 1

    one.case("A12")
    wrong = lens_on_trolley(site, "A13")
    one.scan(lens_scan(lens_of("A13"), wrong), "!! NOT THE LENS of case A12")
    one.scan(pack_scan("KNIFE", "KNIFE-1"), "as presumed")
    one.scan(pack_scan("KNIFE", "KNIFE-1"), "besides the kit")
    one.scan("ACT/UNDO", "taken back")
    one.lens("A12")
    one.next("A12")
    assert of_case(site, "A12")["used/free", "KNIFE-1"] == 1


def killed_and_taken_over(site: Desk, one: Theatre) -> Theatre:
    """The terminal dies in the middle of a case; later another nurse takes the list over."""
    one.case("A13")
    one.lens("A13")
    one.kill()
    again = Theatre.open(site, "MON1")
    assert "Resumed: 1 scan not recorded yet; current case: A13." in again.terminal.read_until(
        "current case: A13."
    )
    again.next("A13")
    again.case("A14")
    again.lens("A14")

    other = Terminal.start(["theatre", "MON1", "--by", "NV"], site.folder)
    other.read_until("NU has a sitting on list MON1 with 1 scan not recorded. Take it over? [y/N]")
    other.type("y\n")
    other.read_until("NV sits here")
    again.scan("ACT/NEXT", "this sitting is NV's now.")
    assert "13 finished" not in again.leave()
    last = Theatre(site, other)
    assert "MON1 finished" in last.next("A14")
    return last


def power_cut(site: Desk, two: Theatre) -> None:
    """The last four are written on paper and typed on the next day, as they happened."""
    for case in ("B07", "B08", "B09", "B10"):
        two.plain(case)
    two.case("B11")
    serial = two.lens("B11")
    two.kill()
    item = lens_of("B11")
    for case, time in (("B11", "14:10"), ("B12", "14:35"), ("B13", "15:05")):
        lens = f"--lot {lens_of(case)} {lens_on_trolley(site, case)}"
        late = f"--on yesterday --at {time} --by NV -q"
        site.ok(f"finish {case} --as-kit {lens} {late}", today=NEXT_DAY)
    last = [lens_scan(lens_of("B14"), lens_on_trolley(site, "B14"))]
    said = site.run(
        ["theatre", "MON2", "--on", "yesterday", "--at", "15:30", "--by", "NV", "NEXT",
         "CASE/B11", "UNDO", "CASE/B14", *last, "NEXT"],
        today=NEXT_DAY,
    )  # fmt: skip
    assert f"UNDO drops what still waits: {item} {serial}." in said.out
    assert "case B11 is finished (entry" in said.err
    assert "MON2 finished" in said.out
    assert "Lenses: 14 out = 14 implanted + 0 spoiled + 0 back." in said.out
    days = site.rows("SELECT happened_on, happened_at FROM entry WHERE document = 'B14'")
    assert days[-1] == (DAY, "15:30")


def test_a_day_with_every_deviation_ends_with_a_true_book(site: Desk) -> None:
    with two_theatres(site) as (one, two):
        first_half(site, one, two)
        second_half(site, one, two)
        last = killed_and_taken_over(site, one)
        end = last.leave()
        power_cut(site, two)
    assert "Cases: 13 finished, 1 cancelled, 0 not finished." in end
    assert "Lenses: 15 out = 13 implanted + 1 spoiled + 1 back." in end
    assert "not scanned" not in end
    assert "not yet explained: none" not in site.ok("today", today=NEXT_DAY)
    site.ok("issue A03 --explain capsule-rupture --by NU", today=NEXT_DAY)
    assert "not yet explained: none" in site.ok("today", today=NEXT_DAY)
    day_is_over(site)


def test_ctrl_c_in_the_middle_of_a_case_keeps_what_was_scanned(site: Desk) -> None:
    theatre = Theatre.open(site, "MON1")
    theatre.case("A01")
    theatre.lens("A01")
    before = site.last()
    assert theatre.terminal.interrupt() == 130
    assert "Traceback" not in theatre.terminal.screen
    assert site.last() == before
    again = Theatre.open(site, "MON1")
    assert "Resumed: 1 scan" in again.terminal.read_until("current case: A01.")
    again.next("A01")
    assert "Cases: 1 finished, 0 cancelled, 13 not finished." in again.leave()
