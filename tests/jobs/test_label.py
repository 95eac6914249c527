"""Labels: each stands for its shelf, lot or case, and its symbol is read back as just that."""

import base64
import json
import re
from pathlib import Path

import pytest
from desk import Desk
from extras import needed
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ledger.books import opened
from reports.test_evening import HOSTILE, Page, codes_on, read

from jobs.pages import line_with
from jobs.shelves import give, keep_as, label, level
from stockbook.domain.facts import Item, Place
from stockbook.domain.labels import MOST
from stockbook.domain.own_codes import ACTS, own_code
from stockbook.domain.scans import read as read_scan
from stockbook.jobs.scan import what_is
from stockbook.reports import symbols

LONGEST_ITEM = "A" + "0+.-B" * 7 + "Z9+-"
LONGEST_PLACE = "P" + ".-9Q" * 7 + "ZZZ"


def printed(desk: Desk, what: str) -> Page:
    """The page as the command writes it."""
    path = desk.folder / "labels.html"
    desk.ok(f"label {what} -o {path}")
    return Page(path.read_text(encoding="utf-8"))


def rows(desk: Desk, what: str) -> list[dict]:
    found: list[dict] = json.loads(desk.ok(f"label {what} --json"))["labels"]["rows"]
    return found


def read_back(page: Page) -> list[str]:
    """What a reader sees on every symbol, which has to be what stands beside it."""
    needed("segno")
    seen = []
    for attributes in page.images():
        data = str(attributes["src"]).partition(",")[2]
        (text,) = read(base64.b64decode(data))
        assert text == attributes["alt"]
        seen.append(text)
    return seen


# Read back: from the picture by a reader, from the text by the book


def test_a_shelf_s_symbol_is_read_as_its_place_and_item(desk: Desk) -> None:
    codes = read_back(printed(desk, "shelf"))
    assert "SHELF/STORE/RINGL+21.50" in codes
    with opened(desk.path) as book, book.reading() as db:
        for code in codes:
            meaning = what_is(db, read_scan(code, desk.today), desk.today)
            assert (meaning.own.place, meaning.item.code) == tuple(code.split("/")[1:])
    assert "not in this book" not in desk.ok("scan SHELF/STORE/VISC")
    assert "not in this book" in desk.ok("scan SHELF/NOWHERE/VISC")


def test_a_lot_s_symbol_is_read_as_that_lot(desk: Desk) -> None:
    (code,) = read_back(printed(desk, "lot S1"))
    ((number,),) = desk.rows("SELECT code FROM lot WHERE serial = 'S1'")
    assert code == f"LOT/{number}"
    with opened(desk.path) as book, book.reading() as db:
        meaning = what_is(db, read_scan(code, desk.today), desk.today)
    assert [(lot.number, lot.serial) for lot in meaning.lots] == [("R1", "S1")]
    assert meaning.item.code == "RINGL+21.50"


def test_a_strip_s_symbol_makes_its_case_current_in_a_sitting(desk: Desk) -> None:
    codes = read_back(printed(desk, "list L1"))
    assert codes == ["LIST/L1", "CASE/C1", "CASE/C2", "CASE/C3"]
    desk.ok("issue C1 --by NU -y")
    for code in codes[1:]:
        assert f"{code.split('/')[1]}, reference P-" in desk.ok(f"theatre L1 {code} --by NU")


def test_the_card_has_every_act_and_every_procedure(desk: Desk) -> None:
    page = printed(desk, "card")
    assert read_back(page) == [*(f"ACT/{act}" for act in ACTS), "KIT/PHACO"]
    assert all(words in page.text for words in ACTS.values())


def test_the_longest_and_oddest_codes_are_read_back(desk: Desk) -> None:
    assert (len(LONGEST_ITEM), len(LONGEST_PLACE)) == (40, 32)
    desk.ok(["place", "new", LONGEST_PLACE, "--name", "Far shelf", "--kind", "store", "--by", "MA"])
    give(desk, Item(LONGEST_ITEM, "Odd", "fluids", "each", 0))
    (code,) = read_back(printed(desk, f"shelf {LONGEST_PLACE} --item {LONGEST_ITEM}"))
    assert code == f"SHELF/{LONGEST_PLACE}/{LONGEST_ITEM}"
    with opened(desk.path) as book, book.reading() as db:
        meaning = what_is(db, read_scan(code, desk.today), desk.today)
    assert (meaning.own.place, meaning.item.code) == (LONGEST_PLACE, LONGEST_ITEM)


items = st.from_regex(r"\A[A-Z0-9][A-Z0-9+.-]{0,39}\Z")
places = st.from_regex(r"\A[A-Z0-9][A-Z0-9.-]{0,31}\Z")


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(places, items)
def test_any_place_and_item_are_read_back_from_their_picture(place: str, item: str) -> None:
    needed("segno")
    code = own_code("SHELF", place, item)
    source = re.search(r'base64,([^"]+)', symbols.symbol(code))
    assert source is not None
    assert read(base64.b64decode(source[1])) == [code]
    scan = read_scan(code, "2027-03-01")
    assert (scan.scheme, scan.kind, scan.code) == ("own", "shelf", (place, item))


@pytest.mark.parametrize("number", ["A/B", "10/2#7", "(17)X", "x'\"<y>", "Ä-1", "L" * 40])
def test_a_lot_of_any_printed_number_has_a_plain_symbol(desk: Desk, number: str) -> None:
    line = ["--line", "VISC", "2", number, "2027-03", "1.00"]
    desk.ok(["receive", "ACME", *line, "--reason", "needed-now", "--by", "KE", "--note", "N1"])
    path = desk.folder / "labels.html"
    desk.ok(["label", "lot", number, "-o", str(path)])
    page = Page(path.read_text(encoding="utf-8"))
    ((code,),) = desk.rows("SELECT code FROM lot WHERE number = ?", number)
    assert codes_on(page) == [f"LOT/{code}"]
    assert f"Lot {number}" in page.text
    assert page.open == []


# What stands on them


def test_a_shelf_label_says_where_what_how_much_and_which_first(desk: Desk) -> None:
    give(desk, level("OT1", "VISC", 2, 5), level("OT1", "KNIFE", lists=3),
         label("OT1", "VISC", "B-3"))  # fmt: skip
    keep_as(desk, "cold", item="VISC")
    page = printed(desk, "shelf OT1")
    for words in ("VISC", "Viscoelastic", "OT1 B-3", "At least 2, fill to 5", "Keep as: cold",
                  "Enough for the next 3 lists", "Take the soonest expiry first"):  # fmt: skip
        assert words in page.text
    found = rows(desk, "shelf OT1")
    assert found[0]["item"] == "VISC", "what has a place on the shelf comes first"
    assert {row["item"] for row in found} == {"VISC", "KNIFE", "IODINE", "VIT"}
    assert {row["place"] for row in rows(desk, "shelf")} == {"OT1", "OT2", "STORE"}


def test_an_item_that_is_named_has_its_label_before_it_lies_there(desk: Desk) -> None:
    assert [row["code"] for row in rows(desk, "shelf OT2 --item CASS --item DYE")] == [
        "SHELF/OT2/CASS", "SHELF/OT2/DYE",
    ]  # fmt: skip
    assert [row["place"] for row in rows(desk, "shelf --item KNIFE")] == ["OT1", "STORE"]


def test_a_lens_shows_model_and_power_large(desk: Desk) -> None:
    page = printed(desk, "lot S1 F1")
    for words in ("RINGL +21.50", "FLATL +21.50", "Lot R1", "Serial S1", "Exp 2029-01-31"):
        assert words in page.text


@pytest.mark.parametrize(
    ("expiry", "words"),
    [("2027-03-31", "Exp 2027-03-31"), ("2027-03", "Exp 2027-03-31"),
     ("2028-02", "Exp 2028-02-29"), ("-", "No expiry")],
)  # fmt: skip
def test_an_expiry_is_a_whole_day_that_nobody_reads_otherwise(
    desk: Desk, expiry: str, words: str
) -> None:
    line = f"VISC-B 2 X1 {expiry} 1.00"
    desk.ok(f"receive ACME --note N1 --line {line} --reason needed-now --by KE")
    assert words in printed(desk, "lot X1").text
    assert rows(desk, "lot X1")[0]["expiry"] == words


def test_all_lots_of_a_delivery_and_so_many_copies(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line VISC-B 2 X1 2029-05 1 --line DYE 1 Y1 2029-05 1 --by KE")
    number = desk.last()[0]
    assert [row["lot"] for row in rows(desk, f"lot --entry {number}")] == ["X1", "Y1"]
    assert [row["lot"] for row in rows(desk, f"lot --entry {number} --copies 3")] == [
        "X1", "X1", "X1", "Y1", "Y1", "Y1",
    ]  # fmt: skip
    assert len(printed(desk, f"lot --entry {number} --copies 3").images()) == 6


def test_a_number_of_two_items_has_two_labels_or_the_item_s_own(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line VISC-B 2 X1 2029-05 1 --line DYE 1 X1 2029-05 1 --by KE")
    assert [row["item"] for row in rows(desk, "lot X1")] == ["VISC-B", "DYE"]
    assert [row["item"] for row in rows(desk, "lot X1 --item DYE")] == ["DYE"]


def test_what_must_not_be_used_is_said_above_the_labels(desk: Desk) -> None:
    desk.ok("quarantine start --lot V2 --reason recall-notice --by MA")
    page = printed(desk, "lot V2 D0 V3")
    assert "VISC lot V2: MUST NOT BE USED, in quarantine Q1." in page.text
    assert "DYE lot D0: MUST NOT BE USED, expired 2027-02-10." in page.text
    assert "lot V3: MUST" not in page.text
    assert [row["must_not_be_used"] for row in rows(desk, "lot V2 V3")] == ["in quarantine Q1", ""]


def test_a_strip_says_whose_it_is_and_leaves_room_for_the_second_identifier(desk: Desk) -> None:
    page = printed(desk, "case C2 C4")
    for words in ("P-2", "LEFT EYE", "RINGL +21.00", "dye", "L1 / 2", "List L2, 2027-03-01, OT2",
                  "Second identifier:", "not a clinical record"):  # fmt: skip
        assert words in page.text
    assert codes_on(page) == ["CASE/C2", "CASE/C4"]
    assert "P-2" not in desk.ok("label case C2 --csv"), "a patient is on the strip alone"


def test_a_day_s_lists_stand_one_after_the_other_without_cancelled_cases(desk: Desk) -> None:
    desk.ok("case cancel C2 --reason typed-wrongly --by NU -y")
    page = printed(desk, "list today")
    assert codes_on(page) == ["LIST/L1", "CASE/C1", "CASE/C3", "LIST/L2", "CASE/C4", "CASE/C5"]
    assert "Cancelled, without a strip: C2." in page.text


# The page


@pytest.mark.parametrize("what", ["shelf", "lot V1", "case C1", "list L1", "card"])
def test_each_page_stands_alone_and_says_what_its_codes_are(desk: Desk, what: str) -> None:
    page = printed(desk, what)
    text = (desk.folder / "labels.html").read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert page.open == []
    assert {tag for tag, _ in page.tags} & {"script", "link", "iframe", "object", "a"} == set()
    assert re.findall(r"https?://|url\(|@import", text) == []
    assert "they name no product to others" in page.text
    number, checksum = desk.last()
    assert f"Book as after entry {number}, checksum {checksum}." in page.text
    assert "size: A4" in text
    assert "SSCC" not in text
    assert "GS1" not in text


def test_letter_is_another_size_of_the_same_page(desk: Desk) -> None:
    path = desk.folder / "labels.html"
    desk.ok(f"label shelf OT1 --paper letter -o {path}")
    assert "size: letter" in path.read_text(encoding="utf-8")
    desk.refused("label shelf OT1 --paper b4", 2)


def test_without_the_extra_codes_are_text_and_the_page_says_so(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    codes = codes_on(printed(desk, "shelf OT1"))
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    page = printed(desk, "shelf OT1")
    assert page.images() == []
    assert symbols.WITHOUT in page.text
    assert all(code in page.text for code in codes)


def test_names_are_text_whatever_they_hold(desk: Desk) -> None:
    give(desk, Item("KNIFE", HOSTILE, "blades", "each", 0), label("OT1", "KNIFE", HOSTILE),
         Place("FAR", HOSTILE, "store"))  # fmt: skip
    for what in ("shelf", "lot K1"):
        page = printed(desk, what)
        assert page.open == []
        assert "script" not in {tag for tag, _ in page.tags}
        assert HOSTILE in page.text


def test_without_a_file_the_labels_are_listed_and_nothing_is_recorded(desk: Desk) -> None:
    before = desk.path.read_bytes()
    page = desk.ok("label shelf OT1 --item VISC")
    assert line_with(page, "VISC") == "OT1 VISC Viscoelastic SHELF/OT1/VISC"
    assert "1 label." in page
    assert "-o FILE.html" in page
    printed(desk, "list L1")
    assert desk.path.read_bytes() == before


# Refused


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("shelf NOPE", "NOPE is no place of this book that fits here"),
        ("shelf trolley", "no place of this book"),
        ("shelf OT1 --item NOPE", "NOPE is not in this book"),
        ("shelf --item CASS", "no item has a shelf, a level or stock there"),
        ("shelf QUAR", "no item has a shelf, a level or stock there"),
        ("lot", "name lots, or a delivery with --entry N"),
        ("lot X9", "lot X9 is not in this book"),
        ("lot V1 --item DYE", "lot V1 of DYE is not in this book"),
        ("lot --entry 99", "entry 99 is not in this book; the last is 9"),
        ("lot --entry 1", "entry 1 brought no lot"),
        ("lot V1 --copies 0", "wanted 1 to 500"),
        ("lot V1 --copies 501", "501 labels asked"),
        ("case C9", "C9 is not in this book"),
        ("list NOPE", "NOPE is not in this book"),
        ("list 2027-04-01", "no case that takes place"),
        ("case", "CASES"),
    ],
)
def test_what_cannot_be_printed_is_refused(desk: Desk, what: str, said: str) -> None:
    assert MOST == 500
    assert said in desk.refused(f"label {what}", 2)


def test_what_is_gone_or_cancelled_has_no_label(desk: Desk) -> None:
    desk.ok("discard VISC 5 --from STORE --lot V3 --reason wet --by KE")
    assert "nothing of it is on hand" in desk.refused("label lot V3", 2)
    desk.ok("case cancel C2 --reason typed-wrongly --by NU -y")
    assert "C2 is cancelled" in desk.refused("label case C2", 2)


def test_a_folder_that_is_not_there_is_named(desk: Desk) -> None:
    path = Path("no") / "labels.html"
    assert "there is no folder" in desk.refused(f"label shelf OT1 -o {path}", 2)
