"""What a spreadsheet hides from whoever looks at it: read from the sheet's own text."""

import io
import re
import zipfile
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from typing import Any

_TAG = rb"<(?:[A-Za-z]+:)?"
_HIDDEN_ROW = re.compile(_TAG + rb'row\b[^>]*?\bhidden="(?:1|true)"[^>]*>')
_HIDDEN_COLUMN = re.compile(_TAG + rb'col\b[^>]*?\bhidden="(?:1|true)"[^>]*>')
_MERGED = re.compile(_TAG + rb'mergeCell\b[^>]*?\bref="([A-Z]+)([0-9]+):([A-Z]+)([0-9]+)"')
_FORMULA = re.compile(
    _TAG + rb'c\b[^>]*?\br="([A-Z]+)([0-9]+)"[^>]*>\s*' + _TAG
    + rb"f\b(?:[^>]*/>|[^>]*>[^<]*</[^>]*>)\s*"
    rb"(?:<(?:[A-Za-z]+:)?v\s*/>|<(?:[A-Za-z]+:)?v>\s*</[^>]*>)?\s*</(?:[A-Za-z]+:)?c>"
)  # fmt: skip
_ROW_NUMBER = re.compile(rb'\br="([0-9]+)"')
_MIN = re.compile(rb'\bmin="([0-9]+)"')
_MAX = re.compile(rb'\bmax="([0-9]+)"')
_MOST_COLUMNS = 16384


@dataclass(frozen=True, slots=True)
class Marks:
    """Hidden rows and columns, merged cells, and formulas whose result was not saved."""

    hidden_rows: tuple[int, ...]
    hidden_columns: frozenset[int]
    merged: tuple[tuple[int, int, int, int], ...]
    unreckoned: frozenset[tuple[int, int]]

    def unseen(self, read: AbstractSet[int]) -> str | None:
        """What is not seen as it would be read, in words; none when all is plain."""
        for first, row, last, last_row in self.merged:
            if read & set(range(first, min(last, _MOST_COLUMNS) + 1)):
                where = f"{_letters(first)}{row}:{_letters(last)}{last_row}"
                return f"the cells {where} are merged. Take the merging back and fill each cell."
        hidden = sorted(self.hidden_columns & read)
        if hidden:
            return f"column {_letters(hidden[0])} is hidden. Show it or delete it, then save again."
        if self.hidden_rows:
            return (
                f"{len(self.hidden_rows)} rows are hidden (row {self.hidden_rows[0]} first). "
                "Take the filter off or delete them, then save again."
            )
        return None


def marks_of(content: bytes, page: Any) -> Marks:
    """The marks of one sheet."""
    text = zipfile.ZipFile(io.BytesIO(content)).read(page._worksheet_path.lstrip("/"))
    rows = [_ROW_NUMBER.search(tag) for tag in _HIDDEN_ROW.findall(text)]
    merged = [(_place(a), int(b), _place(c), int(d)) for a, b, c, d in _MERGED.findall(text)]
    return Marks(
        tuple(int(found[1]) for found in rows if found),
        frozenset(place for tag in _HIDDEN_COLUMN.findall(text) for place in _span(tag)),
        tuple(merged),
        _unreckoned(text) if b"<f" in text or b":f" in text else frozenset(),
    )


def _unreckoned(text: bytes) -> frozenset[tuple[int, int]]:
    """Formulas without a result; a result that is an empty text is one."""
    return frozenset(
        (int(found[2]), _place(found[1]))
        for found in _FORMULA.finditer(text)
        if b't="str"' not in found[0].partition(b">")[0]
    )


def _span(tag: bytes) -> range:
    first, last = _MIN.search(tag), _MAX.search(tag)
    if first is None or last is None:
        return range(0)
    return range(int(first[1]), min(int(last[1]), _MOST_COLUMNS) + 1)


def _place(letters: bytes) -> int:
    """The number of a column: A is 1, Z is 26, AA is 27."""
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _letters(number: int) -> str:
    """The letters of a column's number."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
