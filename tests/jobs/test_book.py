"""Making a book and verifying one."""

import contextlib
import sqlite3

import pytest
from desk import Desk, new_desk

from jobs.pages import line_with

FACTS = {
    "suppliers": "supplier,name\nACME,Acme\n",
    "places": "place,name,kind\nSTORE,Store,store\n",
    "staff": "staff,role\nKE,keeper\n",
    "items": "item,name,class\nPAD,Eye pad,other\n",
}


def stocked(folder, currency: str, price: str) -> Desk:
    """A book of a currency with one delivery of three pads."""
    desk = new_desk(folder, currency=currency)
    for kind, text in FACTS.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA", today="2027-02-01")
    desk.ok(f"receive ACME --note N --by KE --line PAD 3 P1 2029-01 {price}")
    return desk


@pytest.mark.parametrize(
    ("currency", "price", "total"),
    [("JPY", "1234", "JPY 3,702"), ("INR", "1234.5", "INR 3,703.50"),
     ("KWD", "1234.567", "KWD 3,703.701")],
)  # fmt: skip
def test_every_currency_has_its_own_number_of_decimals(
    tmp_path, currency: str, price: str, total: str
) -> None:
    """ISO 4217: the yen has no minor unit, the rupee two decimals, the Kuwaiti dinar three."""
    desk = stocked(tmp_path, currency, price)
    assert f"Value in all: {total}" in desk.ok("stock")
    last = line_with(desk.ok("cost"), "= should be on hand").split()[-1]
    assert f"{currency} {last}" == total


@pytest.mark.parametrize(
    ("currency", "price"), [("JPY", "1.5"), ("INR", "1.555"), ("KWD", "1.5555")]
)
def test_a_price_finer_than_the_currency_is_wrong_input(tmp_path, currency, price) -> None:
    desk = stocked(tmp_path, currency, "1")
    desk.refused(f"receive ACME --note M --by KE --line PAD 3 P2 2029-01 {price}", 2)


def test_a_new_book_has_one_entry_with_its_first_manager(tmp_path) -> None:
    desk = new_desk(tmp_path)
    assert desk.rows("SELECT number, kind, by FROM entry") == [(1, "book", "MA")]
    assert desk.rows("SELECT code, role FROM staff_code") == [("MA", "manager")]
    assert desk.rows("SELECT code FROM category") == [("free",), ("paid",)]
    assert "sound" in desk.ok("book verify")


def test_other_categories_can_be_added_to_free_and_paid(tmp_path) -> None:
    desk = Desk(tmp_path)
    desk.ok("book new --site S --currency KES --time-zone Africa/Nairobi --by MA "
            "--category subsidised --category free")  # fmt: skip
    assert desk.rows("SELECT code FROM category") == [("free",), ("paid",), ("subsidised",)]
    assert ("used/subsidised",) in desk.rows("SELECT code FROM place")


def test_two_books_have_ids_of_their_own(tmp_path) -> None:
    ids = []
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        ids += new_desk(tmp_path / name).rows("SELECT id FROM book")
    assert ids[0] != ids[1]


BASE = {"site": "S", "currency": "INR", "time-zone": "UTC", "by": "MA"}


@pytest.mark.parametrize(
    ("option", "value", "words"),
    [
        ("currency", "XXX", "ISO 4217"),
        ("currency", "RUPEE", "'RUPEE'"),
        ("currency", "", "ISO 4217"),
        ("time-zone", "Mars/Base", "Africa/Nairobi"),
        ("time-zone", "../../etc/hostname", "Africa/Nairobi"),
        ("time-zone", "", "Africa/Nairobi"),
        ("time-zone", "Africa", "Africa/Nairobi"),
        ("site", " ", "site"),
        ("by", "m a", "staff code"),
        ("category", "common", "common"),
        ("category", "Two Words", "category"),
        ("reference-pattern", "(", "pattern"),
    ],
)
def test_a_wrong_setting_makes_no_book(tmp_path, option: str, value: str, words: str) -> None:
    desk = Desk(tmp_path)
    line = ["book", "new"]
    for name, text in (BASE | {option: value}).items():
        line += [f"--{name}", text]
    assert words in desk.refused(line, 2)
    assert not desk.path.exists()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b"some notes", b"SQLite format 3\0" + b"\0" * 84])
def test_a_file_that_is_there_stays_untouched(tmp_path, content: bytes) -> None:
    desk = Desk(tmp_path)
    desk.path.write_bytes(content)
    line = "book new --site S --currency INR --time-zone UTC --by MA"
    assert "stays as it is" in desk.refused(line, 4)
    assert desk.path.read_bytes() == content


def test_a_folder_that_is_not_there_is_named(tmp_path) -> None:
    desk = Desk(tmp_path, name="nowhere/book.stockbook")
    line = "book new --site S --currency INR --time-zone UTC --by MA"
    assert "no such folder" in desk.refused(line, 4)


def test_a_reference_pattern_of_the_site_holds_for_its_lists(tmp_path) -> None:
    desk = stocked(tmp_path, "INR", "1")
    other = Desk(tmp_path, name="other.stockbook")
    other.ok("book new --site S --currency INR --time-zone UTC --by MA "
             "--reference-pattern 'H[0-9]{4}'", today="2027-02-01")  # fmt: skip
    for book in (desk, other):
        text = "place,name,kind\nOT1,Theatre,theatre\n"
        book.ok(f"import places {book.file('t.csv', text)} --by MA")
    desk.file("l.csv", "list,day,theatre,case,position,patient,eye,procedure,category\n"
                       "L1,2027-03-01,OT1,C1,1,P-1,left,PHACO,paid\n")  # fmt: skip
    desk.ok("import lists l.csv --by MA")
    assert "H[0-9]{4}" in other.refused("import lists l.csv --by MA", 2)


def test_verify_counts_what_it_checked(desk: Desk) -> None:
    page = desk.ok("book verify")
    assert "9 entries, 16 movements" in page
    assert desk.last()[1] in page


def test_a_changed_balance_is_found_and_named(desk: Desk) -> None:
    with contextlib.closing(sqlite3.connect(desk.path)) as db, db:
        db.execute("UPDATE on_hand SET value = value + 1 WHERE place = 'OT1' AND quantity = 3")
    answer = desk.run("book verify")
    assert answer.code == 5
    assert line_with(answer.out, "on_hand OT1", "10001")
    assert "Do not post into this book" in answer.err
