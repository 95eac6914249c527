"""Opening stock by scanner: the same sitting, from the place opening stock, priced once."""

import shutil
from pathlib import Path

import pytest
from desk import SITE, Desk, new_desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from unpacking import VISC_BOX, VISC_ONE, opened, sittings

from jobs.pages import moves, value_at
from jobs.test_receive_scan_typed import Line, lines

TERMS = """supplier,item,pack,price,lead_days,preferred
ACME,VISC,10,900.00,7,yes
CART,VISC,10,800.00,7,no
"""
LENS = "09521101530117"
LENSES = f"identifier,item,level,units\n{LENS},RINGL+21.00,each,1\n"


@pytest.fixture(scope="module")
def founded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small site before anything was counted."""
    desk = new_desk(tmp_path_factory.mktemp("bare"))
    for kind, text in SITE.items():
        if kind != "opening-stock":
            desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA", today="2027-02-01")
    return desk.folder


@pytest.fixture
def bare(founded: Path, tmp_path: Path) -> Desk:
    shutil.copytree(founded, tmp_path / "bare")
    return Desk(tmp_path / "bare")


def counted(desk: Desk, *lines: str, **said: str) -> str:
    """What the desk says where nothing is refused."""
    answer = opened(desk, *lines, **said)
    assert answer.code == 0, f"{answer.out}\n{answer.err}"
    return answer.out + answer.err


def refused(desk: Desk, *lines: str, **said: str) -> str:
    """The same, where something is refused and no entry made."""
    before = desk.last()
    answer = opened(desk, *lines, **said)
    assert answer.code == 2, f"{answer.out}\n{answer.err}"
    assert desk.last() == before
    return answer.out + answer.err


# What is posted


def test_units_come_from_opening_stock_seen_and_keep_their_scan(bare: Desk) -> None:
    said = counted(bare, VISC_BOX, "450.00", VISC_BOX, "record", more="--to OT1")
    assert "Opening stock, sheet A, to OT1: KE sits here" in said
    assert [m[:5] for m in moves(bare)] == [("V9", 20, 90000, "opening", "OT1")]
    lots = bare.rows("SELECT supplier, document, received_on, scan, provisional FROM lot")
    assert lots == [(None, None, "2027-03-01", VISC_BOX, 0)]
    assert bare.rows("SELECT DISTINCT seen FROM movement WHERE entry = ?", bare.last()[0]) == [(1,)]
    entry = "SELECT kind, document, request_key FROM entry WHERE number = ?"
    assert bare.rows(entry, bare.last()[0]) == [("opening", "A", "receive/opening/A/0")]
    bare.ok("book verify")


def test_nothing_is_posted_before_record_and_afterwards_nothing_waits(bare: Desk) -> None:
    before = bare.last()
    counted(bare, VISC_BOX, "450.00", "leave")
    assert (bare.last(), bare.on_hand("VISC"), sittings(bare)) == (before, {}, 1)
    assert "Resumed: begun by KE" in counted(bare, "record")
    assert (bare.on_hand("VISC"), sittings(bare)) == ({("STORE", "V9"): 10}, 0)


def test_a_sheet_is_recorded_once_and_the_next_one_goes_on(bare: Desk) -> None:
    counted(bare, VISC_BOX, "450.00", "record")
    number = bare.last()[0]
    answer = opened(bare, VISC_BOX)
    assert answer.code == 3
    assert f"Sheet A of opening stock is recorded already, as entry {number}." in answer.err
    counted(bare, VISC_ONE, "record", sheet="B")
    assert bare.on_hand("VISC") == {("STORE", "V9"): 10, ("STORE", "V7"): 1}


def test_a_reversed_sheet_is_counted_anew(bare: Desk) -> None:
    counted(bare, VISC_BOX, "450.00", "record")
    bare.ok(f"reverse {bare.last()[0]} --reason typing-error --by MA")
    counted(bare, VISC_ONE, "record")
    assert bare.on_hand("VISC") == {("STORE", "V7"): 1}


@pytest.fixture
def twins(desk: Desk, tmp_path: Path) -> tuple[Desk, Desk, Path]:
    kept = tmp_path / "kept.stockbook"
    shutil.copyfile(desk.path, kept)
    return desk, Desk(desk.folder, name="other.stockbook"), kept


def in_book(desk: Desk) -> tuple[list[tuple], list[tuple]]:
    """The movements of the last entry, and every lot but for its scan."""
    return (
        desk.rows(
            "SELECT lot, quantity, value, from_place, to_place, seen FROM movement "
            "WHERE entry = ? ORDER BY line",
            desk.last()[0],
        ),
        desk.rows(
            "SELECT code, item, number, serial, expires_on, expiry_precision, received_on, "
            "supplier, document, terms, quantity, price, price_quantity, provisional, "
            "shadow_value FROM lot ORDER BY code"
        ),
    )


def as_row(line: Line, units: int, *, priced: bool) -> str:
    """A line of the sheet as a row of the file that is imported."""
    total = f"{line.price * line.packs}.00" if priced else ""
    place = "QUAR" if line.door == "quarantine" else "STORE"
    return f"VISC,{place},{units * line.packs},{line.lot},{line.expiry},{total}\n"


@given(
    sheet=st.lists(
        lines.filter(lambda one: one.door != "reject"), min_size=1, max_size=5,
        unique_by=lambda one: one.lot,
    ),
    priced=st.booleans(),
)  # fmt: skip
@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_scanned_opening_stock_is_imported_opening_stock(
    twins: tuple[Desk, Desk, Path], sheet: list[Line], *, priced: bool
) -> None:
    scanned, imported, kept = twins
    for book in twins[:2]:
        shutil.copyfile(kept, book.path)
    said = []
    for line in sheet:
        words = line.scans(priced=False)
        said += [*words, f"price {line.price}.00"] if priced else words
    counted(scanned, *said, "record")
    units = {"09521101530001": 1, "19521101530008": 10}
    rows = [as_row(line, units[line.identifier], priced=priced) for line in sheet]
    text = "item,place,quantity,lot,expiry,total\n" + "".join(rows)
    imported.ok(f"import opening-stock {imported.file('s.csv', text)} --by MA")
    assert in_book(scanned) == in_book(imported)


# Prices


def test_a_price_is_asked_once_and_holds_for_other_packs_of_the_item(bare: Desk) -> None:
    said = counted(bare, VISC_BOX, "450.00", VISC_ONE, "record")
    assert "VISC: what did one outer pack cost? No price is known." in said
    assert said.count("what did one") == 1
    assert [m[:3] for m in moves(bare)] == [("V9", 10, 45000), ("V7", 1, 4500)]


def test_a_lens_is_priced_by_its_model_and_a_power_by_its_own_price(desk: Desk) -> None:
    """What was said of one power holds for those of which nothing was said."""
    head = "item,name,class,lens_model,power,serial\n"
    rows = "".join(f"NEWL+2{n}.00,Lens,lens,NEWL,+2{n}.00,yes\n" for n in range(3))
    desk.ok(f"import items {desk.file('new.csv', head + rows)} --by MA")
    said = counted(
        desk, "NEWL+20.00 A1 2029-01", "2400", "NEWL+21.00 A2 2029-01", "price 3000",
        "NEWL+20.00 A3 2029-01", "NEWL+22.00 A4 2029-01", "record",
    )  # fmt: skip
    assert "NEWL: what did one each pack cost?" in said
    worth = [value_at(desk, f"NEWL+2{n}.00", lot) for n, lot in ((0, "A1"), (1, "A2"), (0, "A3"))]
    assert worth == [240000, 300000, 240000]
    assert desk.rows("SELECT COUNT(*) FROM lot WHERE provisional AND item LIKE 'NEWL%'") == [(0,)]


def test_the_last_price_paid_is_taken_provisionally(desk: Desk) -> None:
    """VISC was last counted at 100.00 for one (received 2027-01-10, the later lot V2)."""
    said = counted(desk, VISC_ONE, "record")
    assert "at the last price paid" in said
    assert "what did one" not in said
    assert [m[:3] for m in moves(desk)] == [("V7", 1, 10000)]
    assert desk.rows("SELECT provisional FROM lot ORDER BY code DESC LIMIT 1") == [(1,)]


def test_supply_terms_price_what_was_never_bought(bare: Desk) -> None:
    bare.ok(f"import supply-terms {bare.file('t.csv', TERMS)} --by MA")
    assert "at the price of the supply terms" in counted(bare, VISC_ONE, VISC_BOX, "record")
    assert [m[:3] for m in moves(bare)] == [("V7", 1, 9000), ("V9", 10, 90000)]
    assert bare.rows("SELECT DISTINCT provisional FROM lot") == [(1,)]


def test_what_was_given_has_no_price_and_is_not_asked_for_one(bare: Desk) -> None:
    said = counted(bare, VISC_BOX, "record", more="--terms donated")
    assert "what did one" not in said
    assert bare.rows("SELECT terms, price, provisional FROM lot") == [("donated", None, 0)]


@pytest.mark.parametrize("answer", ["price 450.00", "450", "450.00"])
def test_the_price_is_answered_with_or_without_its_word(bare: Desk, answer: str) -> None:
    counted(bare, VISC_BOX, answer, "record")
    assert value_at(bare, "VISC", "V9") == 45000


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("dear", "price of one pack"),
        ("-5", "price of one pack"),
        ("123456789", "a barcode, or the price? Type 'price 123456789'"),
        ("09521101530001", "The pack before still waits"),
        (VISC_ONE, "The pack before still waits"),
        ("record", "a pack waits for a word: VISC: what did one outer pack cost?"),
    ],
)
def test_what_is_no_price_is_refused_and_the_pack_still_waits(
    bare: Desk, text: str, said: str
) -> None:
    assert said in refused(bare, VISC_BOX, text)
    counted(bare, "450.00", "record")
    assert bare.on_hand("VISC") == {("STORE", "V9"): 10}


# What does not fit


def test_a_serial_is_scanned_and_not_taken_in_twice(desk: Desk) -> None:
    desk.ok(f"import pack-sizes {desk.file('p.csv', LENSES)} --by MA")
    scan = f"]d201{LENS}172901312152000001"
    again = refused(desk, scan, "+21.00", scan, "+21.00")
    assert "serial 52000001 was scanned before. One serial, one pack." in again
    counted(desk, "undo", "record")
    assert "serial 52000001 is on hand already" in refused(desk, scan, "+21.00", sheet="B")
    lots = desk.rows("SELECT serial, expires_on, scan FROM lot WHERE serial = '52000001'")
    assert lots == [("52000001", "2029-01-31", scan)]


def test_an_expired_pack_is_set_aside_or_left_out(bare: Desk) -> None:
    old = "VISC V0 2027-02"
    said = refused(bare, old, "record")
    assert "VISC lot V0: EXPIRED 2027-02-28. Quarantine it, or undo." in said
    counted(bare, "quarantine expired", "45.00", "record")
    assert bare.on_hand("VISC") == {("QUAR", "V0"): 1}
    assert moves(bare)[0][5] == "expired"


def test_a_short_life_is_shown_and_no_reason_asked(bare: Desk) -> None:
    assert "30 days left" in counted(bare, "VISC V0 2027-03", "45.00", "record")
    assert bare.on_hand("VISC") == {("STORE", "V0"): 1}


def test_nobody_takes_opening_stock_back(bare: Desk) -> None:
    said = refused(bare, VISC_BOX, "450.00", "reject wet")
    assert "reject: opening stock lies here already, nobody takes it back." in said


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("--order O-2027-001", "opening stock: it has no order of its own."),
        ("--freight 5.00", "opening stock: it has no freight of its own."),
        ("--to NOWHERE", "NOWHERE is no place"),
    ],
)
def test_what_only_a_delivery_has_is_refused(bare: Desk, more: str, said: str) -> None:
    assert said in refused(bare, VISC_BOX, more=more)
    assert sittings(bare) == 0


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("receive --opening A --by KE", "import opening-stock FILE"),
        ("receive ACME --opening A --scan --by KE", "names no supplier and no note"),
        ("receive --opening A --note N --scan --by KE", "names no supplier and no note"),
        ("receive --scan --by KE", "Give SUPPLIER; or --opening SHEET --scan"),
        ("receive --opening '' --scan --by KE", "--opening"),
        ("receive --opening A --scan --by KE --line VISC 1 V1 2029-01 -", "scanner alone"),
        ("receive opening A --scan --by KE", "supplier: OPENING is not in this book"),
    ],
)
def test_a_command_that_does_not_fit_is_wrong_input(bare: Desk, line: str, said: str) -> None:
    assert said in bare.refused(line, 2)


def test_only_a_keeper_counts_and_a_second_one_is_asked(bare: Desk) -> None:
    answer = opened(bare, VISC_BOX, by="NU")
    assert answer.code == 3
    assert "receive: NU is nurse; this is for keeper." in answer.err
    bare.ok("staff new KT --role keeper --by MA")
    counted(bare, VISC_BOX, "450.00")
    answer = opened(bare, by="KT")
    assert answer.code == 2
    assert "KE began this opening stock at 2027-03-01T08:00:00Z; 1 scan not recorded." in answer.err
    counted(bare, "record", by="KT", more="-y")
    assert bare.rows("SELECT by FROM entry WHERE number = ?", bare.last()[0]) == [("KT",)]
