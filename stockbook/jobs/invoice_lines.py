"""The lines of an invoice from a file."""

from functools import partial

from stockbook.domain.rows import Faults, Sheet, check_columns
from stockbook.domain.texts import required_text


def invoice_lines_read(sheet: Sheet) -> list[tuple[str, str, str, str]]:
    """Item or pack, how many, the amount of all of them, and the note (or nothing)."""
    check_columns(sheet, ("quantity", "amount"), ("item", "pack", "note"))
    faults, lines = Faults(sheet), []
    for row in sheet.rows:
        what = "pack" if row.get("pack") else "item"
        thing = faults.cell(row, what, partial(required_text, what=what))
        lines.append((str(thing), row.get("quantity"), row.get("amount"), row.get("note")))
    faults.check()
    return lines
