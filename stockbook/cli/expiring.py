"""`stockbook expiring`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.context import open_book, site_of, today


@click.command("expiring")
@click.option("--within", metavar="DAYS", help="How far ahead (the site's setting: 90).")
@click.option("--place", metavar="PLACE", help="Only what lies here.")
@answering
def command(within: str | None, place: str | None) -> None:
    """What is expired on a shelf, and what expires soon."""
    from stockbook.jobs.expiring import expiring_stock
    from stockbook.reports.expiring import expiring_page

    with open_book() as book:
        site = site_of(book)
        found = expiring_stock(book, today(book), within=within, place=place)
        answer(
            site, lambda: expiring_page(found, site), lambda sheets: sheets.expiring_sheets(found)
        )
