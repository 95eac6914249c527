"""`stockbook place`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.completing import places
from stockbook.cli.context import open_book, recording, site_of
from stockbook.cli.one_fact import options, record

OPTIONS = (
    ("--name", "TEXT", "What it is called."),
    ("--kind", "KIND", "store, theatre (with its trolley) or quarantine; it stays so."),
    ("--storage-class", "WORD", "How things are kept there: ambient, cold …"),
    ("--closed", "yes|no", "Whether it is closed; it has to be empty."),
)


@click.group("place")
def command() -> None:
    """Show, make or change places: show, new, change."""


@command.command("show")
@click.argument("code", metavar="[PLACE]", required=False, shell_complete=places)
@answering
def show(code: str | None) -> None:
    """Show all places, or one.

    The CSV has the columns of a file of places, and holds those that a site makes.
    """
    from stockbook.domain.places import made_by_the_site
    from stockbook.jobs.place import all_places, one_place
    from stockbook.reports.place import place_page, place_sheets, places_page

    with open_book() as book:
        site = site_of(book)
        if code is None:
            found = all_places(book)
            made = made_by_the_site(found)
            answer(site, lambda: places_page(found, site), lambda _: place_sheets(made))
        else:
            one = one_place(book, code)
            answer(site, lambda: place_page(one, site), lambda _: place_sheets([one]))


@command.command("new")
@click.argument("code", metavar="PLACE")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make a store, a theatre or a quarantine area."""
    record("place", code, given, new=True)


@command.command("change")
@click.argument("code", metavar="PLACE", shell_complete=places)
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change a place in what is given; the rest stays as it is."""
    record("place", code, given, new=False)
