"""Facts: every kind comes back from its change and from its row."""

import json
from dataclasses import MISSING, fields, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import a_lot

from stockbook.domain.codec import (
    KIND_OF,
    KINDS,
    body_of,
    fact_from_body,
    fact_from_row,
    field_names,
    row_of,
)
from stockbook.domain.facts import Case, Fact, Item, Kit, KitLine, Setting, Shortfall


def built(cls: type[Any]) -> st.SearchStrategy[Any]:
    """Any fact of a kind, its optional fields included."""
    return st.builds(cls, **dict.fromkeys(field_names(cls), ...))


facts = st.sampled_from(list(KINDS.values())).flatmap(built)


@given(facts)
def test_every_kind_comes_back_from_its_change(fact: Fact) -> None:
    assert fact_from_body(KIND_OF[type(fact)], str(fact.code), body_of(fact)) == fact


@given(facts)
def test_every_kind_comes_back_from_its_row(fact: Fact) -> None:
    assert fact_from_row(type(fact), row_of(fact)) == fact


@given(facts)
def test_rule_1_a_row_holds_whole_numbers_text_and_nothing(fact: Fact) -> None:
    assert {type(value) for value in row_of(fact)} <= {int, str, type(None)}


def leaves(value: Any) -> list[Any]:
    if isinstance(value, dict):
        value = list(value.values())
    return [leaf for part in value for leaf in leaves(part)] if isinstance(value, list) else [value]


@given(facts)
def test_rule_9_a_body_is_canonical_json_of_whole_numbers_text_and_null(fact: Fact) -> None:
    body = body_of(fact)
    values = json.loads(body)
    wanted = json.dumps(values, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    assert body == wanted
    assert {type(leaf) for leaf in leaves(values)} <= {int, str, type(None)}
    assert set(values) == set(field_names(type(fact))) - {"code"}


@given(facts, st.data())
def test_a_body_older_than_a_field_takes_the_field_s_first_value(
    fact: Fact, data: st.DataObject
) -> None:
    firsts = {f.name: f.default for f in fields(fact) if f.default is not MISSING}
    unknown = data.draw(st.sets(st.sampled_from(sorted(firsts)))) if firsts else set()
    values = {k: v for k, v in json.loads(body_of(fact)).items() if k not in unknown}
    found = fact_from_body(KIND_OF[type(fact)], str(fact.code), json.dumps(values))
    assert found == replace(fact, **{name: firsts[name] for name in unknown})


@pytest.mark.parametrize(("by_serial", "stored"), [(False, 0), (True, 1)])
def test_yes_and_no_are_stored_as_1_and_0(stored: int, *, by_serial: bool) -> None:
    item = Item("X", "X", "lens", "each", 0, by_serial=by_serial)
    assert f'"by_serial":{stored}' in body_of(item)
    row = row_of(item)
    found = row[field_names(Item).index("by_serial")]
    assert (found, type(found)) == (stored, int)
    assert fact_from_row(Item, row).by_serial is by_serial
    assert fact_from_body("item", "X", body_of(item)).by_serial is by_serial


def test_a_kit_s_lines_and_a_case_s_missing_units_keep_their_form() -> None:
    kit = Kit("P/paid", "P", "paid", None, (KitLine("one-of", ("A", "B"), 2),))
    case = Case("C1", "L1", 1, needs=("dye",), missing=(Shortfall("VISC", 2),))
    assert fact_from_body("kit", "P/paid", body_of(kit)).lines[0].items == ("A", "B")
    assert fact_from_body("case", "C1", body_of(case)).missing == (Shortfall("VISC", 2),)
    assert row_of(case)[-4] == '[{"item":"VISC","quantity":2}]'


def test_a_lot_s_code_is_a_number_again() -> None:
    assert fact_from_body("lot", "12", body_of(a_lot(12))).code == 12


def test_letters_stay_as_they_are_in_a_body() -> None:
    assert body_of(Setting("site", "Ärzte → अस्पताल")) == '{"value":"Ärzte → अस्पताल"}'


def test_every_kind_has_its_own_class() -> None:
    assert len(KIND_OF) == len(KINDS)
    assert all(field_names(cls)[0] == "code" for cls in KIND_OF)
