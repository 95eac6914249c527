"""The one entry to reading scans: text as a scanner types it in, a `Scan` or a named refusal out.

Order of tests: symbology identifier, HIBC, a number alone, link, brackets, element string, the
site's own codes. Lens power is in no barcode; nothing here knows or guesses it.
"""

from collections.abc import Callable, Sequence
from typing import Any

from stockbook.domain.gtin import check_digit, gtin14, is_gtin_like
from stockbook.domain.own_codes import ACTS, own_parts
from stockbook.domain.scan_ais import SUBSTITUTES
from stockbook.domain.scan_dates import day_of, time_of
from stockbook.domain.scan_elements import (
    GS,
    elements_of,
    typed_elements,
    with_separators,
)
from stockbook.domain.scan_facts import Element, Scan
from stockbook.domain.scan_hibc import read_hibc
from stockbook.domain.scan_links import is_link, link_elements
from stockbook.domain.scan_merging import judged, merged
from stockbook.domain.scan_refusals import refusal, shown
from stockbook.errors import InputError

MOST = 4096
"""Characters of the longest scan that is looked at."""

_GS1 = frozenset(("]C1", "]e0", "]e1", "]e2", "]d2", "]Q3", "]J1"))
_NUMBERS = {"]E0": (13, 12), "]E4": (8,), "]I0": (14,), "]I1": (14,)}
_PLAIN = frozenset(("]C0", "]d0", "]d1", "]Q0", "]Q1", *(f"]A{n}" for n in range(8))))
_RESTRICTED = ("2", "02", "04")
_CAPS = ": is caps lock on at the scanner's keyboard?"


def read(scan: str, as_of: str, separator: str | None = None) -> Scan:
    """One scan that stands by itself: read, and judged for what belongs together.

    `as_of` is the day that two-digit years are read as of; `separator` a character that the
    scanner sends for GS. Raises ScanRefused and nothing else.

    >>> read("]d20109521101530001172712311052A", "2026-11-24").lot
    '52A'
    """
    return judged(read_symbol(scan, as_of, separator))


def merge(scans: Sequence[Scan]) -> Scan:
    """All symbols of one pack (from `read_symbol`) as one scan, judged together."""
    return merged(scans)


def known_separator(character: str | None) -> str | None:
    """A character that may stand for the separator: one that no value can hold."""
    if character is None or (len(character) == 1 and character in SUBSTITUTES):
        return character
    raise InputError(f"separator: found {character!r}, wanted one of {' '.join(SUBSTITUTES)}.")


def pack_identifier(text: str) -> str:
    """What a pack size is kept under: a GTIN as 14 figures, or a HIBC product symbol's identifier.

    >>> pack_identifier("1234567890128"), pack_identifier("+A123BJC5D6E71G")
    ('01234567890128', 'A123BJC5D6E71')
    """
    if not text.startswith("+"):
        return gtin14(text)
    scan = read_hibc(text, text, None, "2000-01-01")
    if scan.identifier is None:
        raise InputError(f"identifier: found {text!r}, wanted the symbol with the product number.")
    return scan.identifier


def read_symbol(scan: str, as_of: str, separator: str | None = None) -> Scan:
    """One symbol, not yet judged for what belongs together: a pack may bear two."""
    text = scan.strip("\r\n\t")
    if len(text) > MOST:
        raise refusal("TOO_LONG", most=f"{MOST:,}")
    if not text:
        raise refusal("EMPTY")
    if not text.isascii():
        raise refusal("BAD_CSET", found=f": {shown(text)}")
    if text[0] == "]":
        return _identified(text, as_of, separator)
    if is_gtin_like(text):
        return _number(text, text, None)
    return _plain(text, text, None, as_of, separator)


def _identified(text: str, as_of: str, separator: str | None) -> Scan:
    """A scan whose symbology the scanner names."""
    name, content = text[:3], text[3:]
    known = name in _GS1 or name in _PLAIN or name in _NUMBERS
    if known and not content:
        raise refusal("EMPTY")
    if name in _GS1:
        return _elements(text, with_separators(content, separator), name[1:], as_of)
    if name in _NUMBERS:
        if len(content) not in _NUMBERS[name] or not content.isdigit():
            raise refusal("BAD_LENGTH", ai="01", found=shown(content))
        return _number(text, content, name[1:])
    if name in _PLAIN:
        return _plain(text, content, name[1:], as_of, None)
    caps = _CAPS if name.swapcase() in _GS1 | _PLAIN | _NUMBERS.keys() else ""
    raise refusal("UNKNOWN_SYMBOLOGY", id=shown(name), caps=caps)


def _plain(raw: str, text: str, symbology: str | None, as_of: str, separator: str | None) -> Scan:
    """A symbol that is marked as GS1 by nothing but its contents, if at all."""
    if text.startswith(("+", "*+")):
        return read_hibc(text, raw, symbology, as_of)
    if is_link(text):
        return _said(raw, "link", symbology, link_elements(text, as_of), as_of)
    own = own_parts(text)
    if own:
        return _own(raw, symbology, *own)
    if symbology is None:
        if text[0] == "(":
            return _said(raw, "typed", None, typed_elements(text, as_of), as_of)
        string = with_separators(text, separator)
        if string[0].isdigit() or string[0] == GS:
            return _elements(raw, string, None, as_of)
    raise _unknown(text)


def _unknown(text: str) -> InputError:
    """Why a text is nothing that is read here."""
    if text[0].islower() and len(text) > 5 and text[1:4].isalnum() and not text[1:4].islower():
        return refusal("CODE_39_FULL_ASCII")
    return refusal("NOT_GS1", caps=_CAPS if own_parts(text.upper()) else "")


def _number(raw: str, figures: str, symbology: str | None) -> Scan:
    """A number alone is a GTIN."""
    wanted = check_digit(figures[:-1])
    if figures[-1] != wanted:
        raise refusal("BAD_CHECK_DIGIT", expected_digit=wanted)
    warn = _restricted(figures[1:] if len(figures) == 14 and figures[0] == "0" else figures)
    return Scan(raw, "gs1", "number", symbology, gtin14=figures.rjust(14, "0"), warn=warn)


def _restricted(number: str) -> tuple[str, ...]:
    """A warning where a number's prefix is for use within a shop or a region."""
    restricted = len(number) < 14 and number.startswith(_RESTRICTED)
    return ("RESTRICTED_CIRCULATION_PREFIX",) if restricted else ()


def _elements(raw: str, string: str, symbology: str | None, as_of: str) -> Scan:
    """An element string; where it holds no separator, a lot may still hide a serial."""
    elements = elements_of(string, as_of)
    if not elements:
        raise refusal("EMPTY")
    hidden = None
    ai, value = elements[-1]
    if ai == "10" and GS not in string and "21" in value[1:-2]:
        at = value.index("21", 1)
        hidden = (value[:at], value[at + 2 :])
    return _said(raw, "elements", symbology, elements, as_of, hidden)


_TEXTS = {
    "00": "sscc", "01": "gtin14", "02": "content_gtin14", "10": "lot", "21": "serial", "22": "cpv",
}  # fmt: skip


def _said(
    raw: str, kind: str, symbology: str | None, elements: Sequence[Element], as_of: str,
    hidden_serial: tuple[str, str] | None = None,
) -> Scan:  # fmt: skip
    """What the elements say by name; the first of a repeated one."""
    said: dict[str, Any] = {}
    warn: tuple[str, ...] = ()
    for ai, value in elements:
        name = _TEXTS.get(ai)
        if name is not None:
            said.setdefault(name, value)
            if ai == "01" and value[0] == "0":
                warn += _restricted(value[1:])
        elif ai in _READ:
            warn += _READ[ai](said, value, as_of)
    return Scan(
        raw, "gs1", kind, symbology, tuple(elements), hidden_serial=hidden_serial, warn=warn, **said
    )


def _day(said: dict[str, Any], name: str, value: str, as_of: str) -> tuple[str, ...]:
    """A day under a name, with its precision where it is the expiry."""
    day, precision = day_of(value, as_of) or ("", "")
    if name != "expiry":
        said.setdefault(name, day)
    elif day <= said.get("expiry", day):
        said.update(expiry=day, expiry_precision=precision)
    return ("DAY_00",) if precision == "month" else ()


def _moment(said: dict[str, Any], name: str, value: str, as_of: str) -> tuple[str, ...]:
    """A day and a time under a name; of two expiries the earlier one counts."""
    day, _ = day_of(value[:6], as_of) or ("", "")
    moment = f"{day}T{time_of(value[6:])}"
    if name != "expiry":
        said.setdefault(name, moment)
    elif moment[:10] <= said.get("expiry", moment):
        said.update(expiry=moment, expiry_precision="time")
    return ()


def _count(said: dict[str, Any], value: str) -> tuple[str, ...]:
    said.setdefault("count", int(value))
    return ()


_Reader = Callable[[dict[str, Any], str, str], tuple[str, ...]]
_READ: dict[str, _Reader] = {
    "11": lambda said, value, as_of: _day(said, "produced", value, as_of),
    "15": lambda said, value, as_of: _day(said, "best_before", value, as_of),
    "17": lambda said, value, as_of: _day(said, "expiry", value, as_of),
    "37": lambda said, value, _: _count(said, value),
    "7003": lambda said, value, as_of: _moment(said, "expiry", value, as_of),
    "8008": lambda said, value, as_of: _moment(said, "produced", value, as_of),
}


_IN_CODES = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789+.-")


def _own(raw: str, symbology: str | None, kind: str, parts: tuple[str, ...]) -> Scan:
    """A code of the site's own; its form is right, whether it is known the book says."""
    right = len(parts) == (2 if kind == "SHELF" else 1) and _IN_CODES.issuperset("".join(parts))
    if kind == "ACT":
        right = right and parts[0] in ACTS
    if kind == "LOT":
        right = right and parts[0].isdigit() and len(parts[0]) < 16
    if not right:
        raise refusal("OWN_CODE_UNKNOWN", found=shown(raw))
    return Scan(raw, "own", kind.lower(), symbology, code=parts)
