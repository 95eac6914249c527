"""What `today` says of work begun by scanner, and of what suppliers owe for what was sent back."""

import csv
import io

from desk import Desk
from unpacking import VISC_BOX, VISC_ONE, opened, typed_in, unpacked

from jobs.pages import line_with

TITLE = "Begun by scanner and not recorded"
OWED = "Sent back and not yet credited"


def test_what_was_begun_by_scanner_waits_with_who_when_and_how_much(desk: Desk) -> None:
    desk.ok("staff new KT --role keeper --by MA")
    unpacked(desk, VISC_BOX, "qty 3", VISC_ONE)
    unpacked(desk, more="-y", by="KT")
    opened(desk, VISC_ONE, "09521101530001")
    typed_in(desk, "move --from STORE --to OT1 --scan --by KE", ("VISC V3", "qty 2", "KNIFE K2"))
    page = desk.ok("today --role keeper")
    assert f"{TITLE}: 3" in page
    first = "N9 2027-03-01 08:00 UTC delivery of ACME, KE, now KT: 4 packs"
    assert line_with(page, "N9") == first
    asked = "1 pack, 1 waiting"
    assert line_with(page, "opening") == f"A 2027-03-01 08:00 UTC opening stock, KE: {asked}"
    assert line_with(page, "STORE-OT1") == "STORE-OT1 2027-03-01 08:00 UTC move, KE: 3 packs"
    unpacked(desk, "record", by="KT")
    assert f"{TITLE}: 2" in desk.ok("today --role keeper")


def test_without_any_it_has_no_line(desk: Desk) -> None:
    for role in ("", "--role keeper", "--role finance", "--role manager"):
        page = desk.ok(f"today {role}")
        assert TITLE not in page
        assert OWED not in page


def test_the_screen_holds_it_and_data_lists_every_one(desk: Desk) -> None:
    for note in range(30):
        unpacked(desk, VISC_BOX, note=f"NOTE-{note:02}-{'X' * 40}")
    page = desk.ok("today --role keeper").splitlines()
    assert len(page) == 23
    assert max(len(line) for line in page) <= 80
    assert any(line.startswith(f"{TITLE}: 30 (the first ") for line in page)
    rows = list(csv.DictReader(io.StringIO(desk.ok("today --role keeper --csv"))))
    assert len([row for row in rows if row["what"] == "begun by scanner"]) == 30


def test_what_a_supplier_owes_for_what_went_back_until_it_is_credited(desk: Desk) -> None:
    desk.ok("receive ACME N1 --by KE --line VISC-B 6 X1 2029-01 25.00")
    desk.ok("invoice ACME I1 --line VISC-B 6 150.00 --by FI")
    desk.ok("send-back ACME --note R1 --line VISC-B 2 X1 --reason faulty --by KE")
    page = desk.ok("today --role finance")
    assert f"{OWED}: 1" in page
    assert line_with(page, "ACME") == "ACME 2027-03-01 1 lot, INR 50.00 at what was paid"
    assert OWED not in desk.ok("today --role keeper")
    desk.ok("invoice ACME K1 --credit --line VISC-B 1 25.00 --by FI")
    assert line_with(desk.ok("today --role finance"), "ACME").endswith("INR 25.00 at what was paid")
    desk.ok("invoice ACME K2 --credit --line VISC-B 1 25.00 --by FI")
    assert OWED not in desk.ok("today --role finance")
