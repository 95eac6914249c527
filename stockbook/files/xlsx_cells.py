"""A spreadsheet's cell as the text a person sees in it."""

import re
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

MOST_FIGURES = 15
"""What a spreadsheet keeps of a number; longer ones end in figures nobody typed."""

_ASIDE = re.compile(r'"[^"]*"|\[[^\]]*\]|\\.|_.')


def cell_text(value: Any, shape: str) -> str:
    """Whole numbers without .0, days in ISO, yes and no; `shape` is the cell's number format."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return _moment(value, shape)
    if isinstance(value, date):
        return _day(value, shape)
    if isinstance(value, time):
        return value.isoformat("minutes")
    if isinstance(value, int | float):
        return _number(value, shape)
    return str(value)


def _moment(value: datetime, shape: str) -> str:
    if value.time() == time(0):
        return _day(value.date(), shape)
    return value.isoformat(" ", "minutes")


def _day(value: date, shape: str) -> str:
    """The day; a month where no day is shown, and the short form where no year is shown."""
    letters = _ASIDE.sub("", shape).lower()
    if "y" not in letters and "d" in letters:
        return value.strftime("%d-%b")
    if "d" not in letters and "y" in letters:
        return value.isoformat()[:7]
    return value.isoformat()


def _number(value: int | float, shape: str) -> str:
    """All figures of the number, with the sign or the zeros at the left that its format shows."""
    text = str(value) if isinstance(value, int) else f"{value:.{MOST_FIGURES}g}"
    if "e" in text or "n" in text:
        text = _long(text)
    if len(text.lstrip("-").replace(".", "")) > MOST_FIGURES:
        return f"{Decimal(text):.5E}"
    plain = _ASIDE.sub("", shape)
    if "%" in plain:
        return f"{text}*100%"
    if re.fullmatch("0+", plain):
        return text.zfill(len(plain))
    if plain.startswith("+"):
        return _signed(text, plain.partition(";")[0])
    return text


def _signed(text: str, shape: str) -> str:
    """A number whose format shows its sign, with the decimals of the format."""
    number = Decimal(text)
    places = len(shape.partition(".")[2].rstrip(";")) if "." in shape else 0
    exact = number.as_tuple().exponent
    if isinstance(exact, int) and -exact > places:
        return text if number < 0 else f"+{text}"
    return f"{number:+.{places}f}"


def _long(text: str) -> str:
    """A number without powers of ten."""
    number = Decimal(text)
    return f"{number:f}" if number.is_finite() else text
