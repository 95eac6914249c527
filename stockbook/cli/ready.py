"""`stockbook ready`."""

from typing import TYPE_CHECKING

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering_printable
from stockbook.cli.context import open_book, site_of, today
from stockbook.errors import ANSWERED_NO

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


@click.command("ready")
@click.argument("asked", metavar="LIST|DAY", shell_complete=completing.lists)
@answering_printable
def command(asked: str) -> None:
    """Can a list, or a day's lists, be served? Exit 0 yes, 6 no.

    Every case is drawn in sequence on a copy of the shelves; afterwards one identical spare of
    each lens and every standby line must still lie there. Nothing is recorded. DAY is ISO, today
    or tomorrow. With -o FILE.html it prints the evening page: picks, strips, paper forms, codes.
    """
    from stockbook.jobs.ready import ready_lists
    from stockbook.reports.ready import ready_page

    with open_book() as book:
        found, site = ready_lists(book, asked, today(book)), site_of(book)

        def evening() -> str:
            from stockbook.reports.evening import evening_page

            return evening_page(found, site)

        def sheets(_: object) -> "list[DataSheet]":
            from stockbook.reports.ready_sheets import ready_sheets

            return ready_sheets(found)

        answer(site, lambda: ready_page(found, site), sheets, printable=evening)
    if not found.can_be_served:
        raise click.exceptions.Exit(ANSWERED_NO)
