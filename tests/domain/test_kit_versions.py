"""Versions of kits, differences over a base, companions of a lens and a machine."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.facts import Kit, KitLine, Machine
from stockbook.domain.kit_versions import (
    fits,
    followed,
    layer_codes,
    sourced,
    standing,
    unversioned,
    version_code,
)
from stockbook.domain.kits import with_differences

KNIFE = KitLine("always", ("KNIFE",), 1)
VISC = KitLine("always", ("VISC",), 2)


def a_kit(code: str, *lines: KitLine) -> Kit:
    procedure, category, *surgeon = code.split("/")
    return Kit(code, procedure, category, surgeon[0] if surgeon else None, lines)


@pytest.mark.parametrize("first_day", [None, "2027-03-01"])
def test_a_version_s_code_is_its_kit_s_with_the_first_day(first_day: str | None) -> None:
    code = version_code("PHACO/paid/SB", first_day)
    assert code == ("PHACO/paid/SB" if first_day is None else "PHACO/paid/SB@2027-03-01")
    assert unversioned(code) == "PHACO/paid/SB"


def test_a_surgeon_s_differences_come_after_the_category_s_and_both_after_the_base() -> None:
    assert layer_codes("PHACO", "paid", "SB") == [
        "PHACO/any", "PHACO/paid", "PHACO/any/SB", "PHACO/paid/SB",
    ]  # fmt: skip
    assert layer_codes("PHACO", "paid", None) == ["PHACO/any", "PHACO/paid"]


def test_every_line_says_which_kit_it_stands_in() -> None:
    base = a_kit("PHACO/any", KNIFE, VISC)
    paid = a_kit("PHACO/paid", KitLine("always", ("VISC",), 1))
    own = a_kit("PHACO/paid/SB", KitLine("always", ("KNIFE",), 0), KitLine("always", ("DYE",), 1))
    assert sourced([base, paid, own]) == [
        (KitLine("always", ("VISC",), 1), "PHACO/paid"),
        (KitLine("always", ("DYE",), 1), "PHACO/paid/SB"),
    ]


lines = st.lists(
    st.builds(
        KitLine,
        st.sampled_from(("always", "standby")),
        st.sampled_from((("KNIFE",), ("VISC",), ("DYE",), ("VISC", "DYE"))),
        st.integers(0, 3),
    ),
    max_size=4,
)


@given(lines, lines, lines)
def test_layers_are_differences_applied_one_after_another(
    first: list[KitLine], second: list[KitLine], third: list[KitLine]
) -> None:
    kits = [a_kit(f"P/{n}", *some) for n, some in enumerate((first, second, third))]
    by_hand = with_differences(with_differences(with_differences([], first), second), third)
    assert [line for line, _ in sourced(kits)] == by_hand
    assert all(line.quantity for line in by_hand)


@given(lines)
def test_differences_of_nothing_change_no_line(some: list[KitLine]) -> None:
    kit = a_kit("P/any", *some)
    assert sourced([kit, a_kit("P/paid")]) == sourced([kit])


@pytest.mark.parametrize(
    ("day", "there"),
    [("2027-03-01", False), ("2027-03-02", True), ("2027-03-03", True),
     ("2027-03-08", True), ("2027-03-09", True), ("2027-03-10", False)],
)  # fmt: skip
def test_a_machine_stands_from_its_first_day_through_its_last(day: str, *, there: bool) -> None:
    machine = Machine("OT1/PUMP@2027-03-02", "PUMP", "OT1", "2027-03-02", "2027-03-09")
    assert standing([machine], day) == ({"PUMP"} if there else set())


def test_a_machine_without_a_last_day_stands_on() -> None:
    machine = Machine("OT1/PUMP@2027-03-02", "PUMP", "OT1", "2027-03-02")
    assert standing([machine], "2099-01-01") == {"PUMP"}


def test_companions_follow_their_lens_and_their_machine() -> None:
    cartridge = KitLine("with-lens", ("CART",), 1, "RINGL")
    cassette = KitLine("with-machine", ("CASS",), 1, "PUMP")
    gown = KitLine("per-list", ("GOWN",), 1)
    assert fits(cartridge, "RINGL", set())
    assert not fits(cartridge, "FLATL", set())
    assert not fits(cartridge, None, set())
    assert fits(cassette, None, {"PUMP", "LIGHT"})
    assert not fits(cassette, None, {"OTHER"})
    assert fits(KNIFE, None, set())
    assert not fits(gown, "RINGL", {"PUMP"})
    assert followed([cartridge, cassette, gown]) == ["PUMP"]
