"""Rules 3, 7, 8, 10 and 12: what `post()` takes, for which day, and how often."""

import re
import sqlite3
from dataclasses import replace
from itertools import product

import pytest
from desk import TODAY, Desk

from ledger.books import content, draft, lot, moves_of, opened, post_all, record, signed
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Place
from stockbook.domain.finance_facts import Period
from stockbook.domain.places import ALLOWED
from stockbook.errors import BookUnusable, Refused
from stockbook.ledger.opening import new_book

PLACE_OF = {
    "supplier": "supplier/ACME", "opening": "opening", "store": "STORE", "theatre": "OT1",
    "quarantine": "QUAR", "trolley": "trolley/OT1", "in use": "OPEN-1", "difference": "difference",
    "reprocessing": "reprocessing", "used": "used/paid", "waste": "waste/paid",
    "sent back": "sent-back",
}  # fmt: skip


def refused(desk: Desk, words: str, *moves: Movement, **more: object) -> str:
    """What `post()` said; the book's content is as it was."""
    before = content(desk.path)
    with pytest.raises(Refused, match=re.escape(words)) as caught:
        record(desk, *moves, **more)
    assert content(desk.path) == before
    return caught.value.message


def answer_to(desk: Desk, move: Movement) -> str:
    """What was said against a movement; nothing when it was taken."""
    try:
        record(desk, move)
    except Refused as error:
        return error.message
    return ""


@pytest.mark.parametrize(("from_kind", "to_kind"), list(product(PLACE_OF, PLACE_OF)))
def test_rule_03_units_move_only_as_the_table_of_flows_says(
    desk: Desk, from_kind: str, to_kind: str
) -> None:
    """A pair outside the table is refused; a pair inside it is never refused as a flow."""
    if from_kind == to_kind and from_kind not in ("store", "theatre", "quarantine", "trolley"):
        return
    extra = Place("OPEN-1", "an open bottle", "in use")
    second = Place("SECOND", "another", to_kind)
    to = "SECOND" if from_kind == to_kind else PLACE_OF[to_kind]
    record(desk, facts=(extra, second), kind="facts")
    move = Movement(lot(desk, "V2"), 1, 100, PLACE_OF[from_kind], to, "C1")
    if to_kind not in ALLOWED[from_kind]:
        refused(desk, f"nothing moves from {from_kind} to {to_kind}", move)
        return
    assert "nothing moves" not in answer_to(desk, move)


def test_rule_03_the_table_of_flows_knows_every_kind_and_nothing_leaves_sent_back() -> None:
    assert set(PLACE_OF) == set(ALLOWED)
    assert ALLOWED["sent back"] == frozenset()


@pytest.mark.parametrize(("from_place", "to_place"), [("NOWHERE", "STORE"), ("STORE", "NOWHERE")])
def test_rule_03_an_unknown_place_is_refused_by_name(
    desk: Desk, from_place: str, to_place: str
) -> None:
    refused(desk, "NOWHERE", Movement(lot(desk, "V2"), 1, 100, from_place, to_place))


def close(desk: Desk, code: str, kind: str) -> None:
    record(desk, facts=(Place(code, code, kind, closed=True),), kind="facts")


def test_rule_03_nothing_moves_into_a_closed_place(desk: Desk) -> None:
    close(desk, "OT2", "theatre")
    refused(desk, "OT2", Movement(lot(desk, "V2"), 1, 100, "STORE", "OT2"))


def test_rule_03_what_lies_in_a_closed_place_can_still_leave_it(desk: Desk) -> None:
    """Only the way in is shut: a bottle's rest goes to waste and its place closes in one entry."""
    close(desk, "OT2", "theatre")
    record(desk, Movement(lot(desk, "F2"), 2, 60000, "OT2", "STORE"))
    assert desk.on_hand("FLATL+21.00") == {("STORE", "F2"): 2}


def test_rule_03_what_touches_the_trolley_names_its_case(desk: Desk) -> None:
    refused(desk, "case", Movement(lot(desk, "V2"), 1, 100, "STORE", "trolley/OT1"))


def test_rule_03_a_lot_the_book_does_not_know_is_refused(desk: Desk) -> None:
    before = content(desk.path)
    with pytest.raises(Exception, match="lot"):
        record(desk, Movement(999, 1, 100, "STORE", "OT1"))
    assert content(desk.path) == before


def test_rule_07_an_entry_for_a_closed_period_is_booked_on_the_first_open_day(desk: Desk) -> None:
    months = [Period("2027-01", "2027-01-01", "2027-01-31", closed=True),
              Period("2027-02", "2027-02-01", "2027-02-28", closed=True)]  # fmt: skip
    record(desk, facts=tuple(months), kind="facts")
    for on in ("2027-01-31", "2027-02-01", "2027-02-28", "2027-03-01"):
        desk.ok(f"move VISC 1 --from STORE --to OT1 --by KE --on {on} --lot V3")
    days = desk.rows("SELECT happened_on, booked_on FROM entry WHERE kind = 'move' ORDER BY number")
    assert days == [("2027-01-31", TODAY), ("2027-02-01", TODAY), ("2027-02-28", TODAY),
                    (TODAY, TODAY)]  # fmt: skip
    desk.ok("book verify")


@pytest.mark.parametrize(
    ("day", "booked"),
    [("2027-02-09", "2027-02-21"), ("2027-02-10", "2027-02-21"), ("2027-02-20", "2027-02-21"),
     ("2027-02-21", "2027-02-21")],
)  # fmt: skip
def test_rule_07_nothing_is_booked_on_or_before_the_last_closed_day(
    desk: Desk, day: str, booked: str
) -> None:
    """What came before it would alter its opening."""
    record(desk, facts=(Period("P", "2027-02-10", "2027-02-20", closed=True),), kind="facts")
    record(desk, Movement(lot(desk, "V3"), 1, 13000, "STORE", "OT1"), day=day)
    assert desk.rows("SELECT booked_on FROM entry ORDER BY number DESC LIMIT 1") == [(booked,)]


def test_rule_07_an_open_or_reopened_period_keeps_the_day(desk: Desk) -> None:
    for closed in (True, False):
        period = Period("P", "2027-02-10", "2027-02-20", closed=closed)
        record(desk, facts=(period,), kind="facts")
    record(desk, Movement(lot(desk, "V3"), 1, 13000, "STORE", "OT1"), day="2027-02-15")
    assert desk.rows("SELECT booked_on FROM entry ORDER BY number DESC LIMIT 1") == [
        ("2027-02-15",)
    ]


def test_rule_07_a_header_booked_into_a_closed_period_is_refused_by_the_table(desk: Desk) -> None:
    record(desk, facts=(Period("P", "2027-02-10", "2027-02-20", closed=True),), kind="facts")
    last, checksum = desk.last()
    with opened(desk.path) as book, pytest.raises(sqlite3.IntegrityError, match="period closed"):
        book.file.execute(
            "INSERT INTO entry (number, kind, happened_on, booked_on, recorded_at, by, "
            "request_key, request_digest, movement_count, change_count, previous, checksum) "
            "VALUES (?, 'facts', '2027-02-15', '2027-02-15', 't', 'MA', 'k', 'd', 0, 0, ?, 'c')",
            (last + 1, checksum),
        )


def test_rule_08_the_same_request_answers_the_entry_already_there(desk: Desk) -> None:
    move = Movement(lot(desk, "V2"), 1, 10000, "STORE", "OT1")
    first = record(desk, move, key="k/1")
    before = content(desk.path)
    again = record(desk, move, key="k/1")
    assert (first.already, again.already) == (False, True)
    assert again.number == first.number
    assert content(desk.path) == before


def test_rule_08_the_same_key_with_another_digest_is_refused_with_both(desk: Desk) -> None:
    move = Movement(lot(desk, "V2"), 1, 10000, "STORE", "OT1")
    number = record(desk, move, key="k/1", digest="aaaaaaaaaaaa1").number
    said = refused(desk, "k/1", move, key="k/1", digest="bbbbbbbbbbbb2")
    assert "aaaaaaaaaaaa" in said
    assert "bbbbbbbbbbbb" in said
    assert f"entry {number}" in said


def test_rule_08_a_delivery_note_given_twice_is_recorded_once(desk: Desk) -> None:
    line = "receive ACME --note N1 --line VISC 10 NEW 2029-01 12.50 --by KE"
    desk.ok(line)
    before = desk.last()
    assert "Already recorded as entry 10" in desk.ok(line)
    assert desk.last() == before


def test_rule_08_the_same_note_with_other_lines_is_refused(desk: Desk) -> None:
    desk.ok("receive ACME --note N1 --line VISC 10 NEW 2029-01 12.50 --by KE")
    said = desk.refused("receive ACME --note N1 --line VISC 11 NEW 2029-01 12.50 --by KE", 3)
    assert "receive/ACME/N1/0" in said
    assert "entry 10" in said


def test_rule_08_natural_keys_end_in_the_number_of_reversals(desk: Desk) -> None:
    for count in range(3):
        number = int(desk.ok("issue C1 --by NU -q").split()[-1].rstrip("."))
        key = desk.rows("SELECT request_key FROM entry WHERE number = ?", number)
        assert key == [(f"issue/C1/{count}",)]
        desk.ok(f"reverse {number} --reason wrong-case --by NU")


def test_rule_08_a_note_whose_number_starts_like_another_keeps_its_own_count(desk: Desk) -> None:
    for note in ("N1", "N10", "N1/0"):
        desk.ok(f"receive ACME --note {note} --line VISC 1 L-{note} 2029-01 12.50 --by KE")
    desk.ok("reverse 11 --reason typing-error --by KE")
    desk.ok("receive ACME --note N1 --line VISC 1 L-N1 2029-01 12.50 --by KE")
    desk.ok("receive ACME --note N10 --line VISC 1 L-N10 2029-01 12.50 --by KE")
    keys = [key for (key,) in desk.rows("SELECT request_key FROM entry WHERE kind = 'delivery'")]
    assert keys == [
        "receive/ACME/N1/0", "receive/ACME/N10/0", "receive/ACME/N1/0/0", "receive/ACME/N10/1",
    ]  # fmt: skip


def test_rule_08_what_has_no_document_is_recorded_as_often_as_it_is_asked(desk: Desk) -> None:
    for _ in range(2):
        desk.ok("move VISC 1 --from STORE --to OT1 --by KE")
    assert desk.on_hand("VISC", "OT1") == {("OT1", "V1"): 1, ("OT1", "V2"): 2}


def test_rule_10_a_list_is_issued_as_a_whole_or_not_at_all(desk: Desk) -> None:
    """C1 alone could be served; the third case of the list cannot."""
    desk.ok("discard FLATL+21.50 4 --from STORE --reason damaged --by KE")
    said = desk.refused("issue --list L1 --by NU", 3)
    assert "FLATL+21.50" in said


def test_rule_10_several_entries_of_one_transaction_are_chained_in_order(desk: Desk) -> None:
    move = Movement(lot(desk, "V2"), 1, 10000, "STORE", "OT1")
    with opened(desk.path) as book:
        recorded = post_all(book, *(draft(f"k/{n}", (move,)) for n in range(3)))
    numbers = [one.number for one in recorded]
    assert numbers == [10, 11, 12]
    desk.ok("book verify")


def test_rule_10_a_failure_in_the_last_entry_takes_back_the_first(desk: Desk) -> None:
    before = content(desk.path)
    move = Movement(lot(desk, "V2"), 1, 10000, "STORE", "OT1")
    too_many = Movement(lot(desk, "V2"), 9, 80000, "STORE", "OT1")
    with opened(desk.path) as book, pytest.raises(Refused):
        post_all(book, draft("k/1", (move,)), draft("k/2", (too_many,)))
    assert content(desk.path) == before


@pytest.mark.parametrize(
    "line",
    ["receive ACME --note N1 --line VISC 1 L 2029-01 1.00", "issue C1", "finish C1 --as-kit"],
)
def test_rule_10_a_dry_run_leaves_every_byte_and_says_so(desk: Desk, line: str) -> None:
    before = desk.path.read_bytes()
    by = "KE" if line.startswith("receive") else "NU"
    assert "Nothing was recorded" in desk.ok(f"{line} --by {by} -n")
    assert desk.path.read_bytes() == before


def test_rule_12_a_patient_who_is_not_a_reference_of_the_pattern_is_refused(desk: Desk) -> None:
    (header, row) = (desk.folder / "lists.csv").read_text(encoding="utf-8").splitlines()[:2]
    name = row.replace("P-1", "Some Person").replace("C1", "C9").replace("L1", "L9")
    desk.file("one.csv", f"{header}\n{name}\n")
    said = desk.refused("import lists one.csv --by MA", 2)
    assert "Some Person" in said


def test_rule_12_no_table_has_a_column_for_a_patients_name(desk: Desk) -> None:
    """The one table with people's names holds the staff's, outside the chain (DESIGN section 3)."""
    named = desk.rows(
        "SELECT m.name FROM sqlite_schema AS m, pragma_table_info(m.name) AS c "
        "WHERE m.type = 'table' AND c.name = 'name' ORDER BY 1"
    )
    assert [row[0] for row in named] == [
        "category", "item", "person", "place", "sponsor", "supplier"
    ]  # fmt: skip
    columns = desk.rows("SELECT name FROM pragma_table_info('theatre_case') ORDER BY cid")
    assert "patient" in [row[0] for row in columns]
    assert not [name for (name,) in columns if "name" in name or "birth" in name]


def test_rule_07_an_entry_keeps_who_when_and_both_days(desk: Desk) -> None:
    desk.ok("move VISC 1 --from STORE --to OT1 --by KE --on 2027-02-27 --at 14:05 --comment late")
    ((*row,),) = desk.rows(
        "SELECT happened_on, happened_at, booked_on, recorded_at, by, comment FROM entry "
        "WHERE number = 10"
    )
    assert row == ["2027-02-27", "14:05", "2027-02-27", f"{TODAY}T08:00:00Z", "KE", "late"]
    assert [move[1:5] for move in moves_of(desk, 10)] == [(1, 10000, "STORE", "OT1")]


def test_rule_07_two_persons_are_two_codes_in_the_table_too(desk: Desk) -> None:
    one = replace(draft("k"), signature=signed(checked_by="KE"))
    with opened(desk.path) as book, pytest.raises((Refused, sqlite3.Error)):
        post_all(book, one)
    assert desk.last()[0] == 9


def test_a_book_is_never_made_over_a_file_that_is_there(desk: Desk) -> None:
    before = desk.path.read_bytes()
    with pytest.raises(BookUnusable, match="there is a file already"):
        new_book(desk.path)
    assert desk.path.read_bytes() == before
