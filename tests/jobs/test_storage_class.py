"""An item with a storage class moved to a place of another one: warned about, never refused."""

import pytest
from desk import Desk

from jobs.shelves import keep_as

MOVE = "move VISC 1 --from STORE --to OT1 --by KE"


@pytest.mark.parametrize("there", ["ambient", None])
def test_a_wrong_class_is_asked_about_and_said(desk: Desk, there: str | None) -> None:
    keep_as(desk, "cold", item="VISC")
    keep_as(desk, there, place="OT1")
    said = desk.refused(MOVE, 2)
    assert "VISC is to be kept cold; OT1 " in said
    assert "Move it there all the same?" in said
    page = desk.ok(f"{MOVE} -y -q")
    assert page.startswith("Warning: VISC is to be kept cold; OT1 ")
    assert desk.on_hand("VISC", "OT1")["OT1", "V2"] == 1
    assert desk.rows("SELECT comment FROM entry ORDER BY number DESC LIMIT 1") == [(None,)]


@pytest.mark.parametrize(("item", "place"), [(None, "cold"), ("cold", "cold"), (None, None)])
def test_nothing_is_asked_where_the_classes_agree_or_none_is_wanted(
    desk: Desk, item: str | None, place: str | None
) -> None:
    keep_as(desk, item, item="VISC")
    keep_as(desk, place, place="OT1")
    assert "Warning" not in desk.ok(MOVE)


def test_a_dry_run_says_it_without_asking(desk: Desk) -> None:
    keep_as(desk, "cold", item="VISC")
    assert "Warning: VISC" in desk.ok(f"{MOVE} -n")


def test_a_wrong_item_is_still_the_first_thing_said(desk: Desk) -> None:
    assert "Near: VISC" in desk.refused("move VISK 1 --from STORE --to NOWHERE --by KE", 2)
