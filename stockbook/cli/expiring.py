"""`stockbook expiring`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.context import as_of_options, asked_as_of, open_book, site_of


@click.command("expiring")
@click.option("--within", metavar="DAYS", help="How far ahead (the site's setting: 90).")
@click.option("--place", metavar="PLACE", help="Only what lies here.")
@click.option("--forecast", is_flag=True,
              help="What will be left by the coming cases, not by recent use.")  # fmt: skip
@as_of_options
@answering
def command(within: str | None, place: str | None, *, forecast: bool) -> None:
    """What is expired on a shelf, and what expires soon."""
    from stockbook.jobs.expiring import expiring_stock
    from stockbook.reports.expiring import expiring_page

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        found = expiring_stock(
            book, as_of.day, within=within, place=place, as_of=as_of, forecast=forecast
        )
        answer(
            site, lambda: expiring_page(found, site), lambda sheets: sheets.expiring_sheets(found)
        )
