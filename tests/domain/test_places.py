"""The flow table as a whole: from which kind of place units may go where."""

from itertools import product

import pytest

from stockbook.domain import places
from stockbook.domain.places import (
    ALLOWED,
    KINDS,
    STOCK_KINDS,
    VALUE_ONLY_TO,
    is_allowed,
)

# DESIGN's words for a place, kind by kind.
ALL_KINDS = {
    "store", "theatre", "trolley", "in use", "quarantine", "supplier", "opening", "reprocessing",
    "used", "waste", "sent back", "difference",
}  # fmt: skip
SHELVES = {"store", "theatre", "quarantine"}


def sources_of(kind: str) -> set[str]:
    """The kinds from which units may come to a kind."""
    return {source for source, targets in ALLOWED.items() if kind in targets}


def test_every_kind_of_place_has_a_row_and_no_other() -> None:
    assert set(KINDS) == ALL_KINDS
    assert set().union(*ALLOWED.values()) <= ALL_KINDS


def test_every_place_of_a_book_is_of_a_known_kind() -> None:
    made = [
        *places.places_of_book(),
        *places.places_of_category("free"),
        places.place_of_supplier("ACME", "Acme"),
        *(p for kind in places.SITE_KINDS for p in places.places_of_site("X", "X", kind)),
    ]
    assert {place.kind for place in made} == ALL_KINDS - {"in use"}
    assert len({place.code for place in places.places_of_book()}) == 6


def test_nothing_leaves_what_was_sent_back() -> None:
    assert ALLOWED["sent back"] == set()


def test_nothing_comes_to_a_supplier_or_to_opening_stock() -> None:
    assert sources_of("supplier") == sources_of("opening") == set()


def test_opening_stock_and_deliveries_come_to_shelves_only() -> None:
    assert ALLOWED["opening"] == ALLOWED["supplier"] == SHELVES


def test_what_lies_in_quarantine_is_not_issued_or_used() -> None:
    assert not ALLOWED["quarantine"] & {"trolley", "in use", "used"}


def test_what_was_used_or_wasted_never_comes_back_to_a_shelf() -> None:
    assert not (ALLOWED["used"] | ALLOWED["waste"]) & (SHELVES | {"in use", "difference"})


def test_only_shelves_send_back() -> None:
    assert sources_of("sent back") == SHELVES


def test_a_case_ends_from_its_trolley_in_use_waste_or_back_on_a_shelf() -> None:
    assert ALLOWED["trolley"] >= {"used", "waste"} | SHELVES
    assert "trolley" in ALLOWED["difference"]


def test_every_stock_kind_can_be_filled_and_emptied_and_counted_down() -> None:
    for kind in STOCK_KINDS:
        assert sources_of(kind) - {kind}
        assert ALLOWED[kind] >= {"waste", "difference"}


def test_only_a_trolley_needs_its_case() -> None:
    assert {"trolley"} == places.NEEDS_CASE


@pytest.mark.parametrize(
    ("source", "target", "wanted"),
    [
        ("supplier", "store", True), ("opening", "theatre", True), ("store", "trolley", True),
        ("theatre", "trolley", True), ("trolley", "used", True), ("trolley", "waste", True),
        ("trolley", "theatre", True), ("trolley", "trolley", True), ("difference", "trolley", True),
        ("store", "waste", True), ("quarantine", "sent back", True), ("store", "in use", True),
        ("in use", "trolley", True), ("store", "reprocessing", True),
        ("reprocessing", "store", True), ("used", "used", True),
        ("supplier", "used", False), ("supplier", "trolley", False), ("used", "store", False),
        ("waste", "store", False), ("quarantine", "trolley", False), ("sent back", "store", False),
        ("trolley", "sent back", False), ("store", "supplier", False), ("store", "opening", False),
        ("opening", "used", False), ("reprocessing", "used", False),
    ],
)  # fmt: skip
def test_units_move_as_the_table_says(source: str, target: str, *, wanted: bool) -> None:
    assert is_allowed(source, target, 1) is is_allowed(source, target, 1000) is wanted


# Value-only movements (quantity 0)


@pytest.mark.parametrize("target", sorted(STOCK_KINDS | {"used", "waste", "difference"}))
def test_a_bill_follows_the_units_wherever_they_are(target: str) -> None:
    assert is_allowed("supplier", target, 0)


def test_a_bill_follows_what_was_sent_back_or_converted() -> None:
    assert is_allowed("supplier", "sent back", 0)
    assert is_allowed("supplier", "reprocessing", 0)


@pytest.mark.parametrize("target", ["supplier", "opening"])
def test_a_bill_never_goes_to_where_units_only_come_from(target: str) -> None:
    assert not is_allowed("supplier", target, 0)


def test_value_alone_otherwise_is_credited_or_written_down_or_up() -> None:
    """Bills and charges come back from wherever they went; write-downs go and come back.

    So does what a supplier credits less or more than what was sent back bears.
    """
    found = {
        (source, target)
        for source, target in product(ALL_KINDS - {"supplier"}, ALL_KINDS)
        if is_allowed(source, target, 0)
    }
    credited = {(kind, "supplier") for kind in VALUE_ONLY_TO}
    written = {(kind, "difference") for kind in STOCK_KINDS | {"sent back"}}
    assert found == credited | written | {(target, source) for source, target in written}


# Codes


def test_a_theatre_comes_with_its_trolley_and_nothing_else_does() -> None:
    theatre, trolley = places.places_of_site("OT1", "Theatre 1", "theatre")
    assert (theatre.kind, trolley.kind, trolley.theatre) == ("theatre", "trolley", "OT1")
    assert trolley.code == places.trolley_place("OT1")
    assert len(places.places_of_site("S", "Store", "store")) == 1


def test_what_has_no_category_ends_as_common() -> None:
    assert places.used_place(None) == places.used_place("common") == "used/common"
    assert places.waste_place(None) == "waste/common"
    assert places.used_place("free") == "used/free"
