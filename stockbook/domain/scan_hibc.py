"""HIBC symbols (ANSI/HIBC 2.6): primary, secondary and both in one."""

from dataclasses import dataclass, replace

from stockbook.domain.scan_dates import (
    days_in_month,
    exact_day,
    full_year,
    iso_day,
    julian_day,
    time_of,
)
from stockbook.domain.scan_facts import Element, Scan
from stockbook.domain.scan_refusals import refusal, shown

CHARACTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-. $/+%"
_VALUES = {character: n for n, character in enumerate(CHARACTERS)}
_FIGURES = frozenset("0123456789")
_PRODUCT = frozenset(CHARACTERS[:36])
_MOST = 18
"""Characters of a product number, a lot or a serial."""


@dataclass(frozen=True, slots=True)
class Data:
    """What the secondary part says."""

    lot: str | None = None
    serial: str | None = None
    expiry: str | None = None
    expiry_precision: str | None = None
    produced: str | None = None
    quantity: int | None = None
    others: tuple[Element, ...] = ()


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
    data = _data(tail, as_of) if slash else Data()
    kind = "concatenated" if slash else "primary"
    scan = Scan(raw, "hibc", kind, symbology, lic=lic, pcn=pcn, uom=uom, check=body[-1])
    return _with_data(scan, data) if slash else scan


def _checked(text: str) -> str:
    """The symbol without asterisks, its characters and its check character right."""
    body = text
    if text.startswith("*") and text.endswith("*"):
        body = text[1:-1]
    if not _VALUES.keys() >= set(body):
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
    scan = Scan(raw, "hibc", "secondary", symbology, link=body[-2], check=body[-1])
    return _with_data(scan, _data(body[1:-2], as_of))


def _with_data(scan: Scan, data: Data) -> Scan:
    warn = ("HIBC_UNKNOWN_DATA",) if data.others else ()
    return replace(
        scan, lot=data.lot, serial=data.serial, expiry=data.expiry,
        expiry_precision=data.expiry_precision, produced=data.produced, quantity=data.quantity,
        elements=data.others, warn=warn,
    )  # fmt: skip


def _data(text: str, as_of: str) -> Data:
    """The data after the product or the plus: a date form with lot or serial, then supplements."""
    first, *more = text.split("/")
    data = Data()
    if first.startswith("$") or (first[:1] in _FIGURES and first[2:3] != "D"):
        data = _main(first, as_of)
    else:
        more = [first, *more]
    for n, part in enumerate(more, start=1):
        data = _supplemented(data, part, is_last=n == len(more))
    return data


def _main(text: str, as_of: str) -> Data:
    """The first part: which form it is, and its lot or serial."""
    if not text.startswith("$"):
        return _named(Data(expiry=_day(julian_day, text, 5, as_of), expiry_precision="day"),
                      text[5:])  # fmt: skip
    if text.startswith("$$"):
        by_serial = text[2:3] == "+"
        data, rest = _dated(text[3:] if by_serial else text[2:], as_of)
        return _named(data, rest, by_serial=by_serial)
    by_serial = text[1:2] == "+"
    name = text[2:] if by_serial else text[1:]
    if not name:
        raise refusal("EMPTY_VALUE", ai="$+" if by_serial else "$")
    return _named(Data(), name, by_serial=by_serial)


def _named(data: Data, name: str, *, by_serial: bool = False) -> Data:
    """The data with the lot or serial that stands after it, if any does."""
    if len(name) > _MOST:
        raise refusal("BAD_LENGTH", ai="$+" if by_serial else "$", found=shown(name))
    return replace(data, serial=name or None) if by_serial else replace(data, lot=name or None)


def _dated(text: str, as_of: str) -> tuple[Data, str]:
    """Quantity and date, and what is left of the text."""
    form = text[:1]
    if form in ("8", "9"):
        width = 2 if form == "8" else 5
        figures = text[1 : 1 + width]
        if len(figures) < width or not figures.isdigit():
            raise refusal("HIBC_BAD_DATA", found=shown(text))
        left = text[1 + width :]
        data, rest = _date(left, as_of) if left else (Data(), "")
        return replace(data, quantity=int(figures)), rest
    return _date(text, as_of)


def _date(text: str, as_of: str) -> tuple[Data, str]:
    """One of the date forms, and what is left of the text."""
    form = text[:1]
    if form == "7":
        return Data(), text[1:]
    if form in ("0", "1"):
        return Data(expiry=_month_end(text[:4], as_of), expiry_precision="month"), text[4:]
    if form not in _FORMS:
        raise refusal("HIBC_BAD_DATA", found=shown(text))
    width, read = _FORMS[form]
    day, hours = _day(read, text[1:], width, as_of), text[1 + width : 3 + width]
    if form in ("2", "3", "5"):
        return Data(expiry=day, expiry_precision="day"), text[1 + width :]
    at = time_of(hours) if len(hours) == 2 and hours.isdigit() else None
    if at is None:
        raise refusal("BAD_TIME", found=f": {shown(hours)}")
    return Data(expiry=f"{day}T{at}", expiry_precision="time"), text[3 + width :]


def _american_day(figures: str, as_of: str) -> str | None:
    """MMDDYY as a day."""
    return exact_day(figures[4:] + figures[:4], as_of)


_FORMS = {
    "2": (6, _american_day), "3": (6, exact_day), "4": (6, exact_day),
    "5": (5, julian_day), "6": (5, julian_day),
}  # fmt: skip
"""How many figures each form's day has, and what reads it; 4 and 6 have an hour after it."""


def _day(read: object, text: str, width: int, as_of: str) -> str:
    """The day at the beginning of a text."""
    figures = text[:width]
    whole = len(figures) == width and figures.isdigit()
    day = read(figures, as_of) if whole and callable(read) else None
    if not isinstance(day, str):
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


def _supplemented(data: Data, part: str, *, is_last: bool) -> Data:
    """The data with one supplement more."""
    if part.startswith("14D"):
        return replace(data, expiry=_whole_day(part[3:]), expiry_precision="day")
    if part.startswith("16D"):
        return replace(data, produced=_whole_day(part[3:]))
    if part.startswith("S") and 1 < len(part) <= _MOST + 1:
        return replace(data, serial=part[1:])
    if part.startswith("Q") and part[1:].isdigit() and len(part) <= 6 and is_last:
        return replace(data, quantity=int(part[1:]))
    if part[:1] in ("S", "Q", ""):
        raise refusal("HIBC_BAD_DATA", found=shown(part))
    return replace(data, others=(*data.others, ("/", part)))


def _whole_day(figures: str) -> str:
    """YYYYMMDD as a day."""
    if len(figures) == 8 and figures.isdigit():
        day = iso_day(int(figures[:4]), int(figures[4:6]), int(figures[6:]))
        if day:
            return day
    raise refusal("BAD_DATE", found=f": {shown(figures)}")
