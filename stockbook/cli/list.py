"""`stockbook list`."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering
from stockbook.cli.context import (
    confirm,
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
    today,
)

if TYPE_CHECKING:
    from stockbook.domain.list_changes import Taken
    from stockbook.domain.rows import Sheet
    from stockbook.jobs.column_maps import ColumnMap


@click.group("list")
def command() -> None:
    """Operating lists: take, show, change."""


@command.command("take")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--sheet", "page", metavar="NAME", help="The sheet of a spreadsheet; else its first.")
@click.option("--map", "named", nargs=2, multiple=True, metavar="THEIRS OURS",
              help="Your column THEIRS is our OURS (none: not read); remembered.")  # fmt: skip
@recording
def take(file: Path, page: str | None, named: tuple[tuple[str, str], ...]) -> None:
    """Take a new list: what it changes and what follows is shown, then asked once.

    The columns are those of 'import lists'. Of each list in the file the whole is expected: a
    case that is not in it any more is cancelled, never deleted. A case whose kit is on the
    trolley stays as it is, and is told.
    """
    from stockbook.domain.rows import every_column
    from stockbook.files.tables import read_table
    from stockbook.jobs.import_ import map_of
    from stockbook.reports.lists import taken_page

    with open_book() as book:
        names = map_of(book, "lists", named)
        sheet = read_table(file, page, names.choose if names else every_column)
        taken = _taken(book, sheet, names)
        show(taken_page(taken))
        if taken.entry is not None:
            recorded(taken.entry)


def _taken(book: Any, sheet: "Sheet", names: "ColumnMap | None") -> "Taken":
    """The file is taken; its changes are shown and asked about before."""
    from functools import partial

    from stockbook.jobs.list import take_list
    from stockbook.reports.lists import taken_page, taken_question

    job = partial(take_list, book, signature(book), sheet, own_names=names, sure=session().yes,
                  keep=not session().dry_run)  # fmt: skip
    taken = job()
    while taken.waiting:
        show(taken_page(taken))
        confirm(taken_question(taken))
        taken = job(agreed=taken.changes)
    return taken


@command.command("show")
@click.argument("code", metavar="LIST", required=False, shell_complete=completing.lists)
@answering
def show_lists(code: str | None) -> None:
    """A list with its cases; without one, the lists to come and where their cases stand."""
    from stockbook.jobs.list import coming_lists, list_view
    from stockbook.reports import lists as pages

    with open_book() as book:
        site = site_of(book)
        if code is not None:
            view = list_view(book, code)
            answer(site, lambda: pages.list_page(view, site), lambda _: pages.list_sheets(view))
            return
        day = today(book)
        views = coming_lists(book, day)
        answer(
            site, lambda: pages.coming_page(views, day, site),
            lambda _: pages.coming_sheets(views, day),
        )  # fmt: skip


@command.command("change")
@click.argument("code", metavar="LIST", shell_complete=completing.lists)
@click.option("--day", metavar="DAY", help="The day it is held.")
@click.option("--theatre", metavar="THEATRE", help="Where it is held.")
@click.option("--part", metavar="PART", help="morning, afternoon, evening or day.")
@recording
def change(code: str, day: str | None, theatre: str | None, part: str | None) -> None:
    """Move a whole list to another day, theatre or part of the day."""
    from stockbook.jobs.list import ListChange, change_list
    from stockbook.reports.imports import alterations_table

    with open_book() as book:
        asked = ListChange(day, theatre, part)
        keep = not session().dry_run
        of, entry, altered = change_list(book, signature(book), code, asked, keep=keep)
        if entry is None:
            show(f"list {of.code}: known so already, nothing changed.")
            return
        show(alterations_table(altered))
        recorded(entry)
