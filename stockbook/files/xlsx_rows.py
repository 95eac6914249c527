"""Spreadsheets (xlsx) as rows: the text a person sees; what a person does not see is refused."""

import io
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from stockbook.domain.rows import Choose, Chosen, Row, Sheet
from stockbook.errors import BadRow, BadRows, InputError, StockbookError
from stockbook.files import xlsx_marks
from stockbook.files.csv_rows import unread_names
from stockbook.files.xlsx_cells import cell_text

MOST_UNPACKED = 512 * 1024 * 1024


def xlsx_sheet(name: str, content: bytes, page: str | None, choose: Choose) -> Sheet:
    """The rows of a spreadsheet's first sheet, or of the one named."""
    _check_archive(name, content)
    with _readable(name), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from openpyxl import load_workbook

        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        try:
            shown = _page(name, book, page)
            marks = xlsx_marks.marks_of(content, shown)
            return _Reading(name, marks, choose).sheet(shown)
        finally:
            book.close()


@contextmanager
def _readable(name: str) -> Iterator[None]:
    """Whatever a broken file makes the library do is one clear refusal."""
    try:
        yield
    except StockbookError:
        raise
    except Exception as error:
        raise InputError(
            f"{name}: cannot be read as a spreadsheet ({type(error).__name__}). "
            "Open it, save it as xlsx anew, or as CSV UTF-8."
        ) from None


def _check_archive(name: str, content: bytes) -> None:
    """It is a whole xlsx file of a size that can be meant, and not another archive."""
    try:
        parts = zipfile.ZipFile(io.BytesIO(content)).infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError):
        raise InputError(
            f"{name}: this spreadsheet (or zip) is cut off or broken. Save it anew."
        ) from None
    names = {part.filename for part in parts}
    if any(part.flag_bits & 1 for part in parts):
        raise InputError(f"{name}: this is locked with a password. Take the password off.")
    if sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise InputError(f"{name}: unpacked it is larger than any list. Cut it into parts.")
    if "xl/workbook.xml" not in names:
        what = "another spreadsheet form" if names & {"content.xml", "xl/workbook.bin"} else "a zip"
        raise InputError(f"{name}: this is {what}, wanted xlsx. Save it as xlsx or CSV UTF-8.")


def _page(name: str, book: Any, page: str | None) -> Any:
    pages = {sheet.title: sheet for sheet in book.worksheets}
    if page is not None and page not in pages:
        raise InputError(f"--sheet {page}: {name} has no such sheet. It has: {', '.join(pages)}.")
    if not pages:
        raise InputError(f"{name}: the spreadsheet has no sheet of cells.")
    shown = pages[page] if page is not None else book.worksheets[0]
    if page is None and shown.sheet_state != "visible":
        raise InputError(
            f"{name}: its first sheet {shown.title!r} is hidden. Name the one you mean with "
            f"--sheet; there is: {', '.join(pages)}."
        )
    return shown


@dataclass
class _Reading:
    """A sheet of a spreadsheet on its way into rows."""

    name: str
    marks: xlsx_marks.Marks
    choose: Choose
    faults: list[BadRow] = field(default_factory=list)
    days: set[tuple[int, str]] = field(default_factory=set)

    def sheet(self, page: Any) -> Sheet:
        page.reset_dimensions()
        lines = enumerate(page.iter_rows(), start=1)
        _, cells = next(lines, (1, ()))
        header = _header(cells)
        chosen = self.choose(header)
        self._check_header(header, chosen)
        rows = tuple(row for n, line in lines if (row := self._row(n, line, chosen)) is not None)
        if self.faults:
            raise BadRows(self.name, self.faults)
        if not rows:
            raise InputError(
                f"{self.name}: no rows below the header. Check that the right sheet was saved."
            )
        columns = tuple(column for column in chosen if column is not None)
        return Sheet(
            self.name, columns, rows, from_file=True, days=frozenset(self.days),
            unread=unread_names(header, chosen),
        )  # fmt: skip

    def _check_header(self, header: list[str], chosen: Chosen) -> None:
        if not any(header):
            raise InputError(f"{self.name}, row 1: wanted the header, found an empty row.")
        read = {place for place, column in enumerate(chosen, start=1) if column is not None}
        words = self.marks.unseen(read)
        if words:
            raise InputError(f"{self.name}: {words}")

    def _row(self, number: int, cells: Any, chosen: Chosen) -> Row | None:
        """The row's chosen cells as text; none when all of them are empty."""
        values: dict[str, str] = {}
        for place, (column, cell) in enumerate(zip(chosen, cells, strict=False), start=1):
            if column is not None:
                values[column] = self._text(number, place, column, cell)
        beyond = [c for c in cells[len(chosen) :] if c.value not in (None, "")]
        if beyond:
            self._fault(number, "all", str(len(cells)), f"{len(chosen)} cells, as in the header")
        if not any(text.strip() for text in values.values()):
            return None
        return Row(number, {c: values.get(c, "") for c in chosen if c is not None})

    def _text(self, number: int, place: int, column: str, cell: Any) -> str:
        value = cell.value
        if value is None:
            if (number, place) in self.marks.unreckoned:
                self._fault(number, column, "a formula", "its result; open the file and save it")
            return ""
        if cell.data_type == "e":
            self._fault(number, column, str(value), "a value; the formula went wrong")
            return ""
        if isinstance(value, date | datetime):
            self.days.add((number, column))
        return cell_text(value, str(cell.number_format))

    def _fault(self, number: int, column: str, found: str, wanted: str) -> None:
        self.faults.append(BadRow(number, column, found, wanted))


def _header(cells: Any) -> list[str]:
    """The header's texts without the empty cells at its end."""
    header = ["" if cell.value is None else str(cell.value) for cell in cells]
    while header and not header[-1].strip():
        header.pop()
    return header
