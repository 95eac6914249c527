"""GS1 element strings: as a scanner sends them, and as people type them in brackets."""

from stockbook.domain.gtin import check_digit
from stockbook.domain.scan_ais import (
    AI_LENGTHS,
    CSET_82,
    TWO_FIGURES,
    bad_character,
    check_value,
    spec_of,
)
from stockbook.domain.scan_dates import day_of
from stockbook.domain.scan_facts import Element
from stockbook.domain.scan_refusals import refusal, shown
from stockbook.errors import ScanRefused

GS = "\x1d"
_MARKS = ("17", "11", "01")
_SHORT = 8
"""A value up to this long cannot hold a character and a date with its AI."""

_SEARCHED = 200
"""How far into a value a lost separator is looked for; no value is that long."""


def with_separators(text: str, substitute: str | None) -> str:
    """The text with every spelling of the separator as the separator.

    >>> with_separators("10A{GS}17271231", None) == "10A" + GS + "17271231"
    True
    """
    if "GS" in text:
        text = text.replace("{GS}", GS).replace("<GS>", GS)
    return text.replace(substitute, GS) if substitute else text


def elements_of(text: str, as_of: str) -> list[Element]:
    """The elements of a string, in its order; a lost separator is refused with the likely split."""
    found: list[Element] = []
    at, end, separated = 0, len(text), GS in text
    if text.startswith(GS):
        at = 1
    while at < end:
        ai = text[at : at + 2]
        spec = TWO_FIGURES.get(ai)
        if spec is None:
            ai = _ai_at(text, at)
            spec = spec_of(ai)
        at += len(ai)
        stop = at + spec.most if spec.fixed else text.find(GS, at)
        value = text[at : stop if stop >= 0 else end]
        if spec.fixed and separated:
            value = value.partition(GS)[0]
        elif not spec.fixed and not separated and len(value) > _SHORT:
            _refuse_two_readings(ai, value, as_of)
        check_value(ai, value, spec, as_of)
        found.append((ai, value))
        at += len(value)
        if text.startswith(GS, at):
            at += 1
    return found


def _ai_at(text: str, at: int) -> str:
    """The AI that begins here."""
    length = AI_LENGTHS.get(text[at : at + 2], 0)
    ai = text[at : at + length]
    if not length or len(ai) < length or not ai.isdigit():
        raise refusal("UNKNOWN_AI", found=f": {shown(text[at:])}")
    return ai


def _refuse_two_readings(ai: str, value: str, as_of: str) -> None:
    """Nothing in a value looks like the next elements, whose separator was lost."""
    most = spec_of(ai).most
    if not CSET_82.issuperset(value):
        raise bad_character(ai, value)
    if len(value) > most:
        split = _likely_split(ai, value, as_of) or _split_at_most(ai, value, most, as_of)
    elif any(mark in value for mark in _MARKS):
        split = _likely_split(ai, value, as_of)
    else:
        return
    if split:
        words = "".join(f"({name}){shown(part)[1:-1]}" for name, part in split)
        hint = [list(element) for element in split]
        raise refusal("GS_MISSING_OR_LOT_TOO_LONG", ai=ai, hint=hint, split=words)


def _likely_split(ai: str, value: str, as_of: str) -> list[Element]:
    """The value cut where a date or a GTIN follows; where the rest can be read too, if it can.

    What stands before the cut is long enough for its AI.
    """
    first: list[Element] = []
    for at in range(spec_of(ai).least, min(len(value), _SEARCHED)):
        width = _follows(value, at, as_of)
        if not width:
            continue
        rest = _readable(value[at:], as_of)
        if rest:
            return [(ai, value[:at]), *rest]
        first = first or [(ai, value[:at]), (value[at : at + 2], value[at + 2 : at + width])]
    return first


def _follows(value: str, at: int, as_of: str) -> int:
    """How long the date or GTIN element is that begins here; 0 when there is none."""
    mark = value[at : at + 2]
    if mark not in _MARKS:
        return 0
    if mark != "01":
        return 8 if day_of(value[at + 2 : at + 8], as_of) else 0
    gtin = value[at + 2 : at + 16]
    right = len(gtin) == 14 and gtin.isdigit() and check_digit(gtin[:-1]) == gtin[-1]
    return 16 if right else 0


def _split_at_most(ai: str, value: str, most: int, as_of: str) -> list[Element]:
    """The longest value allowed, then another AI without a separator."""
    rest = _readable(value[most:], as_of)
    return [(ai, value[:most]), *rest] if rest else []


def _readable(text: str, as_of: str) -> list[Element]:
    """The elements of a text without separators, none looked into; empty when it cannot be read."""
    found: list[Element] = []
    at = 0
    try:
        while at < len(text):
            ai = _ai_at(text, at)
            spec = spec_of(ai)
            at += len(ai)
            value = text[at : at + spec.most] if spec.fixed else text[at:]
            check_value(ai, value, spec, as_of)
            found.append((ai, value))
            at += len(value)
    except ScanRefused:
        return []
    return found


def typed_elements(text: str, as_of: str) -> list[Element]:
    """The elements of a text in brackets, as printed under a symbol; `\\(` is a bracket of a value.

    >>> typed_elements("(10)12345(21)7", "2026-11-24")
    [('10', '12345'), ('21', '7')]
    """
    found = []
    for part in text.replace("\\(", _BRACKET)[1:].split("("):
        ai, closed, value = part.partition(")")
        if not closed or not ai.isdigit() or AI_LENGTHS.get(ai[:2]) != len(ai):
            raise refusal("UNKNOWN_AI", found=f": {shown(part)}")
        value = value.replace(_BRACKET, "(")
        check_value(ai, value, spec_of(ai), as_of)
        found.append((ai, value))
    return found


_BRACKET = "\ufffd"
"""Stands for a bracket of a value while brackets are looked for; no scan holds it."""
