"""What a spreadsheet does to cells: told apart and told, never guessed."""

import re

from stockbook.errors import BadRow

DAYS = frozenset({"day", "expiry", "received", "month"})
"""Columns that hold a day or a month."""

NUMBERS = frozenset(
    {
        "quantity", "units", "total", "shadow", "price", "agreed", "bonus", "packs",
        "keep_at_least", "fill_to", "power", "pack", "lead_days", "least_packs", "break_packs",
        "break_price",
    }
)  # fmt: skip
"""Columns that may hold decimals."""

KEPT = frozenset(
    {
        "item", "lot", "serial", "identifier", "case", "patient", "label", "list", "procedure",
        "supplier", "place", "staff",
    }
)  # fmt: skip
"""Columns whose text is kept letter by letter."""

_MONTHS = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
_SHORT_POWER = re.compile(r"[+-]?[0-9](?:[.,][0-9]+)?E[+-][0-9]{2,3}")
_SHORT_DAY = re.compile(rf"[0-9]{{1,2}}-(?:{_MONTHS})(?:-[0-9]{{2,4}})?|(?:{_MONTHS})-[0-9]{{2}}")
_SHORT_MONTH = re.compile(r"[0-9]{1,2}[/.][0-9]{4}")
_LOCAL_DAY = re.compile(r"[0-9]{1,2}[/. -][0-9]{1,2}[/. -](?:[0-9]{4}|[0-9]{2})")
_DAY_NUMBER = re.compile(r"[0-9]{5}(?:[.,][0-9]+)?")
_FIGURES = re.compile(r"[0-9]{9,11}|[0-9]{4,7}")
_TEXT = "Format the column as text, type it anew and save again"


def spoilt(column: str, text: str, *, as_day: bool = False) -> str | None:
    """What a spreadsheet did to a cell and how to save it right; none where it did nothing.

    >>> spoilt("lot", "1E+05").partition(".")[0]
    'lot: wanted all figures; the spreadsheet shortened it'
    >>> spoilt("lot", "1E05") is None
    True
    """
    if column in DAYS:
        return _spoilt_day(column, text)
    if column in KEPT:
        return _spoilt_text(column, text, as_day=as_day)
    if column in NUMBERS and (as_day or _SHORT_DAY.fullmatch(text)):
        return f"{column}: wanted a number; the spreadsheet made a day of it. {_TEXT}"
    if column in NUMBERS and _SHORT_POWER.fullmatch(text):
        return f"{column}: wanted all figures; the spreadsheet shortened it. {_TEXT}"
    return None


def _spoilt_day(column: str, text: str) -> str | None:
    wanted = f"{column}: wanted 2027-03-31 or 2027-03"
    save = "Format it as yyyy-mm-dd, save again"
    if _DAY_NUMBER.fullmatch(text):
        return f"{wanted}; this is a day number. {save}"
    if _SHORT_DAY.fullmatch(text) or _SHORT_MONTH.fullmatch(text):
        return f"{wanted}; the spreadsheet shortened it. {save}"
    if _LOCAL_DAY.fullmatch(text):
        return f"{wanted}; which figure is the month cannot be told. {save}"
    return None


def _spoilt_text(column: str, text: str, *, as_day: bool) -> str | None:
    if _SHORT_POWER.fullmatch(text):
        return f"{column}: wanted all figures; the spreadsheet shortened it. {_TEXT}"
    if as_day or _SHORT_DAY.fullmatch(text):
        return f"{column}: wanted what is printed; the spreadsheet made a day of it. {_TEXT}"
    if column == "identifier" and _FIGURES.fullmatch(text):
        return f"{column}: wanted 8, 12, 13 or 14 figures; zeros at the left may be lost. {_TEXT}"
    return None


_PLAIN = re.compile(r"[+-]?[0-9]+")
_POINT = re.compile(r"[+-]?[0-9]+\.[0-9]+")
_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+")
_THOUSANDS = {
    mark: re.compile(rf"[+-]?[1-9][0-9]{{0,2}}(?:{re.escape(mark)}[0-9]{{3}})+") for mark in ",."
}
_WANTED = "a number without marks between thousands; whether {} is one cannot be told"


class Decimals:
    """The decimal marks met in a file's numbers, cell by cell."""

    def __init__(self, separator: str) -> None:
        """Nothing met yet; between cells of semicolons a point may be a thousand's mark."""
        self.points_doubtful = separator == ";"
        self.points: list[BadRow] = []
        self.commas: list[BadRow] = []
        self.doubtful: list[BadRow] = []

    def meet(self, row: int, column: str, text: str) -> None:
        """One more number; whole ones say nothing."""
        if _PLAIN.fullmatch(text) or not text:
            return
        if _THOUSANDS[","].fullmatch(text):
            self.doubtful.append(BadRow(row, column, text, _WANTED.format("the comma")))
        elif self.points_doubtful and _THOUSANDS["."].fullmatch(text):
            self.doubtful.append(BadRow(row, column, text, _WANTED.format("the point")))
        elif _COMMA.fullmatch(text):
            self.commas.append(BadRow(row, column, text, "one decimal mark in the whole file"))
        elif _POINT.fullmatch(text):
            self.points.append(BadRow(row, column, text, "one decimal mark in the whole file"))

    @property
    def faults(self) -> list[BadRow]:
        """What cannot be told: thousands or decimals, or both marks in one file."""
        if not self.commas:
            return self.doubtful
        mixed = [*self.commas, *self.points] if self.points else []
        return sorted([*self.doubtful, *mixed], key=lambda bad: bad.row)
