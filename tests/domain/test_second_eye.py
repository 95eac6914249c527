"""The second eye: who is one, and what both eyes would share on one day."""

from dataclasses import replace

import pytest
from strategies import DAY, a_bottle, a_lot

from stockbook.domain.facts import Case
from stockbook.domain.second_eye import (
    FirstEye,
    first_eye_words,
    in_order,
    is_other_eye,
    shared_lots,
)

RIGHT = Case("C1", "L1", 1, patient="P-1", eye="right", lens_model="RINGL", power=2150)
LEFT = replace(RIGHT, code="C2", eye="left")
IODINE = a_lot(1, "IODINE")
FIRST = FirstEye(RIGHT, DAY, ((a_bottle, IODINE),))


@pytest.mark.parametrize(
    ("change", "is_one"),
    [
        ({}, True), ({"eye": "right"}, False), ({"eye": None}, False), ({"patient": "P-2"}, False),
        ({"cancelled": True}, False), ({"code": "C1"}, False),
    ],
)  # fmt: skip
def test_the_other_eye_is_the_same_patients_other_case(
    change: dict[str, object], *, is_one: bool
) -> None:
    assert is_other_eye(RIGHT, replace(LEFT, **change)) is is_one


def test_on_the_same_day_each_shared_lot_is_named() -> None:
    (words,) = shared_lots(FIRST, DAY, [IODINE, a_lot(2, "IODINE"), a_lot(3, "VISC")])
    assert words.startswith("IODINE lot N1 went to the other eye today (case C1)")


@pytest.mark.parametrize("day", ["2027-02-28", "2027-03-02"])
def test_on_another_day_nothing_is_said(day: str) -> None:
    assert shared_lots(FIRST, day, [IODINE]) == []


def test_what_the_first_eye_got_is_one_line() -> None:
    assert first_eye_words(FIRST) == (
        "Other eye: case C1, right, 2027-03-01, RINGL +21.50; IODINE N1."
    )
    plain = FirstEye(replace(RIGHT, lens_model=None, power=None), DAY, ())
    assert first_eye_words(plain).endswith("2027-03-01, no lens.")


def test_the_last_eye_done_stands_first() -> None:
    earlier = replace(FIRST, day="2026-01-01")
    assert in_order([earlier, FIRST]) == (FIRST, earlier)
