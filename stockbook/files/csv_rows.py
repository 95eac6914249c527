"""CSV files as rows with their numbers; what is not plain UTF-8 text is refused with a word."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path

from stockbook.domain.rows import Row, Sheet
from stockbook.errors import BadRow, BadRows, InputError

MOST_BYTES = 64 * 1024 * 1024
_FOREIGN_MARKS = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16", b"PK": "a spreadsheet file (xlsx)"}


def read_csv(path: Path) -> Sheet:
    """The file's header and rows; commas, semicolons or tabs between cells."""
    text = _text(path)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    try:
        header = next(lines, [])
        columns = tuple(cell.strip().lower() for cell in header)
        return Sheet(path.name, columns, _rows(path.name, columns, lines))
    except csv.Error as error:
        raise InputError(
            f"{path.name}, row {lines.line_num}: {error}. Save it as CSV anew."
        ) from None


def _rows(name: str, columns: tuple[str, ...], lines: Iterator[list[str]]) -> tuple[Row, ...]:
    rows, ragged = [], []
    for number, cells in enumerate(lines, start=2):
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) != len(columns):
            ragged.append(BadRow(number, "all", f"{len(cells)} cells", f"{len(columns)} cells"))
        rows.append(Row(number, dict(zip(columns, cells, strict=False))))
    if ragged:
        raise BadRows(name, ragged)
    if not rows:
        raise InputError(f"{name}: no rows below the header. Check that the right file was saved.")
    return tuple(rows)


def _text(path: Path) -> str:
    content = _content(path)
    for mark, what in _FOREIGN_MARKS.items():
        if content.startswith(mark):
            raise InputError(f"{path.name}: this is {what}, wanted CSV in UTF-8. Save it so.")
    if b"\0" in content:
        line = content[: content.index(b"\0")].count(b"\n") + 1
        raise InputError(f"{path.name}, row {line}: a NUL character. Save it as CSV anew.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise InputError(
            f"{path.name}, row {line}: a character that is not UTF-8 "
            f"(byte {content[error.start]:#04x}). Save the file as 'CSV UTF-8'."
        ) from None


def _content(path: Path) -> bytes:
    if not path.exists():
        raise InputError(f"{path}: there is no such file. Check the name.")
    if not path.is_file():
        raise InputError(f"{path}: this is not a file. Name a CSV file.")
    if path.stat().st_size > MOST_BYTES:
        raise InputError(f"{path}: larger than {MOST_BYTES // 2**20} MB. Cut it into parts.")
    try:
        content = path.read_bytes()
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror}).") from None
    if not content.strip():
        raise InputError(f"{path.name}: the file is empty. Check that the right file was saved.")
    return content


def _delimiter(text: str) -> str:
    first = text.partition("\n")[0]
    return max(",;\t", key=first.count)
