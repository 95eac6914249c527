"""CSV files as rows with their numbers; what is not plain UTF-8 text is refused with a word."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path

from stockbook.domain.cell_texts import QUOTE, unquoted
from stockbook.domain.rows import Choose, Chosen, Row, Sheet, every_column
from stockbook.errors import BadRow, BadRows, InputError
from stockbook.files.content import content_of

_FOREIGN_MARKS = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16", b"PK": "a spreadsheet file (xlsx)"}


def read_csv(path: Path) -> Sheet:
    """The file's header and rows; commas, semicolons or tabs between cells."""
    return csv_sheet(path.name, content_of(path))


def csv_sheet(name: str, content: bytes, choose: Choose = every_column) -> Sheet:
    """The rows of a CSV text, of the chosen columns alone."""
    text = _text(name, content)
    separator = _separator(text)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        header = next(lines, [])
        chosen = choose(header)
        rows = _rows(name, chosen, lines)
    except csv.Error as error:
        raise InputError(f"{name}, row {lines.line_num}: {error}. Save it as CSV anew.") from None
    columns = tuple(column for column in chosen if column is not None)
    unread = unread_names(header, chosen)
    return Sheet(name, columns, rows, from_file=True, separator=separator, unread=unread)


def unread_names(header: list[str], chosen: Chosen) -> tuple[str, ...]:
    """The file's own names of the columns that are not read."""
    return tuple(h.strip() for h, c in zip(header, chosen, strict=True) if c is None)


def _rows(name: str, chosen: Chosen, lines: Iterator[list[str]]) -> tuple[Row, ...]:
    rows, ragged = [], []
    places = [(place, column) for place, column in enumerate(chosen) if column is not None]
    for number, cells in enumerate(lines, start=2):
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) != len(chosen):
            ragged.append(BadRow(number, "all", f"{len(cells)} cells", f"{len(chosen)} cells"))
            continue
        rows.append(Row(number, {column: _cell(cells[place]) for place, column in places}))
    if ragged:
        raise BadRows(name, ragged)
    if not rows:
        raise InputError(f"{name}: no rows below the header. Check that the right file was saved.")
    return tuple(rows)


def _cell(text: str) -> str:
    """The text without the quote that keeps a spreadsheet from running it."""
    return unquoted(text) if text[:1] == QUOTE else text


def _text(name: str, content: bytes) -> str:
    for mark, what in _FOREIGN_MARKS.items():
        if content.startswith(mark):
            raise InputError(f"{name}: this is {what}, wanted CSV in UTF-8. Save it so.")
    if b"\0" in content:
        line = content[: content.index(b"\0")].count(b"\n") + 1
        raise InputError(f"{name}, row {line}: a NUL character. Save it as CSV anew.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise InputError(
            f"{name}, row {line}: a character that is not UTF-8 "
            f"(byte {content[error.start]:#04x}). Save the file as 'CSV UTF-8'."
        ) from None


def _separator(text: str) -> str:
    first = text.partition("\n")[0]
    return max(",;\t", key=first.count)
