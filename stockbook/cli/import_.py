"""`stockbook import`."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stockbook.cli.context import (
    confirm,
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
)

if TYPE_CHECKING:
    from stockbook.domain.importing import Imported
    from stockbook.domain.rows import Sheet
    from stockbook.jobs.column_maps import ColumnMap

KINDS = (
    "categories",
    "suppliers",
    "places",
    "staff",
    "items",
    "pack-sizes",
    "supply-terms",
    "sponsors",
    "kits",
    "machines",
    "lists",
    "opening-stock",
    "shelves",
    "levels",
    "past-use",
)


@click.command("import")
@click.argument("kind", type=click.Choice(KINDS))
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--sheet", "page", metavar="NAME", help="The sheet of a spreadsheet; else its first.")
@click.option(
    "--map",
    "named",
    nargs=2,
    multiple=True,
    metavar="THEIRS OURS",
    help="Your column THEIRS is our column OURS (none: not read); remembered.",
)
@click.option(
    "--template", is_flag=True,
    help="Print an empty file of this kind, or write it to FILE (.csv, .xlsx).",
)  # fmt: skip
@recording
def command(
    kind: str, file: Path | None, page: str | None, named: tuple[tuple[str, str], ...],
    template: bool,
) -> None:  # fmt: skip
    """Take in items, kits, lists, staff, opening stock … from a file.

    CSV or xlsx, whatever the file is called. All of a file or nothing: every bad row is named
    with its column, what was found and what is wanted. A file given again changes nothing; one
    that differs from the book shows how, and asks. A column that a file lacks keeps what the
    book has. Nothing is deleted.

    With --map once, columns that have neither your name nor ours are not read, now and later.
    Without FILE the columns of a kind are shown.
    """
    if template:
        _template(kind, file)
    elif file is None:
        _layout(kind, named)
    else:
        _import(kind, file, page, named)


def _import(kind: str, file: Path, page: str | None, named: tuple[tuple[str, str], ...]) -> None:
    from stockbook.domain.rows import every_column
    from stockbook.files.tables import read_table
    from stockbook.jobs.import_ import map_of
    from stockbook.reports.imports import imported_page

    with open_book() as book:
        names = map_of(book, kind, named)
        sheet = read_table(file, page, names.choose if names else every_column)
        imported = _taken(book, kind, sheet, names)
        show(lambda: imported_page(imported))
        if imported.entry is not None:
            recorded(imported.entry, already=imported.already)


def _taken(book: Any, kind: str, sheet: "Sheet", names: "ColumnMap | None") -> "Imported":
    """The sheet is taken; what differs from the book is shown and asked about before."""
    from functools import partial

    from stockbook.jobs.import_ import import_sheet
    from stockbook.reports.imports import import_question, imported_page

    take = partial(
        import_sheet, book, signature(book), kind, sheet, own_names=names, sure=session().yes,
        tell=partial(_tell, len(sheet.rows)), keep=not session().dry_run,
    )  # fmt: skip
    imported = take()
    while imported.waiting:
        show(partial(imported_page, imported))
        confirm(import_question(imported))
        imported = take(agreed=imported.differences)
    return imported


def _tell(total: int, count: int) -> None:
    """Progress on a long file, where somebody watches."""
    if sys.stderr.isatty():
        click.echo(f"\r{count} of {total} rows", err=True, nl=count + 5_000 > total)


def _layout(kind: str, named: tuple[tuple[str, str], ...]) -> None:
    from stockbook.jobs.import_ import layout
    from stockbook.reports.imports import layout_page

    if named:
        raise click.UsageError("--map goes with a FILE; it is remembered when the file is taken.")
    with open_book() as book:
        show(lambda: layout_page(layout(book, kind)))


def _template(kind: str, file: Path | None) -> None:
    from stockbook.cli.answers import write_file
    from stockbook.errors import InputError
    from stockbook.jobs.import_ import plain_layout
    from stockbook.reports.imports import template_csv, template_xlsx

    layout = plain_layout(kind)
    if file is None:
        click.echo(template_csv(layout), nl=False)
        return
    if file.exists():
        raise InputError(f"{file}: there is something already. Name a new file.")
    ending = file.suffix.lower()
    if ending not in (".csv", ".xlsx"):
        raise InputError(f"{file}: wanted a name that ends in .csv or .xlsx.")
    content = template_xlsx(layout) if ending == ".xlsx" else template_csv(layout).encode()
    write_file(file, content)
    show(f"Written to {file}: the header and one invented row. Put your own rows in its place.")
