"""A delivery unpacked by scanner: seen, asked, taken back, recorded once and as it was typed."""

import pytest
from desk import Desk
from unpacking import GS, NEW, VISC_BOX, VISC_ONE, lots, refused, sittings, unpack, unpacked

from jobs.pages import moves

# Scans


def test_a_scan_is_one_line_with_item_pack_lot_expiry_and_days_left(desk: Desk) -> None:
    said = unpacked(desk, VISC_BOX)
    wanted = "VISC Viscoelastic, outer of 10; lot V9; expires 2029-03-31, 761 days left"
    assert wanted in said.splitlines()
    assert "Not recorded; what was scanned is kept." in said


def test_nothing_is_posted_before_it_is_recorded(desk: Desk) -> None:
    before, here = desk.last(), desk.on_hand("VISC")
    unpacked(desk, VISC_BOX, VISC_ONE, "leave")
    assert (desk.last(), desk.on_hand("VISC")) == (before, here)
    unpacked(desk, "record")
    assert desk.on_hand("VISC", "STORE")["STORE", "V9"] == 10
    assert sittings(desk) == 0
    desk.ok("book verify")


def test_a_lot_keeps_its_scan_and_counts_as_seen(desk: Desk) -> None:
    unpacked(desk, VISC_BOX, VISC_ONE, "record")
    assert lots(desk) == [
        ("V9", None, "2029-03-31", "day", 10, VISC_BOX),
        ("V7", None, "2029-05-31", "month", 1, VISC_ONE),
    ]
    seen = desk.rows("SELECT DISTINCT seen FROM movement WHERE entry = ?", desk.last()[0])
    assert seen == [(1,)]


def test_the_same_pack_again_adds_one_visibly(desk: Desk) -> None:
    said = unpacked(desk, VISC_BOX, VISC_BOX, VISC_BOX, "record")
    assert "2 packs of it now, 20" in said
    assert "3 packs of it now, 30" in said
    assert [row[4] for row in lots(desk)] == [30]


@pytest.mark.parametrize(
    "symbols",
    [
        ("]d20109521101530001", "]C11729033110V9"),
        ("]C11729033110V9", "]d20109521101530001"),
        ("0109521101530001", "1729033110V9"),
        ("09521101530001", "(17)290331(10)V9"),
        ("]C110V9", "]C117290331", "]E09521101530001"),
    ],
)
def test_symbols_of_one_pack_are_judged_together(desk: Desk, symbols: tuple[str, ...]) -> None:
    unpacked(desk, *symbols, "record")
    assert [row[:5] for row in lots(desk)] == [("V9", None, "2029-03-31", "day", 1)]
    assert lots(desk)[0][5] == "\n".join(symbols)


def test_hibc_primary_and_secondary_are_one_pack_and_another_ones_are_refused(desk: Desk) -> None:
    desk.file("p.csv", "identifier,item,level,units\n+A123BJC5D6E71G,VISC,each,1\n")
    desk.ok("import pack-sizes p.csv --by MA")
    said = unpacked(desk, "+A123BJC5D6E71G", hibc("$$3290331V9", "G"))
    assert "lot V9; expires 2029-03-31" in said
    wrong = unpack(desk, "+A123BJC5D6E71G", hibc("$$3290331V9", "X"), note="N8")
    assert "these two HIBC symbols are of different products" in wrong.err


def hibc(data: str, link: str) -> str:
    """A secondary symbol with its link and check character."""
    from stockbook.domain.scan_hibc import check_character

    text = f"+{data}{link}"
    return text + check_character(text)


def test_a_lost_separator_shows_the_split_and_asks_for_what_is_printed(desk: Desk) -> None:
    scan = "010952110153000110V917290331"
    said = unpacked(desk, scan, "V9", "2029-03-31", "record")
    assert "likely (10)V9(17)290331" in said
    assert [row[:5] for row in lots(desk)] == [("V9", None, "2029-03-31", "day", 1)]
    assert lots(desk)[0][5] == scan


def test_another_character_for_the_separator_is_named(desk: Desk) -> None:
    scan = "010952110153000110V9~17290331"
    unpacked(desk, scan, "record", more="--separator ~")
    assert [row[:3] for row in lots(desk)] == [("V9", None, "2029-03-31")]


def test_a_real_separator_is_read_and_kept(desk: Desk) -> None:
    scan = f"]d2010952110153000110V9{GS}17290331"
    unpacked(desk, scan, "record")
    assert lots(desk)[0][5] == scan


def test_without_a_barcode_item_lot_and_expiry_are_typed(desk: Desk) -> None:
    unpacked(desk, "knife K9 2029-01", "qty 6", "price 12.50", "record")
    assert moves(desk) == [("K9", 6, 7500, "supplier/ACME", "STORE", None)]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("19521101530007", "check digit should be 8"),
        ("]d20119521101530007" + "1729033110V9", "check digit should be 8"),
        ("]D20119521101530008", "caps lock"),
        ("\x07\x1b[2J", "neither a GS1 nor a HIBC symbol"),
        ("]d201195211015300081729023110V9", "a date that the calendar does not have"),
        ("CASE/C1", "a code of this site, and no pack"),
        ("STAFF/MA", "KE sits here"),
        ("NOPE K9", "neither a GS1 nor a HIBC symbol"),
        ("KNIFE K9 2029-01 5", "wanted ITEM LOT EXPIRY"),
        ("qty 3", "no pack was read yet"),
        ("record", "nothing was scanned yet"),
        ("undo", "nothing is left to take back"),
        ("leave now", "leave: found 'now' after it, wanted nothing"),
        ("record all", "record: found 'all' after it, wanted nothing"),
        ("lot V9", "lot: no pack waits for it"),
        ("reject ugly", "wanted one of: damaged"),
        ("x" * 10_000_000, "more than 4,096 characters"),
        ("\udcff\udcfe", "neither a GS1 nor a HIBC symbol"),
    ],
    ids=lambda value: str(value)[:20].encode("ascii", "replace").decode(),
)
def test_what_is_no_pack_is_refused_by_name_and_nothing_is_kept(
    desk: Desk, line: str, words: str
) -> None:
    said = refused(desk, line)
    assert words in said
    assert "\x1b" not in said
    assert len(said) < 2000
    assert "Resumed" not in unpack(desk).out


def test_the_first_scan_is_the_badge_where_nobody_signs(desk: Desk) -> None:
    from scanner import typing_in

    with typing_in(f"STAFF/KE\n{VISC_BOX}\nrecord\n".encode()):
        assert desk.run("receive ACME N9 --scan").code == 0
    assert desk.rows("SELECT by FROM entry ORDER BY number DESC LIMIT 1") == [("KE",)]


def test_only_a_keeper_unpacks(desk: Desk) -> None:
    assert "receive: NU is nurse" in unpack(desk, VISC_BOX, by="NU").err


# Questions


def test_a_pack_without_lot_and_expiry_asks_for_the_printed_ones(desk: Desk) -> None:
    said = unpacked(desk, "09521101530001", "AB-1", "none", "record")
    assert "type the printed lot" in said
    assert "type the printed expiry" in said
    assert [row[:4] for row in lots(desk)] == [("AB-1", None, "9999-12-31", "none")]


@pytest.mark.parametrize("text", ["1012345", "12345678", "21X"])
def test_a_printed_lot_that_reads_like_a_symbol_is_not_guessed_at(desk: Desk, text: str) -> None:
    said = refused(desk, "09521101530001", text)
    assert f"{text}: a symbol, or the printed lot? Type 'lot {text}'" in said
    unpacked(desk, f"lot {text}", "2029-01", "record")
    assert [row[0] for row in lots(desk)] == [text]


def test_another_pack_is_not_taken_while_one_waits(desk: Desk) -> None:
    said = refused(desk, "09521101530001", VISC_BOX)
    assert "differ in gtin14" in said
    assert "The pack before still waits: VISC Viscoelastic" in said
    assert "a pack waits for a word" in refused(desk, "record")
    unpacked(desk, "undo", VISC_BOX, "record")
    assert [row[0] for row in lots(desk)] == ["V9"]


def test_a_misread_symbol_is_never_taken_for_a_printed_lot(desk: Desk) -> None:
    said = refused(desk, "09521101530001", "0119521101530007")
    assert "check digit" in said
    assert "type the printed lot" in unpack(desk).out


@pytest.mark.parametrize(
    ("date", "words"),
    [("10", "more than ten years past"), ("43", "more than fifteen years ahead")],
)
def test_a_date_hard_to_believe_is_typed_once_more(desk: Desk, date: str, words: str) -> None:
    scan = f"]d2010952110153000117{date}033110V9"
    said = unpacked(desk, scan, "2029-03-31", "record")
    assert words in said
    assert lots(desk)[0][2] == "2029-03-31"


def test_a_date_far_ahead_that_is_really_printed_is_kept(desk: Desk) -> None:
    unpacked(desk, "]d201095211015300011743033110V9", "2043-03-31", "record")
    assert lots(desk)[0][2] == "2043-03-31"


def test_an_expiry_not_after_its_making_is_asked(desk: Desk) -> None:
    said = unpacked(desk, "]d201095211015300011729033111290331" + "10V9", "2029-03-31", "record")
    assert "is not after it was made" in said


def test_another_expiry_for_the_same_lot_is_asked(desk: Desk) -> None:
    other = VISC_BOX.replace("290331", "290430")
    said = unpacked(desk, VISC_BOX, other, "2029-04-30", "record")
    assert "not that of the other packs of this lot" in said
    assert [row[2] for row in lots(desk)] == ["2029-03-31", "2029-04-30"]


def test_a_short_dated_pack_needs_its_reason(desk: Desk) -> None:
    short = "]d201095211015300011727042010V9"
    said = refused(desk, short, "because")
    assert "50 days left, fewer than 180" in said
    assert "wanted one of: needed-now" in said
    unpacked(desk, "needed-now", "record")
    assert moves(desk)[0][5] == "needed-now"


def test_an_expired_pack_is_rejected_or_set_aside(desk: Desk) -> None:
    old = "]d201095211015300011727022810V9"
    assert "EXPIRED 2027-02-28" in refused(desk, old, "needed-now")
    unpacked(desk, "reject expired", VISC_ONE, old, "quarantine expired", "record")
    assert desk.rows("SELECT item, number, reason, scan FROM rejection") == [
        ("VISC", "V9", "expired", old)
    ]
    assert desk.on_hand("VISC", "QUAR") == {("QUAR", "V9"): 1}


# Unknown identifiers


def test_an_unknown_identifier_is_asked_about_once_and_remembered_in_that_persons_name(
    desk: Desk,
) -> None:
    scan = f"]d201{NEW}1729033110D9"
    said = unpacked(desk, scan, "dye", "inner 5", scan, "record")
    assert f"{NEW}: no pack size of this book" in said
    assert "how is it packed?" in said
    assert f"identifier {NEW} is remembered as DYE" in said
    assert "2 packs of it now, 10" in said
    assert desk.rows("SELECT * FROM pack_size WHERE code = ?", NEW) == [(NEW, "DYE", "inner", 5)]
    by = desk.rows(
        "SELECT by, entry.kind, document FROM change JOIN entry ON number = change.entry "
        "WHERE change.kind = 'pack size' AND code = ?",
        NEW,
    )
    assert by == [("KE", "facts", "N9")]
    desk.ok("book verify")


def test_who_said_it_is_named_even_where_another_records(desk: Desk) -> None:
    desk.ok("staff new KT --role keeper --by MA")
    unpacked(desk, f"]d201{NEW}1729033110D9", "dye inner 5")
    unpacked(desk, "record", by="KT", more="-y")
    rows = desk.rows("SELECT kind, by FROM entry ORDER BY number DESC LIMIT 2")
    assert rows == [("delivery", "KT"), ("facts", "KE")]


def test_taken_back_it_is_unknown_again(desk: Desk) -> None:
    scan = f"]d201{NEW}1729033110D9"
    said = unpacked(desk, scan, "dye inner 5", "undo", scan)
    assert said.count("no pack size of this book") == 2


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ("DYES", "item: DYES is not in this book. Near: DYE"),
        ("DYE many 5", "wanted each, inner or outer"),
        ("DYE inner 0", "wanted a number above zero"),
        ("DYE inner 2.5", "wanted a whole number"),
    ],
)
def test_wrong_answers_leave_the_question(desk: Desk, answer: str, words: str) -> None:
    assert words in refused(desk, f"]d201{NEW}1729033110D9", answer)
    assert "Which item is it" in unpack(desk).out


def test_what_the_book_learned_otherwise_meanwhile_is_not_overwritten(desk: Desk) -> None:
    unpacked(desk, f"]d201{NEW}1729033110D9", "dye inner 5")
    desk.file("p.csv", f"identifier,item,level,units\n{NEW},KNIFE,each,1\n")
    desk.ok("import pack-sizes p.csv --by MA")
    assert "and KE said DYE. Undo its packs" in refused(desk, "record")


# Words


def test_undo_takes_the_last_scan_back(desk: Desk) -> None:
    said = unpacked(desk, VISC_BOX, VISC_ONE, "ACT/UNDO", "record")
    assert "Taken back: VISC Viscoelastic, each of 1; lot V7" in said
    assert [row[0] for row in lots(desk)] == ["V9"]


def test_qty_counts_packs_and_price_is_that_of_one_pack(desk: Desk) -> None:
    unpacked(desk, VISC_BOX, "qty 3", "price 950.00", VISC_BOX, "record")
    assert moves(desk) == [("V9", 40, 380000, "supplier/ACME", "STORE", None)]


def test_a_typed_price_goes_on_for_the_same_pack_of_another_lot(desk: Desk) -> None:
    other = VISC_BOX.replace("V9", "V8")
    unpacked(desk, VISC_BOX, "price 900.00", other, "price 800.00", VISC_BOX, "record")
    assert [m[:3] for m in moves(desk)] == [("V9", 10, 90000), ("V8", 10, 80000), ("V9", 10, 80000)]


def test_a_rejected_pack_is_not_taken_in_and_the_rest_is(desk: Desk) -> None:
    said = unpacked(desk, VISC_BOX, VISC_BOX, "reject wet", "record")
    assert "REJECTED, wet: not taken in" in said
    assert [row[4] for row in lots(desk)] == [10]
    assert desk.rows("SELECT quantity, reason, scan FROM rejection") == [(10, "wet", VISC_BOX)]
    assert "Rejected at the door: 1 of 2 lines (wet 1)." in desk.ok("supplier show ACME")


def test_an_unknown_thing_is_rejected_by_its_identifier(desk: Desk) -> None:
    unpacked(desk, f"]d201{NEW}1729033110D9", "reject wrong-item", "record")
    assert desk.rows("SELECT item, identifier, number, quantity FROM rejection") == [
        (None, NEW, "D9", 1)
    ]
    assert desk.rows("SELECT COUNT(*) FROM pack_size WHERE code = ?", NEW) == [(0,)]


def test_what_a_pack_waits_for_need_not_be_known_to_reject_it(desk: Desk) -> None:
    unpacked(desk, "09521101530001", "reject damaged", "record")
    assert desk.rows("SELECT item, number, quantity FROM rejection") == [("VISC", None, 1)]


def test_words_that_are_codes_cannot_be_made(desk: Desk) -> None:
    for code in ("UNDO", "QTY", "PRICE", "REJECT", "QUARANTINE", "RECORD", "LEAVE", "NEXT"):
        said = desk.refused(f"item new {code} --name Thing --class dye --by MA", 2)
        assert f"{code} is a word typed beside scans" in said
    desk.file("i.csv", "item,name,class,lens_model,power\nLOT+21.00,Lens,lens,LOT,+21.00\n")
    answer = desk.run("import items i.csv --by MA")
    assert answer.code == 2
    assert "LOT is a word typed beside scans" in answer.err


def test_no_identifier_of_a_pack_can_be_a_word() -> None:
    from stockbook.domain.receiving import RESERVED
    from stockbook.domain.scans import pack_identifier
    from stockbook.errors import InputError

    for word in RESERVED:
        for text in (word, f"+{word}", f"*+{word}*"):
            with pytest.raises(InputError):
                pack_identifier(text)


# Orders, terms, places


@pytest.fixture
def ordered(desk: Desk) -> Desk:
    desk.ok("order new ACME --due 2027-03-10 --line-at VISC 30 100.00 --by KE")
    return desk


def test_each_pack_is_shown_against_its_order_and_takes_its_price(ordered: Desk) -> None:
    lines = (VISC_BOX, VISC_BOX, "KNIFE K9 2029-01", "undo", VISC_BOX, VISC_BOX, "record")
    said = unpacked(ordered, *lines, more="--order O-2027-001")
    assert "O-2027-001: 20 of 30 to come" in said
    assert "NOT ORDERED with O-2027-001" in said
    assert "O-2027-001: 10 more than the 30 to come" in said
    assert "Warning: VISC: 10 more than ordered." in said
    assert [m[:3] for m in moves(ordered)] == [("V9", 40, 400000)]


def test_an_order_that_waits_is_named(ordered: Desk) -> None:
    assert "order O-2027-001 waits for it: not named" in unpacked(ordered, VISC_BOX)
    said = unpacked(ordered, "record", more="--order O-2027-001")
    assert "Order O-2027-001, due 2027-03-10" in said


def test_an_order_of_another_supplier_is_refused_before_anything_is_scanned(desk: Desk) -> None:
    desk.ok("order new CART --due 2027-03-10 --line-at VISC 30 100.00 --by KE")
    answer = unpack(desk, VISC_BOX, more="--order O-2027-001")
    assert answer.code == 3
    assert "is of CART" in answer.err
    assert sittings(desk) == 0


def test_an_order_closed_meanwhile_is_taken_off_again(ordered: Desk) -> None:
    unpacked(ordered, VISC_BOX, more="--order O-2027-001")
    ordered.ok("order close O-2027-001 --reason not-needed --by KE")
    said = refused(ordered, VISC_BOX, "record")
    assert "order O-2027-001 is closed" in said
    unpacked(ordered, "record", more="--order -")
    assert [row[4] for row in lots(ordered)] == [20]
    assert ordered.rows("SELECT order_code FROM lot ORDER BY code DESC LIMIT 1") == [(None,)]


def test_who_accepted_a_gift_and_then_takes_over_signs_alone(desk: Desk) -> None:
    desk.ok("staff new KT --role keeper --by MA")
    gift = "]d201095211015300011727120110V9"
    unpacked(desk, gift, "KT", more="--terms donated")
    unpacked(desk, "record", by="KT", more="-y")
    rows = desk.rows("SELECT by, checked_by FROM entry ORDER BY number DESC LIMIT 1")
    assert rows == [("KT", None)]


def test_place_freight_and_terms_stay_with_the_sitting(desk: Desk) -> None:
    unpacked(desk, VISC_ONE, "price 10.00", more="--to OT1 --freight 5.00")
    unpacked(desk, "record")
    assert [(m[2], m[3], m[4]) for m in moves(desk)] == [
        (1000, "supplier/ACME", "OT1"),
        (500, "supplier/ACME", "OT1"),
    ]


def test_a_gift_of_a_short_life_is_accepted_by_a_named_person(desk: Desk) -> None:
    gift = "]d201095211015300011727120110V9"
    said = unpacked(desk, gift, "STAFF/MA", "record", more="--terms donated")
    assert "a gift with 275 days left, fewer than 365" in said
    assert "left of it at its expiry" in said or "left over at its expiry" in said
    assert "taken as donation, accepted by MA" in said
    rows = desk.rows("SELECT by, checked_by FROM entry ORDER BY number DESC LIMIT 1")
    assert rows == [("KE", "MA")]
    assert moves(desk)[0][5] == "donation"


def test_the_keeper_accepts_a_gift_in_their_own_name(desk: Desk) -> None:
    gift = "]d201095211015300011727120110V9"
    assert "staff code" in refused(desk, gift, "yes", more="--terms donated")
    unpacked(desk, "KE", "price 50.00", "record")
    assert desk.rows("SELECT shadow_value, terms FROM lot ORDER BY code DESC LIMIT 1") == [
        (5000, "donated")
    ]


# Once, and by whom


def test_a_recorded_note_is_not_unpacked_again(desk: Desk) -> None:
    unpacked(desk, VISC_BOX, "record")
    number = desk.last()[0]
    answer = unpack(desk, VISC_BOX)
    assert answer.code == 3
    assert f"Note N9 of ACME is recorded already, as entry {number}." in answer.err
    desk.ok(f"reverse {number} --reason typing-error --by KE")
    unpacked(desk, VISC_BOX, "record")
    assert desk.on_hand("VISC")["STORE", "V9"] == 10


def test_what_was_typed_meanwhile_under_the_note_is_not_doubled(desk: Desk) -> None:
    unpacked(desk, VISC_BOX)
    typed = "receive ACME N9 --by KE --line 19521101530008 1 V9 2029-03-31 -"
    desk.ok(typed)
    assert "Already recorded" in unpacked(desk, "record")
    assert desk.on_hand("VISC")["STORE", "V9"] == 10
    assert sittings(desk) == 0


def test_other_lines_typed_meanwhile_under_the_note_are_refused(desk: Desk) -> None:
    unpacked(desk, VISC_BOX)
    desk.ok("receive ACME N9 --by KE --line 19521101530008 2 V9 2029-03-31 -")
    assert "with other contents" in refused(desk, "record")


def test_another_keeper_takes_it_over_and_is_told_who_began(desk: Desk) -> None:
    desk.ok("staff new KT --role keeper --by MA")
    unpacked(desk, VISC_BOX, VISC_BOX)
    answer = unpack(desk, by="KT")
    assert answer.code == 2
    assert "KE began this delivery at 2027-03-01T08:00:00Z; 2 scans not recorded." in answer.err
    said = unpacked(desk, "record", by="KT", more="-y")
    assert "Resumed: begun by KE at 2027-03-01T08:00:00Z, 2 scans not recorded yet." in said
    assert [row[4] for row in lots(desk)] == [20]


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("receive ACME --scan --by KE", "--scan needs the delivery's NOTE"),
        ("receive ACME N9 --scan -n --by KE", "no dry run"),
        ("receive ACME N9 --scan --reason donation --by KE", "pack by pack"),
        ("receive ACME N9 --note N8 --by KE", "Two notes: N9 and --note N8"),
        ("receive ACME N9 --scan --line KNIFE 1 K9 2029-01 - --by KE", "from the scanner alone"),
        ("receive ACME N9 --scan --separator x --by KE", "separator: found 'x'"),
        ("receive NOBODY N9 --scan --by KE", "supplier: NOBODY is not in this book"),
        ("receive ACME N9 --scan --to QUARX --by KE", "no place of this book that fits"),
    ],
)
def test_wrong_use_is_refused(desk: Desk, words: str, wanted: str) -> None:
    assert wanted in desk.refused(words, 2)
