"""Opening stock and moves at real terminals: scans outlive the terminal, recorded once."""

import os
import signal
from pathlib import Path

import pytest
from desk import Desk
from terminal import Terminal

DAY = "2027-02-22"
"""The demonstration's own day."""
LENS = "09521101530117"
ITEMS = "item,name,class,lens_model,power,serial\nNEWL+21.00,Lens,lens,NEWL,+21.00,yes\n"
SIZES = f"identifier,item,level,units\n{LENS},NEWL+21.00,each,1\n"


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    """The demonstration, with a lens that was never bought and a second keeper."""
    desk = Desk(tmp_path, DAY)
    desk.ok("demo -q")
    desk.ok(f"import items {desk.file('items.csv', ITEMS)} --by MA")
    desk.ok(f"import pack-sizes {desk.file('sizes.csv', SIZES)} --by MA")
    desk.ok("staff new KT --role keeper --by MA")
    return desk


class Sitting:
    """One keeper at one terminal; a scan ends with Enter."""

    def __init__(self, desk: Desk, command: str, by: str = "KS", *, asked: bool = False) -> None:
        words = [*command.split(), "--by", by]
        self.terminal = Terminal.start(words, desk.folder, columns=400)
        if asked:
            self.terminal.read_until("Take it over? [y/N]: ")
            self.terminal.type("y\n")
        self.terminal.read_until("leave keeps it for later.")

    def scan(self, text: str, wanted: str) -> str:
        """The answer to one line, once it holds the words."""
        self.terminal.screen = ""
        self.terminal.type(f"{text}\n")
        return self.terminal.read_until(wanted)

    def end(self, word: str) -> str:
        """The last page, after `record` or `leave`."""
        self.terminal.screen = ""
        self.terminal.type(f"{word}\n")
        assert self.terminal.end() == 0, self.terminal.screen
        return self.terminal.screen

    def kill(self) -> None:
        """The power goes."""
        os.kill(self.terminal.pid, signal.SIGKILL)
        assert self.terminal.end() == -signal.SIGKILL


def lens(serial: int) -> str:
    """The symbol of one lens; its power is printed on the box alone."""
    return f"]d201{LENS}172901312152{serial:06d}"


def test_lenses_are_moved_in_without_a_typed_serial_through_a_power_cut(site: Desk) -> None:
    opening = "receive --opening SHELF-1 --scan --to STORE"
    first = Sitting(site, opening)
    first.scan(lens(1), "which power is printed on the box?")
    first.scan("+21.00", "NEWL: what did one each pack cost?")
    first.kill()
    again = Sitting(site, opening)
    assert "? NEWL: what did one each pack cost?" in again.terminal.read_until("? NEWL")
    again.scan("2400.00", "2,400.00 a pack")
    again.scan(lens(2), "which power")
    again.scan("+21.00", "serial 52000002")
    second = Sitting(site, opening, by="KT", asked=True)
    again.scan(lens(3), "!! this opening stock is KT's now. LEAVE, and sit down again.")
    second.scan(lens(3), "which power")
    second.scan("+21.00", "2,400.00 a pack")
    assert "Recorded as entry" in second.end("record")
    again.scan(lens(4), "!! this opening stock was recorded at another terminal. LEAVE.")
    again.terminal.type("leave\n")
    again.terminal.end()
    lots = site.rows("SELECT serial, scan, price FROM lot WHERE item LIKE 'NEWL%' ORDER BY code")
    assert lots == [(f"52{n:06d}", lens(n), 240000) for n in (1, 2, 3)]
    assert site.rows(
        "SELECT COUNT(*) FROM entry WHERE document = 'SHELF-1' AND kind = 'opening'"
    ) == [(1,)]
    assert site.rows("SELECT COUNT(*) FROM sitting") == [(0,)]
    site.ok("book verify")


def test_a_move_outlives_its_terminal_and_goes_once(site: Desk) -> None:
    move = "move --from STORE --to OT1 --scan"
    there = site.on_hand("BSS-500", "STORE")
    (_, lot), units = next((key, n) for key, n in there.items() if n > 2)
    first = Sitting(site, move)
    first.scan(f"BSS-500 {lot}", f"{units - 1} left in STORE")
    first.kill()
    again = Sitting(site, move)
    again.scan(f"BSS-500 {lot}", f"{units - 2} left in STORE")
    second = Sitting(site, move, by="KT", asked=True)
    again.scan("record", "!! this move is KT's now. LEAVE, and sit down again.")
    again.end("leave")
    assert "Recorded as entry" in second.end("record")
    assert site.on_hand("BSS-500", "STORE")["STORE", lot] == units - 2
    rows = "SELECT quantity FROM movement WHERE entry = ?"
    assert site.rows(rows, site.last()[0]) == [(2,)]
    assert site.rows("SELECT COUNT(*) FROM sitting") == [(0,)]
    site.ok("book verify")
