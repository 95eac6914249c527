"""GS1 application identifiers: how long they are, what stands after them, and its checks.

Sources: GS1 General Specifications and the GS1 Syntax Dictionary. What is not in the table is
read by the lengths its first two figures say, so that it can be passed over.
"""

from collections.abc import Callable
from dataclasses import dataclass

from stockbook.domain.gtin import check_digit
from stockbook.domain.scan_dates import day_of, exact_day, time_of
from stockbook.domain.scan_refusals import refusal, shown
from stockbook.errors import ScanRefused

CSET_82 = frozenset(
    "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
)
SUBSTITUTES = "|~^@#{}"
"""What a scanner may be set to send for the separator: no value may hold any of these."""

AI_LENGTHS = {
    **{f"{n:02d}": 2 for n in (*range(4), *range(10, 14), *range(15, 18), *range(20, 23), 30, 37)},
    **{f"{n:02d}": 2 for n in range(90, 100)},
    **{f"{n:02d}": 3 for n in (*range(23, 26), *range(40, 43), 71)},
    **{f"{n:02d}": 4 for n in (*range(31, 37), 39, 43, 70, 72, *range(80, 83))},
}
FIXED = {
    "00": 18, "01": 14, "02": 14, "03": 14, "20": 2,
    **{str(n): 6 for n in range(11, 20)},
    **{str(n): 6 for n in range(31, 37)},
    "41": 13,
}  # fmt: skip
"""Predefined length by the first two figures; all else ends at a separator or at the end."""

Check = Callable[[str, str, str], None]
"""Refuses a value by AI, value and the day two-digit years are read as of."""


@dataclass(frozen=True, slots=True)
class Spec:
    """What may stand after an AI; `fixed` says that it needs no separator."""

    least: int
    most: int
    figures: bool
    fixed: bool
    check: Check | None = None


def _check_digit(ai: str, value: str, _: str) -> None:
    wanted = check_digit(value[:-1])
    if value[-1] != wanted:
        raise refusal("BAD_CHECK_DIGIT", ai=ai, expected_digit=wanted)


def bad_date(ai: str, value: str) -> ScanRefused:
    """The refusal of a date."""
    return refusal("BAD_DATE", ai=ai, found=f": ({ai}) {shown(value)}")


def _date(ai: str, value: str, as_of: str) -> None:
    if day_of(value, as_of) is None:
        raise bad_date(ai, value)


def _date_and_time(ai: str, value: str, as_of: str) -> None:
    if len(value) % 2:
        raise refusal("BAD_LENGTH", ai=ai, found=shown(value))
    if exact_day(value[:6], as_of) is None:
        raise bad_date(ai, value)
    if time_of(value[6:]) is None:
        raise refusal("BAD_TIME", ai=ai, found=f": ({ai}) {shown(value)}")


def _piece(ai: str, value: str, as_of: str) -> None:
    _check_digit(ai, value[:14], as_of)
    if not 1 <= int(value[14:16]) <= int(value[16:]):
        raise refusal("BAD_PIECE", ai=ai, found=shown(value[14:]))


_KEY, _DATE = (14, 14, True, True, _check_digit), (6, 6, True, True, _date)
_SPECS = {
    "00": Spec(18, 18, True, True, _check_digit),
    "01": Spec(*_KEY), "02": Spec(*_KEY), "03": Spec(*_KEY),
    "10": Spec(1, 20, False, False),
    **{ai: Spec(*_DATE) for ai in ("11", "12", "13", "15", "16", "17")},
    "20": Spec(2, 2, True, True),
    "21": Spec(1, 20, False, False), "22": Spec(1, 20, False, False),
    "235": Spec(1, 28, False, False), "240": Spec(1, 30, False, False),
    "241": Spec(1, 30, False, False), "250": Spec(1, 30, False, False),
    "30": Spec(1, 8, True, False), "37": Spec(1, 8, True, False),
    "400": Spec(1, 30, False, False),
    "7003": Spec(10, 10, True, False, _date_and_time),
    "8006": Spec(18, 18, True, False, _piece),
    "8008": Spec(8, 12, True, False, _date_and_time),
    **{str(ai): Spec(13, 13, True, True, _check_digit) for ai in range(410, 418)},
    **{str(ai): Spec(1, 20, False, False) for ai in range(710, 718)},
    "90": Spec(1, 30, False, False),
    **{str(ai): Spec(1, 90, False, False) for ai in range(91, 100)},
}  # fmt: skip
TWO_FIGURES = {ai: spec for ai, spec in _SPECS.items() if len(ai) == 2}
"""The AIs that most symbols have, found at once."""

_ANY = Spec(1, 90, False, False)
_FIXED_ANY = {width: Spec(width, width, True, True) for width in set(FIXED.values())}


def spec_of(ai: str) -> Spec:
    """What may stand after an AI of a right length."""
    found = _SPECS.get(ai)
    if found is None:
        width = FIXED.get(ai[:2])
        found = _FIXED_ANY[width] if width else _ANY
    return found


def check_value(ai: str, value: str, spec: Spec, as_of: str) -> None:
    """The value is one that the standard allows after its AI, or it is refused by name."""
    length = len(value)
    if not spec.least <= length <= spec.most:
        raise _bad_length(ai, value)
    if spec.figures:
        if not value.isdigit():
            raise refusal("NON_NUMERIC", ai=ai, found=shown(value))
    elif not CSET_82.issuperset(value):
        raise bad_character(ai, value)
    if spec.check is not None:
        spec.check(ai, value, as_of)


def bad_character(ai: str, value: str) -> ScanRefused:
    """The refusal of a character; one that may stand for the separator is named."""
    sent = [character for character in value if character in SUBSTITUTES]
    hint = f" (if the scanner sends {sent[0]} for the separator, say so)" if sent else ""
    return refusal("BAD_CSET", ai=ai, found=f": ({ai}) {shown(value)}{hint}")


def _bad_length(ai: str, value: str) -> ScanRefused:
    if not value:
        return refusal("EMPTY_VALUE", ai=ai)
    if ai == "22":
        return refusal("OLD_SECONDARY_DATA", ai=ai)
    return refusal("BAD_LENGTH", ai=ai, found=shown(value))
