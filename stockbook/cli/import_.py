"""`stockbook import`."""

from pathlib import Path

import click

from stockbook.cli.context import open_book, recorded, recording, session, show, signature

KINDS = (
    "categories",
    "suppliers",
    "places",
    "staff",
    "items",
    "pack-sizes",
    "kits",
    "lists",
    "opening-stock",
)


@click.command("import")
@click.argument("kind", type=click.Choice(KINDS))
@click.argument("file", type=click.Path(path_type=Path))
@recording
def command(kind: str, file: Path) -> None:
    """Take in items, kits, lists, staff, opening stock … from a file.

    All of a file or nothing: every bad row is named with its column, what was found and what is
    wanted. A file given again changes nothing.
    """
    from stockbook.files.csv_rows import read_csv
    from stockbook.jobs.import_ import import_sheet
    from stockbook.reports.book import imported_line

    with open_book() as book:
        sheet = read_csv(file)
        imported = import_sheet(book, signature(book), kind, sheet, keep=not session().dry_run)
        show(imported_line(imported))
        if imported.entry is not None:
            recorded(imported.entry, already=imported.already)
