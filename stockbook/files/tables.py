"""A table in a file, told by its content and not by its name: CSV text or an xlsx spreadsheet."""

from pathlib import Path

from stockbook.domain.rows import Choose, Sheet, every_column
from stockbook.errors import InputError
from stockbook.files.content import content_of
from stockbook.files.csv_rows import csv_sheet
from stockbook.files.xlsx_rows import xlsx_sheet

_ZIP = b"PK\x03\x04"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def read_table(path: Path, page: str | None = None, choose: Choose = every_column) -> Sheet:
    """The rows of the chosen columns; `page` names a sheet of a spreadsheet, else its first."""
    content = content_of(path)
    if content.startswith(_ZIP):
        return xlsx_sheet(path.name, content, page, choose)
    if content.startswith(_OLE):
        raise InputError(f"{path.name}: {_old(content)} Save it as xlsx or CSV UTF-8.")
    if page is not None:
        raise InputError(f"--sheet {page}: {path.name} is no xlsx file and has no sheets.")
    return csv_sheet(path.name, content, choose)


def _old(content: bytes) -> str:
    if "EncryptedPackage".encode("utf-16-le") in content:
        return "this spreadsheet is locked with a password. Open it and take the password off."
    return "this is an old spreadsheet file (xls)."
