"""HIBC symbols (ANSI/HIBC 2.6): primary, secondary and both in one."""

from collections.abc import Callable
from typing import Any

from stockbook.domain.scan_dates import (
    days_in_month,
    exact_day,
    full_year,
    iso_day,
    julian_day,
    time_of,
)
from stockbook.domain.scan_facts import Scan
from stockbook.domain.scan_refusals import refusal, shown

CHARACTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-. $/+%"
_VALUES = {character: n for n, character in enumerate(CHARACTERS)}
_ALLOWED = frozenset(CHARACTERS)
_FIGURES = frozenset("0123456789")
_PRODUCT = frozenset(CHARACTERS[:36])
_MOST = 18
"""Characters of a product number, a lot or a serial."""


Said = dict[str, Any]
"""What a symbol says so far, under the names of a scan."""


def check_character(text: str) -> str:
    """The check character of a text with its plus: the sum of the values modulo 43 (2.6, App. B).

    >>> check_character("+A123BJC5D6E71")
    'G'
    """
    return CHARACTERS[sum(map(_VALUES.__getitem__, text)) % 43]


def read_hibc(text: str, raw: str, symbology: str | None, as_of: str) -> Scan:
    """A HIBC symbol, with or without the asterisks printed around it; refused by name."""
    body = _checked(text)
    first = body[1:2]
    if first == "/":
        raise refusal("HIBC_NOT_A_PRODUCT")
    if first == "$" or first in _FIGURES:
        return _secondary(body, raw, symbology, as_of)
    head, slash, tail = body[1:-1].partition("/")
    lic, pcn, uom = _product(head)
    said: Said = {"lic": lic, "pcn": pcn, "uom": uom, "check": body[-1]}
    if slash:
        _say_data(said, tail, as_of)
    return Scan(raw, "hibc", "concatenated" if slash else "primary", symbology, **said)


def _checked(text: str) -> str:
    """The symbol without asterisks, its characters and its check character right."""
    body = text
    if text.startswith("*") and text.endswith("*"):
        body = text[1:-1]
    if not _ALLOWED.issuperset(body):
        raise refusal("BAD_CSET", found=f": {shown(body)}")
    if len(body) < 4:
        raise refusal("HIBC_BAD_DATA", found=shown(body))
    wanted = check_character(body[:-1])
    if body[-1] != wanted:
        raise refusal("BAD_CHECK_CHARACTER", expected=wanted)
    return body


def _product(head: str) -> tuple[str, str, str]:
    """Labeller, product number and unit of measure."""
    lic, pcn, uom = head[:4], head[4:-1], head[-1:]
    if len(lic) < 4 or not 1 <= len(pcn) <= _MOST or not lic[0].isalpha():
        raise refusal("HIBC_BAD_PRODUCT", found=f": {shown(head)}")
    if not _PRODUCT.issuperset(head):
        raise refusal("HIBC_BAD_PRODUCT", found=f": {shown(head)}")
    if uom not in _FIGURES:
        raise refusal("HIBC_UOM_NOT_DIGIT", found=shown(uom))
    return lic, pcn, uom


def _secondary(body: str, raw: str, symbology: str | None, as_of: str) -> Scan:
    """Lot and dates; the link character is the check character of the product's own symbol."""
    said: Said = {"link": body[-2], "check": body[-1]}
    _say_data(said, body[1:-2], as_of)
    return Scan(raw, "hibc", "secondary", symbology, **said)


def _say_data(said: Said, text: str, as_of: str) -> None:
    """The data after the product or the plus: a date form with lot or serial, then supplements."""
    parts = text.split("/")
    first = parts[0]
    if first.startswith("$") or (first[:1] in _FIGURES and first[2:3] != "D"):
        _say_main(said, parts.pop(0), as_of)
    for n, part in enumerate(parts, start=1):
        _say_supplement(said, part, is_last=n == len(parts))


def _say_main(said: Said, text: str, as_of: str) -> None:
    """The first part: which form it is, and its lot or serial."""
    if not text.startswith("$"):
        said.update(expiry=_day(julian_day, text, 5, as_of), expiry_precision="day")
        _say_name(said, "lot", text[5:])
        return
    dated = text.startswith("$$")
    rest = text[2 if dated else 1 :]
    name = "serial" if rest.startswith("+") else "lot"
    rest = rest.removeprefix("+")
    if dated:
        rest = _say_quantity(said, rest, as_of)
    elif not rest:
        raise refusal("EMPTY_VALUE", ai=text)
    _say_name(said, name, rest)


def _say_name(said: Said, what: str, name: str) -> None:
    """The lot or serial that stands after a date, if any does."""
    if len(name) > _MOST:
        raise refusal("BAD_LENGTH", ai="$" if what == "lot" else "$+", found=shown(name))
    if name:
        said[what] = name


def _say_quantity(said: Said, text: str, as_of: str) -> str:
    """Quantity and date; what is left of the text."""
    width = {"8": 2, "9": 5}.get(text[:1])
    if width is None:
        return _say_date(said, text, as_of)
    figures, left = text[1 : 1 + width], text[1 + width :]
    if len(figures) < width or not figures.isdigit():
        raise refusal("HIBC_BAD_DATA", found=shown(text))
    said["quantity"] = int(figures)
    return _say_date(said, left, as_of) if left else ""


def _say_date(said: Said, text: str, as_of: str) -> str:
    """One of the date forms; what is left of the text."""
    form = text[:1]
    if form == "7":
        return text[1:]
    if form in ("0", "1"):
        said.update(expiry=_month_end(text[:4], as_of), expiry_precision="month")
        return text[4:]
    if form not in _FORMS:
        raise refusal("HIBC_BAD_DATA", found=shown(text))
    width, read, has_hour = _FORMS[form]
    day = _day(read, text[1:], width, as_of)
    if not has_hour:
        said.update(expiry=day, expiry_precision="day")
        return text[1 + width :]
    hours = text[1 + width : 3 + width]
    at = time_of(hours) if len(hours) == 2 and hours.isdigit() else None
    if at is None:
        raise refusal("BAD_TIME", found=f": {shown(hours)}")
    said.update(expiry=f"{day}T{at}", expiry_precision="time")
    return text[3 + width :]


def _american_day(figures: str, as_of: str) -> str | None:
    """MMDDYY as a day."""
    return exact_day(figures[4:] + figures[:4], as_of)


_ReadDay = Callable[[str, str], str | None]
_FORMS: dict[str, tuple[int, _ReadDay, bool]] = {
    "2": (6, _american_day, False),
    "3": (6, exact_day, False),
    "4": (6, exact_day, True),
    "5": (5, julian_day, False),
    "6": (5, julian_day, True),
}
"""How many figures each form's day has, what reads it, and whether an hour stands after it."""


def _day(read: _ReadDay, text: str, width: int, as_of: str) -> str:
    """The day at the beginning of a text."""
    figures = text[:width]
    day = read(figures, as_of) if len(figures) == width and figures.isdigit() else None
    if day is None:
        raise refusal("BAD_DATE", found=f": {shown(figures)}")
    return day


def _month_end(figures: str, as_of: str) -> str:
    """MMYY as the last day of the month."""
    if len(figures) == 4 and figures.isdigit():
        year, month = full_year(int(figures[2:]), as_of), int(figures[:2])
        day = iso_day(year, month, days_in_month(year, month))
        if day:
            return day
    raise refusal("BAD_DATE", found=f": {shown(figures)}")


def _say_supplement(said: Said, part: str, *, is_last: bool) -> None:
    """One supplement more; one that is not known is kept, with a warning."""
    if part.startswith("14D"):
        said.update(expiry=_whole_day(part[3:]), expiry_precision="day")
    elif part.startswith("16D"):
        said["produced"] = _whole_day(part[3:])
    elif part.startswith("S") and 1 < len(part) <= _MOST + 1:
        said["serial"] = part[1:]
    elif part.startswith("Q") and part[1:].isdigit() and len(part) <= 6 and is_last:
        said["quantity"] = int(part[1:])
    elif part[:1] in ("S", "Q", ""):
        raise refusal("HIBC_BAD_DATA", found=shown(part))
    else:
        said["elements"] = (*said.get("elements", ()), ("/", part))
        said["warn"] = ("HIBC_UNKNOWN_DATA",)


def _whole_day(figures: str) -> str:
    """YYYYMMDD as a day."""
    if len(figures) == 8 and figures.isdigit():
        day = iso_day(int(figures[:4]), int(figures[4:6]), int(figures[6:]))
        if day:
            return day
    raise refusal("BAD_DATE", found=f": {shown(figures)}")
