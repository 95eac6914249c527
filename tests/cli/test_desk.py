"""The receiving desk at real terminals: every kind of scanner, two keepers, a sudden end."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk import Desk
from terminal import Terminal

DAY = "2027-02-22"
"""The demonstration's own day."""
BOX = "]d201195200001013021729033110N27E01"
"""Twenty bottles, lot N27E01."""
SEEN = "BSS-500 Balanced salt solution 500 ml bottle, outer of 20; lot N27E01"
WORDS = ("receive", "NIMBU", "NT-0490", "--scan")


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("desk")
    desk = Desk(folder, DAY)
    desk.ok("demo -q")
    desk.ok("staff new KT --role keeper --by MA")
    return folder


@pytest.fixture
def site(demonstration: Path, tmp_path: Path) -> Desk:
    folder = tmp_path / "site"
    shutil.copytree(demonstration, folder)
    return Desk(folder, DAY)


class Keeper:
    """One keeper at one terminal, with a scanner that ends each scan with Enter."""

    def __init__(self, site: Desk, *more: str, by: str = "KS", asked: bool = False) -> None:
        self.terminal = Terminal.start([*WORDS, *more, "--by", by], site.folder, columns=400)
        if asked:
            self.terminal.read_until("Take it over? [y/N]: ")
            self.terminal.type("y\n")
        self.terminal.read_until(f"{by} sits here")
        self.terminal.read_until("leave keeps it for later.")

    def scan(self, text: str, wanted: str) -> str:
        self.terminal.screen = ""
        self.terminal.type(f"{text}\n")
        return self.terminal.read_until(wanted)

    def record(self) -> str:
        self.terminal.screen = ""
        self.terminal.type("record\n")
        assert self.terminal.end() == 0, self.terminal.screen
        return self.terminal.screen

    def leave(self) -> None:
        self.terminal.type("leave\n")
        assert self.terminal.end() == 0, self.terminal.screen

    def kill(self) -> None:
        """The power goes."""
        os.kill(self.terminal.pid, signal.SIGKILL)
        assert self.terminal.end() == -signal.SIGKILL


def received(site: Desk) -> list[tuple]:
    """Lot and units of what came under the note."""
    return site.rows(
        "SELECT number, quantity, scan FROM lot WHERE document = 'NT-0490' ORDER BY code"
    )


@pytest.fixture(autouse=True)
def sound(site: Desk) -> Iterator[None]:
    """Whatever happens at the desk, the book is sound, and no more than one delivery in it."""
    yield
    site.ok("book verify")
    notes = site.rows("SELECT COUNT(*) FROM entry WHERE document = 'NT-0490' AND kind = 'delivery'")
    assert notes[0][0] <= 1


def test_a_delivery_without_a_typed_letter_but_record(site: Desk) -> None:
    keeper = Keeper(site)
    keeper.scan(BOX, SEEN)
    keeper.scan(BOX, "2 packs of it now, 40")
    assert "Recorded as entry" in keeper.record()
    assert received(site) == [("N27E01", 40, BOX)]


def test_a_terminal_that_dies_loses_and_doubles_nothing(site: Desk) -> None:
    keeper = Keeper(site)
    keeper.scan(BOX, SEEN)
    keeper.scan("19520000101302", "type the printed lot")
    keeper.kill()
    assert received(site) == []
    again = Keeper(site)
    again.terminal.read_until("Resumed: begun by KS at ")
    again.terminal.read_until("? BSS-500 Balanced salt solution 500 ml bottle: scan its")
    again.scan("N27E02", "type the printed expiry")
    again.kill()
    last = Keeper(site)
    last.scan("2029-05", "lot N27E02; expires 2029-05")
    last.record()
    assert [row[:2] for row in received(site)] == [("N27E01", 20), ("N27E02", 20)]
    assert site.rows("SELECT COUNT(*) FROM sitting") == [(0,)]


def test_a_second_keeper_takes_it_over_and_the_first_is_told(site: Desk) -> None:
    first = Keeper(site)
    first.scan(BOX, SEEN)
    second = Keeper(site, by="KT", asked=True)
    first.scan(BOX, "!! this delivery is KT's now. LEAVE, and sit down again.")
    second.scan(BOX, "2 packs of it now, 40")
    second.record()
    first.scan(BOX, "!! this delivery was recorded at another terminal. LEAVE.")
    first.leave()
    assert received(site) == [("N27E01", 40, BOX)]
    assert site.rows("SELECT by FROM entry WHERE document = 'NT-0490'") == [("KT",)]


def test_no_to_taking_over_leaves_it_to_the_first(site: Desk) -> None:
    first = Keeper(site)
    first.scan(BOX, SEEN)
    terminal = Terminal.start([*WORDS, "--by", "KT"], site.folder, columns=400)
    terminal.read_until("KS began this delivery at ")
    terminal.read_until("Take it over? [y/N]: ")
    terminal.type("n\n")
    assert terminal.end() == 2
    first.record()
    assert received(site) == [("N27E01", 20, BOX)]


def test_one_keeper_at_two_terminals_goes_on_at_the_last(site: Desk) -> None:
    first = Keeper(site)
    second = Keeper(site)
    first.scan(BOX, "!! this delivery goes on at another terminal.")
    second.scan(BOX, SEEN)
    second.record()
    first.leave()
    assert received(site) == [("N27E01", 20, BOX)]


def test_the_same_note_from_two_terminals_at_once_is_one_delivery(site: Desk) -> None:
    lines = f"{BOX}\nrecord\n".encode()
    words = [sys.executable, "-m", "stockbook", *WORDS, "--by", "KS"]
    both = [
        subprocess.Popen(
            words, cwd=site.folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        for _ in range(2)
    ]  # fmt: skip
    said = [one.communicate(lines, timeout=60)[0].decode() for one in both]
    recorded = [one for one in said if "Recorded as entry" in one]
    assert len(recorded) == 1, said
    assert received(site) == [("N27E01", 20, BOX)]


SCANNERS = {
    "sends the separator": ("]d2011952000010130210N27E01\x1d17290331", ()),
    "sends ~ for the separator": ("011952000010130210N27E01~17290331", ("--separator", "~")),
    "writes the separator out": ("011952000010130210N27E01{GS}17290331", ()),
    "without symbology identifiers": ("01195200001013021729033110N27E01", ()),
}


@pytest.mark.parametrize("kind", SCANNERS)
def test_scanners_of_every_kind_read_the_same_pack(site: Desk, kind: str) -> None:
    scan, more = SCANNERS[kind]
    keeper = Keeper(site, *more)
    keeper.scan(scan, f"{SEEN}; expires 2029-03-31, 768 days left")
    keeper.record()
    assert received(site) == [("N27E01", 20, scan)]


def test_a_scanner_that_swallows_the_separator_asks_for_what_is_printed(site: Desk) -> None:
    keeper = Keeper(site)
    said = keeper.scan("011952000010130210N27E0117290331", "type the printed lot.")
    assert "likely (10)N27E01(17)290331" in said
    keeper.scan("N27E01", "type the printed expiry")
    keeper.scan("2029-03-31", SEEN)
    keeper.record()
    assert [row[:2] for row in received(site)] == [("N27E01", 20)]


@pytest.mark.parametrize(
    ("scan", "words"),
    [
        ("]D201195200001013021729033110n27e01", "is caps lock on at the scanner's keyboard?"),
        ("act/undo", "is caps lock on at the scanner's keyboard?"),
        ("]d201195200001013031729033110N27E01", "the check digit should be 2. Scan again."),
        ("19520000101303", "the check digit should be 2. Scan again."),
    ],
)
def test_what_a_scanner_sends_wrong_is_refused_and_the_next_scan_goes_on(
    site: Desk, scan: str, words: str
) -> None:
    keeper = Keeper(site)
    assert "!! " in keeper.scan(scan, words)
    keeper.scan(BOX, SEEN)
    keeper.record()
    assert received(site) == [("N27E01", 20, BOX)]


def test_ctrl_c_keeps_what_was_scanned(site: Desk) -> None:
    keeper = Keeper(site)
    keeper.scan(BOX, SEEN)
    assert keeper.terminal.interrupt() == 130
    again = Keeper(site)
    again.record()
    assert received(site) == [("N27E01", 20, BOX)]
