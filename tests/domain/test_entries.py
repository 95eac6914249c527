"""Rule 9: the checksum is SHA-256 over the canonical JSON of the whole entry."""

import hashlib
import json
import unicodedata
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.codec import field_names
from stockbook.domain.entries import (
    HEAD,
    Entry,
    Movement,
    change_row,
    checksum,
    digest_of,
    entry_text,
    movement_row,
)
from stockbook.domain.facts import Supplier

HEAD_VALUES = (
    7, "issue", "2027-03-01", "08:05", "2027-03-01", "2027-03-01T08:05:00Z", "NU", None,
    None, "Caf\u00e9 \u2192 \"two\"", "C1", "issue/C1", "ab12", None,
)  # fmt: skip
MOVE = Movement(3, 2, 6700, "STORE", "trolley/OT1", "C1", None, seen=True)
SUPPLIER = Supplier("ACME", "Ácme")

TEXT = (
    '[[7,"issue","2027-03-01","08:05","2027-03-01","2027-03-01T08:05:00Z","NU",null,'
    'null,"Café → \\"two\\"","C1","issue/C1","ab12",null],'
    '[[3,2,6700,"STORE","trolley/OT1","C1",null,1]],'
    '[["supplier","ACME",{"name":"Ácme"}]]]'
)
"""What a person would write down by the rule."""


def text_of(head: tuple[Any, ...], move: tuple[Any, ...], change: tuple[str, str, str]) -> str:
    return entry_text(head, [move], [change])  # type: ignore[list-item]


def test_rule_9_the_text_of_an_entry_is_the_one_written_down_here() -> None:
    assert text_of(HEAD_VALUES, movement_row(MOVE), change_row(SUPPLIER)) == TEXT


def test_rule_9_the_checksum_is_recomputed_by_hand() -> None:
    previous = "0" * 64
    wanted = hashlib.sha256(("stockbook entry 1\n" + previous + "\n" + TEXT).encode("utf-8"))
    assert checksum(previous, TEXT) == wanted.hexdigest()


def test_rule_9_the_order_of_the_head_is_fixed_and_names_parts_of_an_entry() -> None:
    assert HEAD == (
        "number", "kind", "happened_on", "happened_at", "booked_on", "recorded_at", "by",
        "checked_by", "reason", "comment", "document", "request_key", "request_digest", "reverses",
    )  # fmt: skip
    assert set(HEAD) < set(field_names(Entry))


def test_rule_9_a_movement_is_in_the_order_of_its_fields_with_seen_as_a_number() -> None:
    row = movement_row(MOVE)
    assert row == (3, 2, 6700, "STORE", "trolley/OT1", "C1", None, 1)
    assert type(row[-1]) is int


@pytest.mark.parametrize("part", range(len(HEAD)), ids=HEAD)
def test_rule_9_changing_any_part_of_the_head_changes_the_checksum(part: int) -> None:
    other = 8 if isinstance(HEAD_VALUES[part], int) else f"{HEAD_VALUES[part]}x"
    head = (*HEAD_VALUES[:part], other, *HEAD_VALUES[part + 1 :])
    changed = text_of(head, movement_row(MOVE), change_row(SUPPLIER))
    assert checksum("", changed) != checksum("", TEXT)


@pytest.mark.parametrize("part", range(8))
def test_rule_9_changing_any_part_of_a_movement_changes_the_checksum(part: int) -> None:
    row = movement_row(MOVE)
    other = row[part] + 1 if isinstance(row[part], int) else f"{row[part]}x"
    changed = text_of(HEAD_VALUES, (*row[:part], other, *row[part + 1 :]), change_row(SUPPLIER))
    assert checksum("", changed) != checksum("", TEXT)


@pytest.mark.parametrize("part", range(3))
def test_rule_9_changing_any_part_of_a_change_changes_the_checksum(part: int) -> None:
    row = change_row(SUPPLIER)
    other = ("place", "ACMF", '{"name":"Acme"}')[part]
    changed = text_of(HEAD_VALUES, movement_row(MOVE), (*row[:part], other, *row[part + 1 :]))
    assert checksum("", changed) != checksum("", TEXT)


def test_rule_9_the_previous_checksum_and_the_order_of_lines_count() -> None:
    one, two = movement_row(MOVE), movement_row(Movement(4, 1, 5, "STORE", "OT1"))
    assert checksum("a", TEXT) != checksum("b", TEXT)
    assert entry_text(HEAD_VALUES, [one, two], []) != entry_text(HEAD_VALUES, [two, one], [])


def test_nothing_and_empty_text_are_not_the_same() -> None:
    empty = (*HEAD_VALUES[:-1], "")
    assert entry_text(HEAD_VALUES, [], []) != entry_text(empty, [], [])


texts = st.text(max_size=12).map(lambda text: unicodedata.normalize("NFC", text))
whole = st.integers(0, 2**53 - 1)
move_rows = st.tuples(
    whole, whole, whole, texts, texts, st.none() | texts, st.none() | texts, st.integers(0, 1)
)
change_rows = st.tuples(texts, texts, st.dictionaries(texts, whole | texts | st.none()))


def canonical(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


@given(st.lists(st.none() | whole | texts, min_size=14, max_size=14), st.lists(move_rows),
       st.lists(change_rows))  # fmt: skip
def test_rule_9_the_text_is_plain_json_without_spaces_and_reads_back(
    head: list[Any], moves: list[Any], changes: list[Any]
) -> None:
    text = entry_text(head, moves, [(kind, code, canonical(body)) for kind, code, body in changes])
    everything = [head, [list(m) for m in moves], [list(c) for c in changes]]
    assert text == canonical(everything)
    assert json.loads(text) == everything
    assert unicodedata.is_normalized("NFC", text)


@given(st.dictionaries(texts, whole | texts, min_size=2))
def test_a_digest_is_of_what_was_asked_not_of_its_order(asked: dict[str, Any]) -> None:
    turned = dict(reversed(list(asked.items())))
    assert digest_of([asked]) == digest_of([turned])
    assert digest_of([asked]) == hashlib.sha256(canonical([asked]).encode()).hexdigest()
    assert digest_of([asked, None]) != digest_of([asked])
