"""How an import looks: what it changed, what differs from the book, what a file looks like."""

import io
from collections.abc import Sequence

from stockbook.domain.cell_texts import quoted
from stockbook.domain.importing import Alteration, Differences, Imported, Layout
from stockbook.reports.tables import plural, table

MOST_SHOWN = 50
MOST_CODES = 20


def imported_page(imported: Imported) -> str:
    """What an import changed, in one line, and below it whatever was not plain."""
    lines = [_line(imported)]
    if imported.own_names:
        names = ", ".join(f"{theirs} = {ours}" for theirs, ours in imported.own_names)
        lines.append(f"Columns by this site's names: {names}.")
    if imported.unread:
        named = ", ".join(name or "(no name)" for name in imported.unread)
        lines.append(f"Not read: {named}.")
    if imported.decimal_commas:
        lines.append("Decimal commas throughout: 12,50 was read as 12.50.")
    return "\n".join([*lines, *differences_lines(imported.differences)])


def _line(imported: Imported) -> str:
    words = f"{imported.kind} from {imported.file}: {plural(imported.rows, 'row')}"
    if imported.already and not imported.waiting:
        return f"{words}; all known already, nothing changed."
    return (
        f"{words}; {imported.new} new, {imported.altered} altered, {imported.unchanged} unchanged."
    )


def differences_lines(differences: Differences) -> list[str]:
    """What was altered, field by field; what was added and is gone where a known file differs."""
    lines = []
    if differences.altered:
        lines.append(alterations_table(differences.altered))
    if differences.added and (differences.altered or differences.gone):
        lines.append(f"Added: {_codes(differences.added)}.")
    if differences.gone:
        lines.append(
            f"In the book, not in the file: {_codes(differences.gone)}. "
            "An import deletes nothing; they stay."
        )
    return lines


def one_fact_page(done: Imported) -> str:
    """What was made or changed by one command."""
    if done.already:
        return f"{done.kind}: known so already, nothing changed."
    differences = done.differences
    lines = [f"{done.kind} {_codes(differences.added)}: new."] if differences.added else []
    if differences.altered:
        lines.append(alterations_table(differences.altered))
    return "\n".join(lines)


def alterations_table(altered: Sequence[Alteration]) -> str:
    """Every field that alters with its old and its new value, the first ones of very many."""
    rows = [(a.kind, a.code, a.field, a.was or "nothing", a.now or "nothing") for a in altered]
    page = table(("What", "Code", "Field", "Was", "Becomes"), rows[:MOST_SHOWN])
    more = len(rows) - MOST_SHOWN
    return f"{page}\n... and {more} more." if more > 0 else page


def _codes(codes: Sequence[str]) -> str:
    more = len(codes) - MOST_CODES
    shown = ", ".join(codes[:MOST_CODES])
    return f"{shown} and {more} more" if more > 0 else shown


def import_question(imported: Imported) -> str:
    """What a person has to agree to before a changed file is taken."""
    d = imported.differences
    altered = len({(a.kind, a.code) for a in d.altered})
    return (
        f"{imported.file} differs from the book: {len(d.added)} added, {altered} altered, "
        f"{len(d.gone)} in the book and not in the file. Take it?"
    )


def layout_page(layout: Layout) -> str:
    """The columns of a kind, and what this site calls them."""
    lines = [
        f"{layout.kind}: columns {', '.join(layout.required)}",
        f"  may be missing: {', '.join(layout.optional) or 'none'}",
    ]
    if layout.own_names:
        names = ", ".join(f"{theirs} = {ours}" for theirs, ours in layout.own_names)
        lines += [f"  this site's names: {names}", "  other columns of a file are not read"]
    return "\n".join(lines)


def template_csv(layout: Layout) -> str:
    """A CSV with the header and one invented row."""
    import csv

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(layout.columns)
    writer.writerow([quoted(layout.example[column]) for column in layout.columns])
    return out.getvalue()


def template_xlsx(layout: Layout) -> bytes:
    """A spreadsheet with the header and one invented row, all cells kept as text."""
    from openpyxl import Workbook

    book = Workbook()
    page = book.worksheets[0]
    page.title = layout.kind[:31]
    page.freeze_panes = "A2"
    for place, column in enumerate(layout.columns, start=1):
        for line, text in ((1, column), (2, layout.example[column])):
            cell = page.cell(line, place, text or None)
            cell.number_format = "@"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
